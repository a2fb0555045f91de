"""What is measured again and again: the health of a battery, the flashes of a head, the firmware."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from django.urls import reverse

from gear.errors import Invalid
from gear.inventory.entry import CareNote
from gear.inventory.models import Unit
from gear.inventory.queries import firmwares_beside, series_of
from gear.inventory.series import Reading, Series
from gear.inventory.services import add_care_entry
from tests.builders import a_gear_type, a_unit

SPRING, SUMMER, AUTUMN = date(2026, 3, 1), date(2026, 6, 1), date(2026, 9, 1)


@pytest.fixture
def head(db: None) -> Unit:
    return a_unit(tag="K-01")


def counted(count: int, day: date, kind: str = "measurement") -> None:
    add_care_entry("K-01", CareNote(kind=kind, text="read", flash_count=count, happened_on=day), None)


def test_a_counter_that_was_read_is_the_units(head: Unit, signed_in: Any) -> None:
    answer = signed_in("assistant").post(
        reverse("inventory:care", args=["K-01"]),
        {
            "kind": "measurement",
            "text": "Read off the menu",
            "flash_count": "41200",
            "happened_on": "2026-03-01",
        },
    )
    assert answer.status_code == 302
    head.refresh_from_db()
    assert head.flash_count == 41_200
    page = signed_in("assistant").get(reverse("inventory:unit", args=["K-01"])).content.decode()
    assert "41\u202f200 on its tube" in page


def test_a_counter_does_not_run_backwards(head: Unit) -> None:
    counted(41_200, SUMMER)
    with pytest.raises(Invalid, match="on 2026-06-01 it stood at 41,200"):
        counted(41_000, AUTUMN)
    with pytest.raises(Invalid, match="does not run backwards"):
        counted(41_300, SPRING)
    counted(41_200, AUTUMN)
    head.refresh_from_db()
    assert (head.flash_count, head.care.count()) == (41_200, 2)


def test_another_tube_begins_to_count_anew(head: Unit) -> None:
    counted(41_200, SPRING)
    counted(0, SUMMER, "repair")
    counted(900, AUTUMN)
    head.refresh_from_db()
    assert head.flash_count == 900
    with pytest.raises(Invalid, match="it stood at 900"):
        counted(899, AUTUMN)
    counted(41_900, date(2026, 5, 1))
    head.refresh_from_db()
    assert head.flash_count == 900, "what was true later wins, whenever it is written down"
    with pytest.raises(Invalid, match="it stood at 41,900"):
        counted(41_300, date(2026, 5, 20))


def test_flashes_are_counted_on_heads(db: None) -> None:
    a_unit(a_gear_type("case"), tag="C-01")
    with pytest.raises(Invalid, match="belongs to a flash head; C-01 is a case"):
        add_care_entry("C-01", CareNote(kind="measurement", text="x", flash_count=3), None)


def test_firmware_goes_with_its_own_kind_of_entry(head: Unit) -> None:
    with pytest.raises(Invalid, match="kind firmware"):
        add_care_entry("K-01", CareNote(kind="note", text="x", firmware="2.1"), None)
    with pytest.raises(Invalid, match="expects the version"):
        add_care_entry("K-01", CareNote(kind="firmware", text="x"), None)


def test_the_firmware_of_a_unit_is_the_one_put_on_it_last(head: Unit) -> None:
    add_care_entry("K-01", CareNote(kind="firmware", text="x", firmware="2.1", happened_on=SUMMER), None)
    add_care_entry("K-01", CareNote(kind="firmware", text="x", firmware="1.9", happened_on=SPRING), None)
    head.refresh_from_db()
    assert head.firmware == "2.1"


def test_a_page_tells_what_runs_on_others_of_its_type(head: Unit, signed_in: Any) -> None:
    for number in (2, 3):
        a_unit(head.gear_type, tag=f"K-0{number}", firmware="1.9")
    a_unit(head.gear_type, tag="K-04", firmware="1.2", condition="lost")
    Unit.objects.filter(tag="K-01").update(firmware="2.1")
    head.refresh_from_db()
    assert firmwares_beside(head) == [("1.9", 2), ("2.1", 1)]
    assert "1.9 on 2, 2.1 on 1" in signed_in().get(reverse("inventory:unit", args=["K-01"])).content.decode()


def test_the_health_of_a_battery_over_time_stands_on_its_page(db: None, signed_in: Any) -> None:
    battery = a_unit(a_gear_type("battery", {"fit": "rail-48", "capacity_wh": 90}), tag="B-01")
    for day, health in ((SPRING, 0.9), (SUMMER, 0.86), (AUTUMN, 0.81)):
        add_care_entry("B-01", CareNote(kind="measurement", text="x", health=health, happened_on=day), None)
    found = series_of(battery)
    assert found is not None
    assert [reading.value for reading in found.readings] == [0.9, 0.86, 0.81]
    page = signed_in("assistant").get(reverse("inventory:unit", args=["B-01"])).content.decode()
    assert "It changes by <b>−0.18</b> a year" in page
    assert page.count("<circle") == 3


def test_a_straight_line_is_found_again() -> None:
    """0.1 a year lost: exact for readings that lie on the line."""
    readings = tuple(
        Reading(date(year, 1, 1), 1.0 - 0.1 * (date(year, 1, 1) - date(2022, 1, 1)).days / 365.25)
        for year in (2022, 2023, 2024, 2026)
    )
    assert Series("health", readings).per_year == pytest.approx(-0.1)


@pytest.mark.parametrize(
    "readings",
    [
        (Reading(SPRING, 0.9), Reading(AUTUMN, 0.8)),
        (Reading(SPRING, 0.9), Reading(date(2026, 3, 20), 0.89), Reading(date(2026, 4, 10), 0.88)),
        (Reading(SPRING, 900.0), Reading(SUMMER, 1900.0), Reading(AUTUMN, 0.0, anew=True)),
    ],
    ids=["two readings", "forty days", "a new tube since"],
)
def test_too_little_is_no_trend(readings: tuple[Reading, ...]) -> None:
    assert Series("health", readings).per_year is None


def test_each_tube_is_a_line_of_its_own() -> None:
    series = Series(
        "flash_count", (Reading(SPRING, 10.0), Reading(SUMMER, 40.0), Reading(AUTUMN, 0.0, anew=True))
    )
    first, second = series.lines
    assert [(point.x, point.y) for point in first] == [(0.0, 22.5), (50.0, 0.0)]
    assert [(point.x, point.y) for point in second] == [(100.0, 30.0)]
