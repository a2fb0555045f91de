"""What is done from time to time on a machine without a broker: ``manage.py tick`` runs until it is stopped.

It does what the scheduler of a larger house would hand to workers: everything in ``CELERY_BEAT_SCHEDULE``, each at its
own time. One that fails is logged and keeps no other from being done.
"""

from __future__ import annotations

import logging
import signal
import threading
from datetime import UTC, datetime
from typing import Any

from celery import current_app
from celery.schedules import maybe_schedule
from django.conf import settings
from django.core.management.base import BaseCommand
from django.db import DatabaseError, InterfaceError, close_old_connections, connection

log = logging.getLogger(__name__)

_LONG_AGO = datetime(2000, 1, 1, tzinfo=UTC)


class Command(BaseCommand):
    help = "Do the periodic work of the schedule until stopped."

    def add_arguments(self, parser: Any) -> None:
        parser.add_argument("--every", type=float, default=60.0, help="seconds between looks at the schedule")
        parser.add_argument("--once", action="store_true", help="do all of it once and end")

    def handle(self, *args: Any, **options: Any) -> None:
        stopped = threading.Event()
        for number in (signal.SIGTERM, signal.SIGINT):
            signal.signal(number, lambda *_: stopped.set())
        current_app.loader.import_default_modules()
        last = dict.fromkeys(settings.CELERY_BEAT_SCHEDULE, _LONG_AGO)
        while not stopped.is_set():
            close_old_connections()
            for name, entry in settings.CELERY_BEAT_SCHEDULE.items():
                schedule = maybe_schedule(entry["schedule"], app=current_app)
                if not stopped.is_set() and schedule.is_due(last[name]).is_due:
                    last[name] = datetime.now(UTC)
                    self._do(name, entry["task"])
            if options["once"]:
                return
            stopped.wait(options["every"])

    def _do(self, name: str, task: str) -> None:
        try:
            done = current_app.tasks[task]()
        except (DatabaseError, InterfaceError) as error:
            log.warning("%s: the database did not answer (%s); trying again", name, error)
            connection.close()
        except Exception:
            log.exception("%s failed; trying again", name)
        else:
            if done:
                log.info("%s: %s", name, done)
