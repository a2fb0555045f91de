"""What the tests of the environment may ask for."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from studio.environment.processes import living_in

from .clients import becomes_true, cluster


@pytest.fixture
def data() -> Iterator[Path]:
    """A data folder that the server's user can reach, which pytest's own folders are not when root runs the tests."""
    around = Path(tempfile.mkdtemp(prefix="fullstop-test-"))
    around.chmod(0o711)
    folder = around / "data"
    yield folder
    servers = [cluster(folder, kind) for kind in ("server", "test-server")]
    becomes_true(lambda: not any(living_in(server) for server in servers), within_s=30)
    # Its keeper may still be writing its last line.
    becomes_true(lambda: not shutil.rmtree(around, ignore_errors=True) and not around.exists(), within_s=10)
