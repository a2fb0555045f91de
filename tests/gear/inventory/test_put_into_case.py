"""Case 50: the same unit scanned into two cases; the second scan asks, and it is never in two."""

from __future__ import annotations

import pytest
from django.urls import reverse

from gear.errors import Gone, Invalid
from gear.inventory.casing import InAnotherCase, put_into_case
from tests.builders import a_gear_type, a_unit

pytestmark = pytest.mark.django_db


@pytest.fixture
def cases():
    kind = a_gear_type("case")
    return a_unit(kind, tag="C-01"), a_unit(kind, tag="C-02")


def test_the_second_scan_asks_and_moves_only_when_told(cases) -> None:
    unit = a_unit(tag="K-03")
    put_into_case("k-03", "C-01", None)
    with pytest.raises(InAnotherCase, match=r"K-03 is in C-01 already\. Move it to C-02\?") as asked:
        put_into_case("K-03", "C-02", None)
    assert asked.value.ways_out[0] == "Move it to C-02"
    unit.refresh_from_db()
    assert unit.case == cases[0]
    put_into_case("K-03", "C-02", None, move=True)
    unit.refresh_from_db()
    assert unit.case == cases[1]


def test_the_same_scan_again_changes_nothing(cases) -> None:
    a_unit(tag="K-03")
    first = put_into_case("K-03", "C-01", None)
    assert put_into_case("K-03", "C-01", None).version == first.version


def test_what_has_no_tag_here_and_what_is_no_case_are_refused(cases) -> None:
    a_unit(tag="K-03"), a_unit(tag="K-04")
    with pytest.raises(Gone, match="found tray"):
        put_into_case("ZZ-9", "C-01", None)
    with pytest.raises(Invalid, match="K-04 is not a case"):
        put_into_case("K-03", "K-04", None)


def test_a_case_does_not_travel_in_itself(cases) -> None:
    put_into_case("C-01", "C-02", None)
    with pytest.raises(Invalid, match="cannot travel"):
        put_into_case("C-02", "C-01", None)


def test_over_the_api(signed_in, cases) -> None:
    a_unit(tag="K-03")
    client, json = signed_in(), {"content_type": "application/json"}
    address = "/api/units/K-03/case"
    assert client.put(address, {"case": "C-01"}, **json).json() == {"unit": "K-03", "case": "C-01"}
    asked = client.put(address, {"case": "C-02"}, **json)
    assert (asked.status_code, asked.json()["code"]) == (409, "in-another-case")
    assert client.put(address, {"case": "C-02", "move": True}, **json).status_code == 200
    assert signed_in("assistant").put(address, {"case": "C-01"}, **json).status_code == 403


def test_the_page_asks_before_a_unit_moves_from_one_case_to_another(signed_in):
    """Case 50."""
    kind = a_gear_type("case")
    one, other, unit = a_unit(kind, tag="C-11"), a_unit(kind, tag="C-12"), a_unit(tag="K-11")
    client = signed_in("manager")

    def scan(case, **more):
        return client.post(reverse("inventory:into-case", args=[case.tag]), {"unit": unit.code, **more})

    assert scan(one).status_code == 302
    asked = scan(other)
    unit.refresh_from_db()
    assert (asked.status_code, unit.case) == (409, one)
    assert "Move it to C-12" in asked.content.decode()
    scan(other, move="1")
    unit.refresh_from_db()
    assert unit.case == other
