"""What was asked for, and which environment does it need?"""

from __future__ import annotations

import os
import sys

from . import virtualenv
from .data_folder import project_folder
from .sentences import CannotStart, from_os_error

__all__ = ["run"]

USAGE = """\
python3 manage.py up            start the studio's service (builds everything it needs on first use)
python3 manage.py up --help     port, host, without the demo
python3 manage.py test          all checks and tests; with arguments: pytest with these arguments
python3 manage.py test --fast   tests without the linters; --long adds the long state machine runs
python3 manage.py <command>     any Django command, in the project's own environment; `help` lists them
"""


def run(argv: list[str]) -> int:
    """Do what the command line asks; returns the exit code."""
    if len(argv) < 2:
        sys.stdout.write(USAGE)
        return 0
    try:
        return _run(argv)
    except CannotStart as trouble:
        sys.stderr.write(f"{trouble}\n")
        return 1
    except OSError as error:
        sentence = from_os_error(error, "the environment is made")
        if sentence is None:
            raise
        sys.stderr.write(f"{sentence}\n")
        return 1
    except ModuleNotFoundError as missing:
        if missing.name is None or (project_folder() / missing.name.split(".")[0]).exists():
            raise
        sys.stderr.write(
            f"The environment lacks the module {missing.name}, which its stamp says is installed. "
            f"Remove {project_folder() / '.venv'} and start again; it is then made anew.\n"
        )
        return 1
    except KeyboardInterrupt:
        return 130


def _run(argv: list[str]) -> int:
    command, arguments = argv[1], argv[2:]
    if command == "up":
        from .serve import parse, refuse_taken_port

        wanted = parse(arguments)
        # Before the long steps: nobody should wait a minute to hear that the port is taken.
        refuse_taken_port(wanted.host, wanted.port)
    _enter("test" if command == "test" else "runtime", argv)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "studio.settings")
    if command == "up":
        from .serve import serve

        return serve(wanted)
    if command == "test":
        from .testing import run_checks_and_tests

        return run_checks_and_tests(arguments)
    from django.core.management import execute_from_command_line

    execute_from_command_line(argv)
    return 0


def _enter(lock: str, argv: list[str]) -> None:
    """Go on inside the environment: at once when this is its Python, else by becoming its Python."""
    if os.environ.get("FULLSTOP_NO_VENV") == "1":
        return
    python = virtualenv.ensure(lock)
    if virtualenv.is_running_inside():
        return
    virtualenv.refuse_to_loop()
    sys.stdout.flush()
    sys.stderr.flush()
    os.execv(python, [str(python), str(project_folder() / "manage.py"), *argv[1:]])
