"""The manager enters a unit and corrects what the store says of it."""

import pytest
from django.urls import reverse

from gear.changes import _writers
from gear.errors import Conflict, Gone, Invalid, StaleEdit
from gear.inventory.entry import UnitEntry
from gear.inventory.models import Unit
from gear.inventory.services import add_unit, change_unit, report_fault
from tests.builders import a_gear_type, a_unit


def entry(gear_type, tag="K-01", **more):
    return UnitEntry(tag=tag, gear_type=gear_type.slug, **more)


def test_a_unit_is_entered(signed_in):
    gear_type = a_gear_type()
    client = signed_in()
    answer = client.post(
        reverse("inventory:unit-new"), {"tag": "k-01", "gear_type": gear_type.slug, "shelf": "A2"}
    )
    assert answer.url == reverse("inventory:unit", args=["K-01"])
    unit = Unit.objects.get(tag="K-01")
    assert (unit.condition, unit.shelf, unit.version) == ("ready", "A2", 1)


def test_a_unit_is_corrected(signed_in):
    unit = a_unit(tag="K-01", shelf="A2")
    signed_in().post(
        reverse("inventory:unit-edit", args=["K-01"]),
        {"tag": "K-01", "gear_type": unit.gear_type.slug, "shelf": "B1", "version": "1"},
    )
    unit.refresh_from_db()
    assert (unit.shelf, unit.version) == ("B1", 2)


def test_what_was_typed_stays_and_the_problem_stands_at_its_field(signed_in):
    gear_type = a_gear_type()
    answer = signed_in().post(
        reverse("inventory:unit-new"),
        {"tag": "k 1", "gear_type": gear_type.slug, "shelf": "A2", "bought_on": "someday"},
    )
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "Expects 2 to 20 letters, digits and dashes" in page
    assert "Expects a date written YYYY-MM-DD" in page
    assert 'value="A2"' in page
    assert not Unit.objects.exists()


def test_an_edit_of_an_old_state_shows_what_differs_and_keeps_what_was_typed(signed_in):
    unit = a_unit(tag="K-01", shelf="A2")
    client = signed_in()
    address = reverse("inventory:unit-edit", args=["K-01"])
    mine = {"tag": "K-01", "gear_type": unit.gear_type.slug, "shelf": "MINE", "version": "1"}
    client.post(address, mine | {"shelf": "THEIRS"})
    answer = client.post(address, mine)
    page = answer.content.decode()
    assert answer.status_code == 412
    assert "THEIRS" in page
    assert 'value="MINE"' in page
    assert 'name="version" value="2"' in page
    unit.refresh_from_db()
    assert unit.shelf == "THEIRS"


def test_a_form_without_a_version_counts_as_old(signed_in):
    unit = a_unit(tag="K-01")
    answer = signed_in().post(
        reverse("inventory:unit-edit", args=["K-01"]), {"tag": "K-01", "gear_type": unit.gear_type.slug}
    )
    assert answer.status_code == 412


@pytest.mark.parametrize("role", ["photographer", "assistant"])
def test_only_the_manager_enters_and_corrects(role, signed_in):
    a_unit(tag="K-01")
    client = signed_in(role)
    assert client.post(reverse("inventory:unit-new"), {}).status_code == 403
    assert client.post(reverse("inventory:unit-edit", args=["K-01"]), {}).status_code == 403


def test_a_taken_tag_is_said(db):
    unit = a_unit(tag="K-01")
    with pytest.raises(Conflict, match="K-01 belongs to another unit"):
        add_unit(entry(unit.gear_type), None)


def test_a_unit_travels_only_in_a_case(db):
    a_unit(tag="K-02")
    with pytest.raises(Invalid, match="K-02 is not a case but a strobe"):
        add_unit(entry(a_gear_type(), case="K-02"), None)
    with pytest.raises(Invalid, match="there is no unit C-09"):
        add_unit(entry(a_gear_type(), case="C-09"), None)


def test_a_case_does_not_travel_in_itself(db):
    box = a_gear_type("case")
    outer = a_unit(box, tag="C-01")
    a_unit(box, tag="C-02", case=outer)
    with pytest.raises(Invalid, match="loop: C-01 in C-02 in C-01"):
        change_unit("C-01", entry(box, "C-01", case="C-02"), 1, None)


def test_with_more_cases_than_a_list_can_hold_the_tag_is_typed(signed_in, monkeypatch):
    monkeypatch.setattr("gear.inventory.forms.CASES_TO_CHOOSE", 1)
    box = a_gear_type("case")
    a_unit(box, tag="C-01")
    a_unit(box, tag="C-02")
    client = signed_in()
    assert "The tag of a case." in client.get(reverse("inventory:unit-new")).content.decode()
    client.post(
        reverse("inventory:unit-new"), {"tag": "K-01", "gear_type": a_gear_type().slug, "case": "c-02"}
    )
    assert Unit.objects.get(tag="K-01").case.tag == "C-02"


def test_a_type_that_is_not_there_is_refused(db):
    with pytest.raises(Invalid, match="is not in the catalogue"):
        add_unit(UnitEntry(tag="K-01", gear_type="lamp"), None)


def test_a_fault_reported_meanwhile_makes_an_edit_stale(db):
    unit = a_unit(tag="K-01")
    report_fault("K-01", "Cable torn", None)
    with pytest.raises(StaleEdit):
        change_unit("K-01", entry(unit.gear_type, shelf="B1"), 1, None)


def test_a_unit_that_is_not_there_is_said(db, signed_in):
    with pytest.raises(Gone, match="no unit K-77"):
        change_unit("K-77", UnitEntry(tag="K-77", gear_type="x"), 1, None)
    assert signed_in().get(reverse("inventory:unit", args=["K-77"])).status_code == 404


def test_every_change_is_announced_and_an_edit_that_changes_nothing_is_not(
    db, django_capture_on_commit_callbacks
):
    heard = []
    listener = heard.extend
    _writers.append(listener)
    gear_type = a_gear_type()
    try:
        with django_capture_on_commit_callbacks(execute=True):
            unit = add_unit(entry(gear_type), None)
            change_unit("K-01", entry(gear_type), 1, None)
            report_fault("K-01", "Cable torn", None)
    finally:
        _writers.remove(listener)
    assert [(change.topic, change.ids) for change in heard] == [("unit", (unit.pk,))] * 2
