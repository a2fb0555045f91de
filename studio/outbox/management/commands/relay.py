"""A relay of the outbox: ``manage.py relay`` runs until it is stopped. Any number may run."""

from __future__ import annotations

import logging
import signal
import threading
from typing import Any

from django.core.management.base import BaseCommand
from django.db import DatabaseError, InterfaceError, close_old_connections, connection

from studio.outbox.tasks import relay

log = logging.getLogger(__name__)


class Command(BaseCommand):
    help = "Hand over whatever waits in the outbox, until stopped."

    def add_arguments(self, parser: Any) -> None:
        parser.add_argument("--every", type=float, default=2.0, help="seconds between rounds")
        parser.add_argument("--once", action="store_true", help="one round, then end")

    def handle(self, *args: Any, **options: Any) -> None:
        stopped = threading.Event()
        for number in (signal.SIGTERM, signal.SIGINT):
            signal.signal(number, lambda *_: stopped.set())
        while not stopped.is_set():
            close_old_connections()
            try:
                handed = relay()
            except (DatabaseError, InterfaceError) as error:
                log.warning("relay: the database did not answer (%s); trying again", error)
                connection.close()
            else:
                if handed:
                    log.info("relay: %d messages seen to", handed)
            if options["once"]:
                return
            stopped.wait(options["every"])
