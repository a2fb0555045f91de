"""`up` keeps its programs running, and ends them together."""

from __future__ import annotations

import os
import sys
import time
from pathlib import Path

import pytest

from studio.environment import supervisor
from studio.environment.supervisor import Program, supervise


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(supervisor, "LOOK_EVERY_S", 0.02)
    monkeypatch.setattr(supervisor, "LONGEST_PAUSE_S", 0.05)
    monkeypatch.setattr(supervisor, "GRACE_S", 1.0)


def a_program(code: str, *arguments: str, is_vital: bool = False) -> Program:
    return Program(
        "The lamp", [sys.executable, "-S", "-c", code, *arguments], dict(os.environ), is_vital=is_vital
    )


def after(seconds: float) -> float:
    return time.monotonic() + seconds


def test_a_program_that_ended_is_started_again(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    log = tmp_path / "starts"
    program = a_program("import sys; open(sys.argv[1], 'a').write('x')", str(log))
    give_up_at = after(20)
    code = supervise(
        [program],
        lambda: None,
        lambda: (log.exists() and len(log.read_text()) >= 2) or time.monotonic() > give_up_at,
    )
    assert code == 0
    assert len(log.read_text()) >= 2
    assert "The lamp ended (exit code 0); starting it again" in capsys.readouterr().err


def test_everything_ends_when_a_vital_program_does_not_stay_up(capsys: pytest.CaptureFixture[str]) -> None:
    give_up_at = after(20)
    code = supervise(
        [a_program("raise SystemExit(3)", is_vital=True)], lambda: None, lambda: time.monotonic() > give_up_at
    )
    assert code == 1
    assert "The lamp does not stay up" in capsys.readouterr().err


def test_a_program_that_will_not_end_is_killed(tmp_path: Path) -> None:
    deaf = (
        "import os, signal, sys, time; signal.signal(signal.SIGTERM, signal.SIG_IGN); "
        "open(sys.argv[1] + '.new', 'w').write(str(os.getpid())); os.rename(sys.argv[1] + '.new', sys.argv[1]); "
        "time.sleep(60)"
    )
    told = tmp_path / "pid"
    give_up_at = after(20)
    asked_at: list[float] = []

    def is_told() -> bool:
        asked_at.append(time.monotonic())
        return told.exists() or asked_at[-1] > give_up_at

    supervise([a_program(deaf, str(told))], lambda: None, is_told)
    assert time.monotonic() - asked_at[-1] < 30, "it was waited for instead"
    with pytest.raises(ProcessLookupError):
        os.kill(int(told.read_text()), 0)


def test_what_the_programs_need_is_looked_after_meanwhile() -> None:
    looks: list[int] = []
    supervise([], lambda: looks.append(1), lambda: len(looks) >= 3)
    assert len(looks) == 3
