"""``manage.py demo_accounts``: how the three people of the demo sign in."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand

from studio.demo.people import ACCOUNTS
from studio.people.models import Person


class Command(BaseCommand):
    help = "Print how to sign in to the demo studio."

    def handle(self, *args: Any, **options: Any) -> None:
        people = {person.username: person for person in Person.objects.all()}
        for account in ACCOUNTS:
            person = people.get(account.username)
            if person is not None and person.check_password(account.password):
                self.stdout.write(f"  {account.username:<13} {account.password:<13} {account.role.label}")
