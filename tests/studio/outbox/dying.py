"""A process that commits a fault of K-01 and is killed before it hands anything over. Run as a program of its own."""

from __future__ import annotations

import os
import signal


def main() -> None:
    import django

    django.setup()
    from django.db import transaction

    from gear.inventory.services import report_fault

    with transaction.atomic():
        transaction.on_commit(lambda: os.kill(os.getpid(), signal.SIGKILL))
        report_fault("K-01", "fires twice", None)


if __name__ == "__main__":
    main()
