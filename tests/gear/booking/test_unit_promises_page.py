from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from gear.booking.services import promise_units
from tests.builders import a_booking, a_person, a_unit
from tests.gear.booking.times import a_type, booked

pytestmark = pytest.mark.django_db


def test_the_promises_of_a_unit_are_a_page(signed_in) -> None:
    unit = a_unit(a_type(), tag="K-03")
    booked(10, 12, unit, title="Dancers")
    page = signed_in("assistant").get("/gear/K-03/promises").content.decode()
    assert "Dancers" in page
    assert "<html" in page


def test_a_part_of_another_page_gets_the_list_only(signed_in) -> None:
    a_unit(tag="K-03")
    part = signed_in().get("/gear/K-03/promises", headers={"HX-Request": "true"}).content.decode()
    assert "Nothing is promised" in part
    assert "<html" not in part


def test_an_unknown_tag_gets_404(signed_in) -> None:
    assert signed_in().get("/gear/X-99/promises").status_code == 404


def test_what_is_over_stands_under_what_is_coming_the_latest_first(signed_in) -> None:
    unit = a_unit(a_type(), tag="K-03")
    for title, days in (("First", -20), ("Second", -10), ("Coming", 10)):
        booking = a_booking(datetime.now(UTC) + timedelta(days=days), title=title)
        promise_units(booking, [unit.pk], a_person())
    dropped = a_booking(datetime.now(UTC) - timedelta(days=5), title="Dropped")
    promise_units(dropped, [unit.pk], a_person())
    dropped.allocations.update(active=False)
    page = signed_in("assistant").get("/gear/K-03/promises").content.decode()
    assert (
        page.index("Coming") < page.index("Promised before: 2") < page.index("Second") < page.index("First")
    )
    assert "Dropped" not in page


def test_without_a_past_nothing_is_said_of_it(signed_in) -> None:
    booked(10, 12, a_unit(a_type(), tag="K-03"))
    assert "Promised before" not in signed_in().get("/gear/K-03/promises").content.decode()
