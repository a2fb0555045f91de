"""A phone without a browser: it counts its acts, keeps them, and sends what it is told to."""

from __future__ import annotations

import uuid
from datetime import UTC, datetime
from typing import Any

from django.test import Client
from django.urls import reverse

from gear.booking.services import promise_units
from studio.packing.services import update_list
from studio.shoots.models import Shoot
from tests.builders import a_person, a_shoot


class Phone:
    """Notes acts in the newest format; ``client`` is who is signed in on it."""

    def __init__(self, client: Client) -> None:
        self.client, self.id, self.next = client, str(uuid.uuid4()), 1
        self.kept: list[dict[str, Any]] = []

    def note(
        self, act: str, shoot: Shoot, mark: str = "", at: datetime | None = None, **more: Any
    ) -> dict[str, Any]:
        """Keep an act; it is sent with the next `send`."""
        written = {
            "format": 3,
            "key": str(uuid.uuid4()),
            "number": self.next,
            "shoot": shoot.pk,
            "act": act,
            "mark": mark,
            "at": (at or datetime.now(UTC)).isoformat(),
            "person": self.client.person.pk,
            "listed": True,
            **more,
        }
        self.next += 1
        self.kept.append(written)
        return written

    def send(
        self,
        *documents: Any,
        now: datetime | None = None,
        lowest: int | None = None,
        by: Client | None = None,
    ) -> Any:
        """Send these, or all that is kept; the answers. ``lowest`` is the lowest number that is kept."""
        sent = list(documents) or list(self.kept)
        numbers = [kept["number"] for kept in self.kept]
        answer = (by or self.client).post(
            reverse("api-phones:operations"),
            {
                "device": self.id,
                "name": "Android, Chrome",
                "now": (now or datetime.now(UTC)).isoformat(),
                "lowest_kept": lowest or min(numbers, default=self.next),
                "unsent": len(self.kept),
                "operations": sent,
            },
            "application/json",
        )
        assert answer.status_code == 200, answer.content
        return answer.json()["answers"]


def a_list(*units: Any, **more: Any) -> Shoot:
    """A shoot with these units promised and on its list."""
    shoot = a_shoot(**more)
    promise_units(shoot.booking, [unit.pk for unit in units], a_person("manager"))
    update_list(shoot)
    return shoot


def states(answers: list[dict[str, Any]]) -> list[str]:
    return [answer["state"] for answer in answers]
