"""Inspections fall due by the interval of the gear type, counted from the day one was done; and what repairs cost."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse
from django.utils import timezone

from gear.catalogue.entry import read_entry
from gear.catalogue.models import GearType
from gear.catalogue.type_document import read_type_document, write_type_document
from gear.errors import Invalid
from gear.inventory.entry import CareNote, read_typed
from gear.inventory.models import CareEntry
from gear.inventory.queries import inspections_due, repair_costs
from gear.inventory.services import add_care_entry, change_condition, report_fault
from tests.builders import STROBE, a_gear_type, a_unit

pytestmark = pytest.mark.django_db
TODAY = date(2026, 11, 25)


@pytest.fixture
def today(monkeypatch):
    monkeypatch.setattr(timezone, "localdate", lambda *args: TODAY)
    return TODAY


def inspected_every(days):
    return a_gear_type(inspection_days=days, inspection_source="decision of the studio, 2026")


def inspect(unit, done_on, **more):
    add_care_entry(unit.tag, CareNote(kind="inspection", text="in order", happened_on=done_on, **more), None)
    unit.refresh_from_db()
    return unit.inspection_due


def test_an_inspection_entered_on_thursday_but_done_on_monday_counts_from_monday(today):
    unit = a_unit(inspected_every(180))
    monday = date(2026, 11, 23)
    assert inspect(unit, monday) == monday + timedelta(days=180)


def test_without_an_interval_no_date_is_made_up(today):
    assert inspect(a_unit(), TODAY) is None


def test_a_date_that_was_said_goes_before_the_interval(today):
    assert inspect(a_unit(inspected_every(180)), TODAY, next_inspection=date(2027, 1, 1)) == date(2027, 1, 1)


def test_an_older_inspection_found_later_moves_nothing_back(today):
    unit = a_unit(inspected_every(100))
    newer = inspect(unit, TODAY - timedelta(days=1))
    assert inspect(unit, TODAY - timedelta(days=50)) == newer


def test_a_release_after_a_repair_is_no_such_inspection(today):
    unit = a_unit(inspected_every(100), inspection_due=TODAY + timedelta(days=3))
    report_fault(unit.tag, "cable torn", None)
    change_condition(unit.tag, "ready", "new cable, tried", None)
    unit.refresh_from_db()
    assert unit.inspection_due == TODAY + timedelta(days=3)
    assert inspect(unit, TODAY - timedelta(days=1)) == TODAY + timedelta(days=99)


@pytest.mark.parametrize("kind", ["note", "repair"])
def test_other_entries_move_no_date(kind, today):
    unit = a_unit(inspected_every(100))
    add_care_entry(unit.tag, CareNote(kind=kind, text="done"), None)
    unit.refresh_from_db()
    assert unit.inspection_due is None


def an_entry(**more):
    return {"slug": "key", "name": "Key", "kind": "strobe", "spec": STROBE, **more}


def test_an_interval_needs_its_source():
    with pytest.raises(Invalid) as refused:
        read_entry(an_entry(inspection_days=365))
    assert [problem.where for problem in refused.value.problems] == ["inspection_source"]
    assert "where the interval comes from" in refused.value.sentence
    assert read_entry(an_entry(inspection_days=365, inspection_source="maker")).inspection_days == 365


def test_the_database_asks_for_the_source_too():
    gear_type = a_gear_type()
    for wrong in ({"inspection_days": 30}, {"inspection_days": 0, "inspection_source": "x"}):
        with pytest.raises(IntegrityError), transaction.atomic():
            GearType.objects.filter(pk=gear_type.pk).update(**wrong)


@pytest.mark.parametrize("days", [0, -1, 3661, 1.5, "soon"])
def test_an_interval_is_one_day_to_ten_years(days):
    with pytest.raises(Invalid, match="inspection_days"):
        read_entry(an_entry(inspection_days=days, inspection_source="maker"))


def test_the_interval_travels_with_the_catalogue():
    entry = read_entry(an_entry(inspection_days=90, inspection_source="maker"))
    [row] = read_type_document(write_type_document([entry]))
    assert read_entry(row.data) == entry


def test_no_gear_type_has_an_interval_unless_somebody_set_one():
    assert a_gear_type().inspection_days is None


def test_the_manager_sets_the_interval_on_the_page_of_the_type(signed_in):
    gear_type = a_gear_type()
    client = signed_in()
    page = client.get(reverse("catalogue:type-edit", args=[gear_type.slug])).content.decode()
    assert 'name="inspection_days"' in page
    form = {
        "version": 1,
        "as": "text",
        "name": gear_type.name,
        "maker": gear_type.maker,
        "slug": gear_type.slug,
        "spec_text": '{"kind": "case"}',
        "inspection_days": "365",
    }
    case = a_gear_type("case")
    form |= {"name": case.name, "slug": case.slug}
    address = reverse("catalogue:type-edit", args=[case.slug])
    refused = client.post(address, form)
    assert refused.status_code == 422
    assert "where the interval comes from" in refused.content.decode()
    client.post(address, form | {"inspection_source": "local rule on hire"})
    case.refresh_from_db()
    assert (case.inspection_days, case.inspection_source) == (365, "local rule on hire")
    assert (
        "every 365 days (local rule on hire)"
        in client.get(reverse("catalogue:type", args=[case.slug])).content.decode()
    )


def due_tags(found):
    return [unit.tag for unit in found.units]


def test_the_due_list_is_overdue_first_then_thirty_days_then_what_has_no_date():
    kind = inspected_every(365)
    for tag, days in [("O-2", -1), ("O-1", -400), ("S-0", 0), ("S-30", 30), ("L-31", 31)]:
        a_unit(tag=tag, inspection_due=TODAY + timedelta(days=days))
    a_unit(kind, tag="N-1")
    a_unit(tag="F-1")
    for tag, condition in [("X-1", "lost"), ("X-2", "written-off")]:
        a_unit(tag=tag, condition=condition, inspection_due=TODAY - timedelta(days=9))
    a_unit(tag="R-1", condition="repair", inspection_due=TODAY - timedelta(days=2))
    due = inspections_due(TODAY)
    assert due_tags(due.overdue) == ["O-1", "R-1", "O-2"]
    assert due_tags(due.soon) == ["S-0", "S-30"]
    assert due_tags(due.undated) == ["N-1"]


def test_a_long_due_list_says_how_many_there_are(monkeypatch, signed_in, django_assert_max_num_queries):
    monkeypatch.setattr("gear.inventory.queries.DUE_SHOWN", 50)
    kind = a_gear_type()
    for _ in range(53):
        a_unit(kind, inspection_due=date(2020, 1, 1))
    client = signed_in()
    with django_assert_max_num_queries(15):
        page = client.get("/gear/inspections/").content.decode()
    assert "The first 50 of 53" in page


def test_what_is_overdue_is_marked_on_the_unit_the_list_and_the_first_page(signed_in):
    a_unit(tag="K-01", inspection_due=date(2020, 1, 1))
    client = signed_in()
    assert "overdue" in client.get("/gear/K-01/").content.decode()
    assert "K-01" in client.get("/gear/inspections/").content.decode()
    first = client.get("/").content.decode()
    assert "1 inspection overdue" in first
    assert 'href="/gear/inspections/"' in first
    assert "Every unit is fit for use" not in first


def test_nothing_due_says_so(signed_in):
    page = signed_in("assistant").get("/gear/inspections/").content.decode()
    assert "Nothing is overdue" in page
    assert "Nothing falls due within 30 days" in page


def test_recording_starts_on_the_due_list(signed_in):
    unit = a_unit(inspected_every(365))
    client = signed_in("assistant")
    assert f"/gear/{unit.tag}/care/?kind=inspection" in client.get("/gear/inspections/").content.decode()
    page = client.get(f"/gear/{unit.tag}/care/?kind=inspection").content.decode()
    assert '<option value="inspection" selected>' in page
    assert "365 days after it was done" in page
    client.post(
        f"/gear/{unit.tag}/care/", {"kind": "inspection", "text": "fine", "happened_on": "2026-03-02"}
    )
    unit.refresh_from_db()
    assert unit.inspection_due == date(2027, 3, 2)


def repair(unit, cost, currency="EUR"):
    note = read_typed(CareNote, {"kind": "repair", "text": "x", "cost": cost, "currency": currency}, "It")
    return add_care_entry(unit.tag, note, None)


def test_costs_are_summed_by_currency_to_the_cent():
    unit = a_unit()
    for cost, currency in [("0.10", "EUR"), ("0.20", "eur"), ("84.50", "CHF"), ("0", "EUR")]:
        repair(unit, cost, currency)
    repair(a_unit(), "500")
    assert repair_costs(unit) == [("CHF", Decimal("84.50"), 1), ("EUR", Decimal("0.30"), 3)]


def test_the_costs_stand_on_the_page(signed_in):
    unit = a_unit()
    client = signed_in("assistant")
    address = f"/gear/{unit.tag}/care/"
    client.post(address, {"kind": "repair", "text": "New tube", "cost": "84.50", "currency": "eur"})
    client.post(address, {"kind": "repair", "text": "New fan", "cost": "15.50", "currency": "EUR"})
    page = client.get(f"/gear/{unit.tag}/").content.decode()
    assert "100.00 EUR" in page
    assert "84.50 EUR" in page
    answer = client.get(reverse("api-inventory:care", args=[unit.tag])).json()
    assert [(line["cost"], line["currency"]) for line in answer] == [("15.50", "EUR"), ("84.50", "EUR")]


@pytest.mark.parametrize(
    ("typed", "where"),
    [
        ({"cost": "84.50"}, "currency"),
        ({"currency": "EUR"}, "cost"),
        ({"cost": "-1", "currency": "EUR"}, "cost"),
        ({"cost": "1.005", "currency": "EUR"}, "cost"),
        ({"cost": "NaN", "currency": "EUR"}, "cost"),
        ({"cost": "1e40", "currency": "EUR"}, "cost"),
        ({"cost": "a lot", "currency": "EUR"}, "cost"),
        ({"cost": "1", "currency": "€"}, "currency"),
        ({"cost": "1", "currency": "EURO"}, "currency"),
        ({"cost": "1", "currency": "EUR", "kind": "note"}, "cost"),
    ],
)
def test_an_odd_cost_gets_a_sentence_and_writes_nothing(typed, where):
    unit = a_unit()

    def write():
        note = read_typed(CareNote, {"kind": "repair", "text": "x", **typed}, "The entry")
        add_care_entry(unit.tag, note, None)

    with pytest.raises(Invalid) as refused:
        write()
    assert where in [problem.where for problem in refused.value.problems]
    assert not unit.care.exists()


def test_the_database_keeps_no_cost_without_a_currency():
    entry = repair(a_unit(), "5")
    for wrong in ({"currency": ""}, {"cost": None}, {"cost": -1}, {"currency": "eur"}):
        with pytest.raises(IntegrityError), transaction.atomic():
            CareEntry.objects.filter(pk=entry.pk).update(**wrong)
