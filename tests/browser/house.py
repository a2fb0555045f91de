"""A studio that a test module shares: a live server, three people, and what they do in the browser, page by page."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.db import connections
from django.test import Client
from django.utils import timezone
from pytest_django.live_server_helper import LiveServer

from studio.people.models import Person
from tests.builders import a_person

__all__ = ["DESK", "GEAR_TYPES", "PHONE", "UNITS", "House", "fill_in", "open_house"]

DESK = {"width": 1440, "height": 900}
PHONE = {"width": 390, "height": 844}
GEAR_TYPES = Path(settings.BASE_DIR) / "studio/demo/data/gear_types.json"
PASSWORD = "tram-depot-7"

UNITS = """tag,gear_type,serial,shelf,case,radio_channel
C-01,case-heads,,Gate,,
C-06,case-camera,,Gate,,
K-01,gl-200b,G2-100,A1,C-01,1
K-05,gl-400b,G4-200,A1,C-01,1
K-06,gl-400b,G4-201,A1,C-01,1
F-01,reflector-18,,C2,,
B-01,board-2m,,Hall wall,,
S-01,st-heavy,,F1,,
S-02,st-heavy,,F1,,
N-01,au-full,,Safe,C-06,
O-03,le-85,,Safe,C-06,
T-01,call-tx,,E2,C-06,
X-01,me-dome,,Safe,C-06,
R-05,rail-98,,E1,,
R-06,rail-98,,E1,,
R-15,clip-14-43,,E1,,
R-16,clip-14-43,,E1,,
R-27,cam-block,,E2,C-06,
R-28,cam-block,,E2,C-06,
R-35,aa-set,,E2,C-06,
R-36,aa-set,,E2,C-06,
H-01,charge-rail-2,,E3,,
H-05,charge-clip-4,,E3,,
"""
"""A small store: two strengths of head, one board, and what they need to run."""


@dataclass
class House:
    """The studio with its doors open: an address, a browser, and three people by role."""

    url: str
    browser: Any
    people: Mapping[str, Person]
    _pages: dict[tuple[str, bool], Any] = field(default_factory=dict)

    def page(self, role: str, phone: bool = False) -> Any:
        """The one page that somebody of that role has open, signed in; ``phone`` is one with a touch screen."""
        if (role, phone) not in self._pages:
            size = PHONE if phone else DESK
            context = self.browser.new_context(viewport=size, is_mobile=phone, has_touch=phone)
            context.set_default_timeout(15_000)
            client = Client()
            client.force_login(self.people[role])
            session = client.cookies["sessionid"].value
            context.add_cookies([{"name": "sessionid", "value": session, "url": self.url}])
            self._pages[role, phone] = context.new_page()
        return self._pages[role, phone]

    def go(self, role: str, path: str, phone: bool = False) -> Any:
        """Open an address as that person; the page."""
        page = self.page(role, phone)
        answer = page.goto(self.url + path)
        assert answer.status < 400, f"{path} answered {answer.status}"
        return page


@contextlib.contextmanager
def open_house(browser: Any) -> Iterator[House]:
    """The house on the test database, which must be unblocked; everything written is gone afterwards.

    The tests that use it carry the mark ``django_db``: it is what makes pytest-django prepare a test database.
    """
    name = connections["default"].settings_dict["NAME"]
    if not name.startswith("test_"):
        raise RuntimeError(
            f"{name} is no test database: nothing was written, and nothing is going to be flushed"
        )
    server = LiveServer("localhost")
    people = {
        role: a_person(role, username=name, first_name=first, email=f"{name}@tram-depot.example")
        for role, name, first in (
            ("manager", "runa", "Runa"),
            ("photographer", "ilo", "Ilo"),
            ("assistant", "teo", "Teo"),
        )
    }
    house = House(server.url, browser, people)
    try:
        with server._live_server_modified_settings:
            yield house
    finally:
        for page in house._pages.values():
            page.context.close()
        server.stop()
        call_command("flush", interactive=False, verbosity=0)
        connections.close_all()


def fill_in(page: Any, values: Mapping[str, str | bool]) -> None:
    """Fill fields by their names: text is typed, a choice chosen, True ticked. Folded parts are opened first."""
    page.evaluate("document.querySelectorAll('main details').forEach(part => { part.open = true })")
    for name, value in values.items():
        control = page.locator(f'main [name="{name}"]')
        if value is True:
            control.check()
        elif control.evaluate("e => e.tagName") == "SELECT":
            control.select_option(str(value))
        else:
            control.fill(str(value))


def on_the_clock(days: int, hour: int) -> str:
    """That hour some days ahead, as a field for date and time takes it."""
    day: datetime = timezone.now() + timedelta(days=days)
    return f"{day:%Y-%m-%d}T{hour:02d}:00"
