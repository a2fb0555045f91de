#!/usr/bin/env python3
"""The project's one command: `up`, `test`, or any Django command. The first run builds the environment.

This file is read by whatever `python3` is, so it uses only what every Python 3 understands until the version is known
to be right; everything after that lives in studio/environment.
"""

import os
import sys

OLDEST = (3, 11)


def unfit_interpreter(version, platform):
    """The sentence for an interpreter or a system that cannot run the project, or None when it can."""
    if platform == "nt":
        return (
            "Fullstop needs a Unix system (Linux or macOS) and this is Windows. "
            "Run it inside WSL, or start the containers with: docker compose up"
        )
    if tuple(version[:2]) < OLDEST:
        return (
            "Fullstop needs Python {0} or newer, and this is Python {1} ({2}). Install a newer one (Debian: "
            "apt install python{0} python{0}-venv) and start again with: python{0} manage.py {3}"
        ).format(
            ".".join(str(part) for part in OLDEST),
            ".".join(str(part) for part in version[:2]),
            sys.executable or "unknown path",
            " ".join(sys.argv[1:]) or "up",
        )
    return None


def main():
    refusal = unfit_interpreter(sys.version_info, os.name)
    if refusal:
        sys.stderr.write(refusal + "\n")
        return 1
    from studio.environment.command import run

    return run(sys.argv)


if __name__ == "__main__":
    sys.exit(main())
