"""What is done from time to time on a machine without a broker: ``manage.py tick`` runs until it is stopped.

It sees to what a crash left in the outbox, sweeps for stale readiness, books the days of series that have come into
sight, and forgets what nobody will ask for.
"""

from __future__ import annotations

import logging
import signal
import threading
from typing import Any

from django.core.management.base import BaseCommand
from django.db import DatabaseError, InterfaceError, close_old_connections, connection

from studio.once.tasks import forget as forget_answers
from studio.outbox.tasks import forget as forget_messages
from studio.outbox.tasks import relay
from studio.readiness.tasks import sweep
from studio.shoots.tasks import extend_series

log = logging.getLogger(__name__)


class Command(BaseCommand):
    help = "See to the outbox and re-check whatever readiness is stale, every minute, until stopped."

    def add_arguments(self, parser: Any) -> None:
        parser.add_argument("--every", type=float, default=60.0, help="seconds between sweeps")
        parser.add_argument("--once", action="store_true", help="sweep once and end")

    def handle(self, *args: Any, **options: Any) -> None:
        stopped = threading.Event()
        for number in (signal.SIGTERM, signal.SIGINT):
            signal.signal(number, lambda *_: stopped.set())
        while not stopped.is_set():
            close_old_connections()
            try:
                relayed, done = relay(), sweep()
                extend_series()
                forget_answers()
                forget_messages()
            except (DatabaseError, InterfaceError) as error:
                log.warning("sweep: the database did not answer (%s); trying again", error)
                connection.close()
            else:
                if relayed:
                    log.info("relay: %d messages seen to", relayed)
                if done:
                    log.info("sweep: %d recipes checked", done)
            if options["once"]:
                return
            stopped.wait(options["every"])
