"""The first start has nothing but Python itself."""

from __future__ import annotations

import subprocess
import sys

import pytest

from studio.environment.data_folder import project_folder


def bare(program: str) -> subprocess.CompletedProcess[str]:
    """Run a program with the project on the path and no installed package at all."""
    start = f"import sys; sys.path.insert(0, {str(project_folder())!r}); {program}"
    return subprocess.run(
        [sys.executable, "-I", "-S", "-c", start], capture_output=True, text=True, timeout=60
    )


@pytest.mark.parametrize(
    "module", ["command", "virtualenv", "serve", "testing", "postgres", "keeper", "supervisor"]
)
def test_the_environments_modules_need_only_the_standard_library(module: str) -> None:
    ran = bare(f"import studio.environment.{module}")
    assert ran.returncode == 0, ran.stderr


def test_nothing_installed_can_be_seen_there() -> None:
    assert "No module named 'django'" in bare("import django").stderr


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["up", "--port", "0"], "'0' is not a port: a whole number from 1 to 65535"),
        (["up", "--port", "eight"], "'eight' is not a port"),
        (["up", "--portt", "1"], "unrecognized arguments"),
    ],
)
def test_a_wrong_option_of_up_is_refused_before_the_long_steps(arguments: list[str], sentence: str) -> None:
    ran = bare(f"from studio.environment.command import run; run(['manage.py', *{arguments!r}])")
    assert ran.returncode == 2
    assert sentence in ran.stderr


def test_without_arguments_it_says_what_there_is() -> None:
    assert (
        "python3 manage.py up"
        in bare("from studio.environment.command import run; run(['manage.py'])").stdout
    )
