"""Every finding that a test of a check brings about is held to what is true of all of them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from recipes.checks.findings import Finding
from tests.recipes.checks.sound import sound


@pytest.fixture(autouse=True)
def every_finding_is_sound(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    made: list[Finding] = []
    build = Finding.__init__

    def remember(self: Finding, *args: Any, **fields: Any) -> None:
        build(self, *args, **fields)
        made.append(self)

    monkeypatch.setattr(Finding, "__init__", remember)
    yield
    for finding in made:
        sound(finding)
