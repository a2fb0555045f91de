"""No page and no read of the API asks the database more than fifteen times, and none more often when there is more."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from tests.studio.web.full_house import FullHouse

pytestmark = pytest.mark.django_db

MOST = 15
FEW, MANY = 3, 9
MAY_ANSWER = {"manager": (302, 405), "photographer": (302, 403, 405)}
"""Other answers than a page: elsewhere, not your right, only by POST."""

SHOWN = {"manager": 110, "photographer": 90}

WHEN = "?starts=2027-01-11T10:00&ends=2027-01-11T12:00&zone=UTC"
ASKED = {
    "api-kits:availability": WHEN,
    "api-stock:availability": WHEN,
    "shoots:job": "?job=head&light=Key&number=1",
    "recipes:compare": "?a=1&b=2",
    "api-recipes:compare": "?a=1&b=2",
    "inventory:units": "?q=t-",
    "inventory:labels": "?tag=CASE-01",
    "api-booking:free-units": WHEN + "&kind=strobe",
}
"""What some pages are asked, so that they show something."""


def addresses(house: FullHouse) -> Iterator[tuple[str, str]]:
    """(name, address) of everything that has an address."""
    args = house.args
    for name, pattern in _named(get_resolver().url_patterns):
        space = name.partition(":")[0]
        given = args.get(name) or args.get(space) or args.get(space.removeprefix("api-")) or {}
        wanted = pattern.pattern.converters
        yield name, reverse(name, kwargs={one: given.get(one, 0) for one in wanted}) + ASKED.get(name, "")


def _named(patterns: list[Any], space: str = "") -> Iterator[tuple[str, URLPattern]]:
    for one in patterns:
        if isinstance(one, URLResolver):
            yield from _named(one.url_patterns, f"{one.namespace}:" if one.namespace else space)
        elif one.name:
            yield f"{space}{one.name}", one


def asked(client: Client, house: FullHouse) -> dict[str, tuple[int, int]]:
    """By name, the status of every answer, and how many statements it took."""
    found = {}
    for name, address in addresses(house):
        with CaptureQueriesContext(connection) as statements:
            answer = client.get(address)
            if answer.streaming:
                b"".join(answer.streaming_content)
        found[name] = answer.status_code, len(statements)
    return found


@pytest.mark.parametrize("role", ["manager", "photographer"])
def test_no_page_asks_more_than_fifteen_times_nor_more_often_for_more(
    signed_in: Callable[[str], Client], role: str
) -> None:
    client = signed_in(role)
    house = FullHouse(client.person)  # type: ignore[attr-defined]
    taken = []
    for count in (FEW, MANY):
        while house.count < count:
            house.add()
        house.ready()
        taken.append(asked(client, house))
    few, many = taken
    answers = {status for status, _ in many.values()}
    shown = [name for name, (status, _) in many.items() if status == 200]
    assert answers <= {200, *MAY_ANSWER[role]}, {n: s for n, (s, _) in many.items() if s not in (200, 405)}
    assert len(shown) > SHOWN[role], "so many pages were shown at least"
    assert {name: count for name, (_, count) in many.items() if count > MOST} == {}
    assert {n: (few[n][1], many[n][1]) for n in shown if many[n][1] > few[n][1]} == {}
