"""The key that signs sessions: made once, for its owner only."""

from __future__ import annotations

import stat
import subprocess
import sys
from pathlib import Path

import pytest

from studio.environment.data_folder import secret_key

from .clients import environment


def test_is_the_same_at_every_start_and_closed_to_others(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("FULLSTOP_DATA", str(tmp_path / "data"))
    first = secret_key()
    assert len(first) >= 50
    assert secret_key() == first
    assert stat.S_IMODE((tmp_path / "data/secret-key").stat().st_mode) == 0o600


def test_two_studios_have_two_keys(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    keys = set()
    for name in ("one", "two"):
        monkeypatch.setenv("FULLSTOP_DATA", str(tmp_path / name))
        keys.add(secret_key())
    assert len(keys) == 2


def test_first_starts_at_once_agree(tmp_path: Path) -> None:
    program = "from studio.environment.data_folder import secret_key; print(secret_key())"
    starts = [
        subprocess.Popen(
            [sys.executable, "-c", program], env=environment(tmp_path / "data"), stdout=subprocess.PIPE
        )
        for _ in range(6)
    ]
    assert len({start.communicate(timeout=60)[0] for start in starts}) == 1
    assert [path.name for path in (tmp_path / "data").iterdir()] == ["secret-key"]
