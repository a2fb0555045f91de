"""``manage.py load_demo``: the studio in the tram depot, once."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from studio.demo.loading import is_loaded, load_demo
from studio.readiness.queries import stale_shoots
from studio.readiness.services import check_shoots


class Command(BaseCommand):
    help = "Load the demo studio into an empty database."

    def add_arguments(self, parser: Any) -> None:
        parser.add_argument("--once", action="store_true", help="do nothing when there is a studio already")

    def handle(self, *args: Any, **options: Any) -> None:
        if is_loaded():
            if options["once"]:
                return
            raise CommandError(
                "There is a studio in this database already; the demo is loaded into an empty one only."
            )
        load_demo()
        check_shoots(stale_shoots(), only_stale=True)
        self.stdout.write("The demo studio is loaded.")
