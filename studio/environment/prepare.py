"""Is the database ready to be served from? Schema and demo, in one process, one at a time on the whole cluster."""

from __future__ import annotations

import logging
import sys

from .progress import say, step
from .sentences import CannotStart, database_refuses

__all__ = ["prepare"]

# Any constant will do; every `up` on every machine asks PostgreSQL for the same one.
_ADVISORY_LOCK = 0x66756C6C


def prepare(with_demo: bool) -> None:
    """Migrate; with the demo, load it once and print its accounts on stdout. Raises CannotStart."""
    import django

    django.setup()
    for chatty in ("celery", "kombu"):
        # Without a broker the demo's background work is done here, and each piece of it would announce itself.
        logging.getLogger(chatty).setLevel(logging.ERROR)
    from django.core.management import call_command, get_commands
    from django.db import OperationalError, connection

    # A connection of its own: the commands may close the one that they use.
    guard = connection.copy()
    try:
        guard.ensure_connection()
    except OperationalError as refusal:
        raise database_refuses(str(refusal)) from refusal
    with guard.cursor() as cursor:
        cursor.execute("SELECT pg_advisory_lock(%s)", [_ADVISORY_LOCK])
        with step("Bringing the database up to date", "Database up to date"):
            call_command("migrate", interactive=False, verbosity=0)
        if with_demo:
            with step("Loading the demo studio, unless it is there", "Demo studio there"):
                call_command("load_demo", "--once", verbosity=0)
    guard.close()
    if with_demo and "demo_accounts" in get_commands():
        call_command("demo_accounts")


if __name__ == "__main__":
    try:
        prepare(with_demo="--no-demo" not in sys.argv)
    except CannotStart as trouble:
        say(str(trouble))
        sys.exit(1)
    except KeyboardInterrupt:
        say("Stopped.")
        sys.exit(130)
