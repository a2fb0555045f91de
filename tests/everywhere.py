"""Replacing a function wherever the product holds it by name."""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Iterator
from typing import Any
from unittest import mock

__all__ = ["everywhere"]


@contextlib.contextmanager
def everywhere(module: Any, name: str, instead: Any) -> Iterator[None]:
    """``from module import name`` makes a name of its own in every module; all of them mean ``instead`` meanwhile."""
    real = getattr(module, name)
    with contextlib.ExitStack() as stack:
        for one in list(sys.modules.values()):
            if getattr(one, "__name__", "").startswith(("gear.", "studio.")) and vars(one).get(name) is real:
                stack.enter_context(mock.patch.object(one, name, instead))
        yield
