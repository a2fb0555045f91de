"""Load a changed module in place of the real one: a plugin for a fresh pytest.

    MUTANT_OF=recipes.look MUTANT=changed.py python -m pytest -p tests.mutation.anew ...

For modules of pydantic models, which build their validators as they are loaded, so that no code can be exchanged in
them afterwards.
"""

from __future__ import annotations

import importlib.util
import os
import sys
from collections.abc import Sequence
from importlib.abc import MetaPathFinder
from importlib.machinery import ModuleSpec
from types import ModuleType


class Changed(MetaPathFinder):
    """Finds the changed module before the real one is found."""

    def find_spec(
        self, fullname: str, path: Sequence[str] | None, target: ModuleType | None = None
    ) -> ModuleSpec | None:
        if fullname != os.environ["MUTANT_OF"]:
            return None
        return importlib.util.spec_from_file_location(fullname, os.environ["MUTANT"])


sys.meta_path.insert(0, Changed())
