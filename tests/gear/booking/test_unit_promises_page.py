from __future__ import annotations

import pytest

from tests.builders import a_unit
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
