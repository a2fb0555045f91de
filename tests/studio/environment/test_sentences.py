"""Whatever keeps it from starting is said in a sentence: what, where, and how to mend it."""

from __future__ import annotations

import ast
import errno
import runpy
from collections.abc import Callable
from pathlib import Path

import pytest

from studio.environment import sentences
from studio.environment.data_folder import project_folder

LOCK = Path("/project/studio/environment/runtime.lock")
unfit_interpreter: Callable[..., str | None] = runpy.run_path(
    str(project_folder() / "manage.py"), run_name="read"
)["unfit_interpreter"]


@pytest.mark.parametrize("version", [(2, 7, 18), (3, 6, 9), (3, 10, 13)])
def test_an_old_python_is_told_which_one_is_needed(version: tuple[int, int, int]) -> None:
    said = unfit_interpreter(version, "posix")
    assert said is not None
    assert f"needs Python 3.11 or newer, and this is Python {version[0]}.{version[1]}" in said
    assert "apt install python3.11 python3.11-venv" in said


@pytest.mark.parametrize("version", [(3, 11, 0), (3, 12, 1), (3, 20, 0)])
def test_python_3_11_and_newer_pass(version: tuple[int, int, int]) -> None:
    assert unfit_interpreter(version, "posix") is None


def test_windows_is_told_where_it_can_run() -> None:
    assert "WSL" in str(unfit_interpreter((3, 12, 0), "nt"))


def test_any_python_3_can_read_manage_py_far_enough_to_refuse() -> None:
    source = (project_folder() / "manage.py").read_text()
    ast.parse(source, feature_version=(3, 4))
    kinds = {type(node) for node in ast.walk(ast.parse(source))}
    assert not kinds & {ast.JoinedStr, ast.AnnAssign, ast.NamedExpr, ast.Match}


@pytest.mark.parametrize(
    "output",
    [
        "ERROR: Could not install packages due to an OSError: [Errno 28] No space left on device\n",
        "OSError: [Errno 122] Disk quota exceeded: '/project/.venv/lib'\n",
    ],
)
def test_a_full_disk_is_known_from_what_pip_says(output: str) -> None:
    said = str(sentences.pip_failed(LOCK, output))
    assert said.startswith("The disk is full: ")
    assert "MB left" in said


def test_a_full_disk_is_known_from_what_initdb_says(tmp_path: Path) -> None:
    said = sentences.server_failed(
        "initdb", tmp_path, "initdb: error: could not write: No space left on device"
    )
    assert str(said).startswith(f"The disk is full: {tmp_path} has ")


def test_a_full_disk_is_known_from_the_systems_own_error(tmp_path: Path) -> None:
    said = sentences.from_os_error(
        OSError(errno.ENOSPC, "No space left", str(tmp_path / "x")), "the data are made"
    )
    assert str(said).startswith("The disk is full: ")


@pytest.mark.parametrize(
    ("number", "why"),
    [(errno.EACCES, "this user may not write there"), (errno.EROFS, "the file system is read-only")],
)
def test_a_folder_that_cannot_be_written_is_named(number: int, why: str) -> None:
    said = str(sentences.from_os_error(OSError(number, "no", "/project/.venv"), "the environment is made"))
    assert said.startswith(f"/project/.venv cannot be written while the environment is made: {why}")


def test_an_error_of_our_own_is_not_dressed_up() -> None:
    assert sentences.from_os_error(OSError(errno.EBADF, "Bad file descriptor"), "anything") is None


@pytest.mark.parametrize(
    "sign",
    [
        "NewConnectionError('...: Failed to establish a new connection: [Errno 111] Connection refused')",
        "[Errno -3] Temporary failure in name resolution",
        "ReadTimeoutError(\"HTTPSConnectionPool(host='registry', port=443): Read timed out.\")",
        "SSLError(SSLCertVerificationError(1, '[SSL: CERTIFICATE_VERIFY_FAILED]'))",
    ],
)
def test_a_registry_that_does_not_answer_is_said_with_pips_last_words(sign: str) -> None:
    output = (
        f"Looking in indexes: https://registry/simple\nWARNING: Retrying after {sign}\nERROR: No matching\n"
    )
    said = str(sentences.pip_failed(LOCK, output))
    assert said.startswith(
        "The packages of runtime.lock could not be fetched: the package registry did not answer"
    )
    assert sign in said
    assert "Looking in indexes" not in said


def test_debian_without_ensurepip_is_told_the_package() -> None:
    assert "apt install python3.11-venv" in str(sentences.no_ensurepip((3, 11)))
