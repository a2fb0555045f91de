"""Faults, release and the care history."""

from datetime import date, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from gear.errors import Conflict, Invalid, StaleEdit
from gear.inventory.entry import CareNote
from gear.inventory.services import add_care_entry, change_condition, report_fault
from tests.builders import a_gear_type, a_unit


@pytest.fixture
def unit(db):
    return a_unit(tag="K-01")


@pytest.fixture
def battery(db):
    return a_unit(a_gear_type("battery", {"fit": "rail-48", "capacity_wh": 90}), tag="B-01")


@pytest.mark.parametrize("role", ["manager", "photographer", "assistant"])
def test_everyone_may_report_a_fault_and_it_is_out_of_use_at_once(role, signed_in, unit):
    client = signed_in(role)
    answer = client.post(reverse("inventory:fault", args=["K-01"]), {"text": "Does not fire"})
    assert answer.url == reverse("inventory:unit", args=["K-01"])
    unit.refresh_from_db()
    assert (unit.condition, unit.condition_note) == ("quarantine", "Does not fire")
    entry = unit.care.get()
    assert (entry.kind, entry.by, entry.condition_before) == ("fault", client.person, "ready")


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("ready", "quarantine"),
        ("quarantine", "quarantine"),
        ("repair", "repair"),
        ("lost", "quarantine"),
        ("written-off", "written-off"),
    ],
)
def test_what_a_fault_makes_of_each_condition(before, after, unit):
    type(unit).objects.update(condition=before)
    report_fault("K-01", "Does not fire", None)
    unit.refresh_from_db()
    assert unit.condition == after


def test_a_fault_needs_a_word(signed_in, unit):
    answer = signed_in("assistant").post(reverse("inventory:fault", args=["K-01"]), {"text": "  "})
    assert answer.status_code == 422
    assert "what is wrong with it" in answer.content.decode()
    unit.refresh_from_db()
    assert unit.condition == "ready"


def test_the_manager_releases_after_an_inspection(signed_in, unit):
    report_fault("K-01", "Cable torn", None)
    signed_in().post(
        reverse("inventory:condition", args=["K-01"]),
        {"condition": "ready", "text": "New cable, tested", "version": "2"},
    )
    unit.refresh_from_db()
    assert (unit.condition, unit.condition_note) == ("ready", "")
    assert [(e.kind, e.text) for e in unit.care.all()] == [
        ("inspection", "New cable, tested"),
        ("fault", "Cable torn"),
    ]


@pytest.mark.parametrize("before", ["quarantine", "repair", "lost", "written-off"])
def test_nothing_comes_back_into_use_without_an_inspection(before, unit):
    type(unit).objects.update(condition=before)
    with pytest.raises(Invalid, match="Say what was inspected"):
        change_condition("K-01", "ready", " ", None)


@pytest.mark.parametrize("role", ["photographer", "assistant"])
def test_only_the_manager_releases(role, signed_in, unit):
    report_fault("K-01", "Cable torn", None)
    answer = signed_in(role).post(
        reverse("inventory:condition", args=["K-01"]), {"condition": "ready", "text": "ok", "version": "2"}
    )
    assert answer.status_code == 403
    unit.refresh_from_db()
    assert unit.condition == "quarantine"


def test_a_fault_reported_since_the_manager_looked_stops_the_release(signed_in, unit):
    report_fault("K-01", "Cable torn", None)
    report_fault("K-01", "Smells burnt", None)
    with pytest.raises(StaleEdit):
        change_condition("K-01", "ready", "New cable", None, version=2)
    answer = signed_in().post(
        reverse("inventory:condition", args=["K-01"]),
        {"condition": "ready", "text": "New cable", "version": "2"},
    )
    assert answer.status_code == 412
    assert "Smells burnt" in answer.content.decode()


def test_a_condition_it_has_already_is_no_change(unit):
    with pytest.raises(Conflict, match="is ready already"):
        change_condition("K-01", "ready", "x", None)
    with pytest.raises(Invalid, match="no condition"):
        change_condition("K-01", "broken", "x", None)


def test_the_newest_entry_stands_first_on_the_page(signed_in, unit):
    add_care_entry("K-01", CareNote(kind="note", text="FIRST"), None)
    add_care_entry("K-01", CareNote(kind="repair", text="SECOND"), None)
    page = signed_in("assistant").get(reverse("inventory:unit", args=["K-01"])).content.decode()
    assert page.index("SECOND") < page.index("FIRST")


def test_a_measured_health_becomes_the_health_of_the_battery(signed_in, battery):
    signed_in("assistant").post(
        reverse("inventory:care", args=["B-01"]),
        {"kind": "measurement", "text": "Discharge test", "health": "0.86", "happened_on": "2026-03-01"},
    )
    battery.refresh_from_db()
    assert battery.health == 0.86
    assert battery.care.get().happened_on == date(2026, 3, 1)


def test_a_measurement_learned_late_does_not_replace_a_newer_one(battery):
    for day, health in ((date(2026, 3, 1), 0.8), (date(2026, 1, 1), 0.9)):
        add_care_entry(
            "B-01", CareNote(kind="measurement", text="Test", health=health, happened_on=day), None
        )
    battery.refresh_from_db()
    assert battery.health == 0.8
    assert battery.care.count() == 2


def test_an_inspection_sets_when_the_next_is_due(unit):
    add_care_entry("K-01", CareNote(kind="inspection", text="Annual", next_inspection=date(2027, 3, 1)), None)
    unit.refresh_from_db()
    assert unit.inspection_due == date(2027, 3, 1)


def test_an_entry_does_not_lie_ahead(unit):
    tomorrow = timezone.localdate() + timedelta(days=1)
    with pytest.raises(Invalid, match="lies ahead"):
        add_care_entry("K-01", CareNote(kind="note", text="x", happened_on=tomorrow), None)


def test_health_belongs_to_a_battery_and_to_a_measurement(unit, battery):
    with pytest.raises(Invalid, match="belongs to a battery"):
        add_care_entry("K-01", CareNote(kind="measurement", text="x", health=0.9), None)
    with pytest.raises(Invalid, match="kind measurement"):
        add_care_entry("B-01", CareNote(kind="note", text="x", health=0.9), None)


def test_a_unit_page_with_a_long_history_needs_few_queries(unit, signed_in, django_assert_max_num_queries):
    for _ in range(50):
        add_care_entry("K-01", CareNote(kind="note", text="x"), None)
    client = signed_in()
    with django_assert_max_num_queries(15):
        client.get(reverse("inventory:unit", args=["K-01"]))


def test_a_case_shows_what_travels_in_it(signed_in, db):
    case = a_unit(a_gear_type("case"), tag="C-01")
    a_unit(tag="K-55", case=case)
    page = signed_in("assistant").get(reverse("inventory:unit", args=["C-01"])).content.decode()
    assert "K-55" in page
