"""`test`: what runs, in which order, and what makes it fail."""

from __future__ import annotations

import subprocess
from collections.abc import Sequence
from types import SimpleNamespace
from typing import Any

import pytest

from studio.environment import testing


class Runs:
    """Notes what would be run, and lets the named commands fail."""

    def __init__(self) -> None:
        self.commands: list[str] = []
        self.environments: list[dict[str, str]] = []
        self.failing = ""

    def __call__(self, command: Sequence[str], *, env: dict[str, str], **_: Any) -> SimpleNamespace:
        said = " ".join(command[1:])
        self.commands.append(said)
        self.environments.append(env)
        return SimpleNamespace(returncode=3 if self.failing and self.failing in said else 0)


@pytest.fixture
def runs(monkeypatch: pytest.MonkeyPatch) -> Runs:
    noted = Runs()
    monkeypatch.setattr(testing, "subprocess", SimpleNamespace(run=noted, PIPE=subprocess.PIPE))
    monkeypatch.setattr(testing, "_hold_test_server", lambda: None)
    monkeypatch.setattr(testing, "_workers", lambda: 2)
    return noted


def test_all_checks_come_first_and_pytest_last(runs: Runs) -> None:
    assert testing.run_checks_and_tests([]) == 0
    order = [
        "ruff check",
        "ruff format",
        "importlinter",
        "mypy",
        "--check",
        "check --fail",
        "makemigrations",
        "pytest -n 2 --dist worksteal",
    ]
    assert [part for part, said in zip(order, runs.commands, strict=True) if part in said] == order


def test_arguments_go_to_pytest_which_then_runs_alone(runs: Runs) -> None:
    testing.run_checks_and_tests(["tests/gear", "-k", "battery"])
    assert runs.commands == ["-m pytest tests/gear -k battery"]


def test_fast_leaves_the_checks_out(runs: Runs) -> None:
    testing.run_checks_and_tests(["--fast"])
    assert runs.commands == ["-m pytest -n 2 --dist worksteal"]


@pytest.mark.parametrize(("arguments", "value"), [(["--fast", "--long"], "1"), (["--fast"], None)])
def test_long_asks_for_the_long_runs(
    runs: Runs, monkeypatch: pytest.MonkeyPatch, arguments: list[str], value: str | None
) -> None:
    monkeypatch.delenv("FULLSTOP_LONG", raising=False)
    testing.run_checks_and_tests(arguments)
    assert runs.environments[-1].get("FULLSTOP_LONG") == value


@pytest.mark.parametrize("failing", ["ruff format", "mypy", "makemigrations"])
def test_a_check_that_failed_fails_the_whole_though_every_test_passes(
    runs: Runs, failing: str, capsys: pytest.CaptureFixture[str]
) -> None:
    runs.failing = failing
    assert testing.run_checks_and_tests([]) == 1
    assert runs.commands[-1] == "-m pytest -n 2 --dist worksteal"
    assert f"Checks that failed: {failing}." in capsys.readouterr().err


def test_a_test_that_failed_fails_the_whole(runs: Runs) -> None:
    runs.failing = "pytest"
    assert testing.run_checks_and_tests([]) == 3


def test_everything_runs_on_the_server_that_is_thrown_away(runs: Runs) -> None:
    testing.run_checks_and_tests([])
    assert {environment["FULLSTOP_SERVER"] for environment in runs.environments} == {"test-server"}
