"""A real browser for the tests of this folder: Debian's chromium, driven by Playwright."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from typing import Any

import pytest

CHROMIUM = shutil.which("chromium")

SWITCHES = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """The browser; the test is skipped, with the reason, on a machine without one."""
    if CHROMIUM is None:
        pytest.skip("no chromium on this machine")
    sync_api = pytest.importorskip("playwright.sync_api")
    with pytest.MonkeyPatch.context() as patch:
        # Playwright keeps an event loop running in this thread, which Django takes for an async caller of the ORM.
        patch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "1")
        with sync_api.sync_playwright() as playwright:
            chromium = playwright.chromium.launch(executable_path=CHROMIUM, args=SWITCHES)
            yield chromium
            chromium.close()
