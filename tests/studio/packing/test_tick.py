"""Ticking things off: by tag, once, and only what belongs here."""

from __future__ import annotations

import pytest
from django.urls import reverse

from gear.booking.services import promise_units
from gear.errors import Conflict, Gone, Invalid
from gear.inventory.models import Condition
from studio.packing.models import PackingLine
from studio.packing.queries import packing_list
from studio.packing.services import close_list, mark_used, pack_out, report_line, take_back, undo, update_list
from tests.builders import a_booking, a_gear_type, a_person, a_shoot, a_unit

pytestmark = pytest.mark.django_db


@pytest.fixture
def by():
    return a_person("assistant")


def a_list(*units, **more):
    shoot = a_shoot(**more)
    promise_units(shoot.booking, [unit.pk for unit in units], a_person("manager"))
    update_list(shoot)
    return shoot


def test_a_tick_by_tag_packs_the_unit(by):
    unit = a_unit()
    shoot = a_list(unit)
    line = pack_out(shoot, f" {unit.tag.lower()} ", by)
    assert line.out_at is not None
    assert packing_list(shoot).progress.out == 1


def test_a_second_tick_changes_nothing(by):
    unit = a_unit()
    shoot = a_list(unit)
    first = pack_out(shoot, unit.tag, by)
    assert pack_out(shoot, unit.tag, a_person("assistant")).out_by == first.out_by


def test_an_unknown_tag_goes_to_the_found_tray_and_makes_nothing(by):
    """Case 94."""
    shoot = a_list(a_unit())
    with pytest.raises(Gone, match="found tray"):
        pack_out(shoot, "ZZ-99", by)
    assert PackingLine.objects.filter(out_at__isnull=False).count() == 0


def test_a_wrong_item_says_whose_it_is(by):
    mine, theirs = a_unit(), a_unit()
    shoot = a_list(mine)
    other = a_booking(shoot.booking.starts_at, title="Second unit")
    promise_units(other, [theirs.pk], a_person("manager"))
    with pytest.raises(Conflict, match=r"not on this list\. It belongs to Second unit"):
        pack_out(shoot, theirs.tag, by)


def test_a_unit_in_quarantine_does_not_leave(by):
    unit = a_unit()
    shoot = a_list(unit)
    unit.condition, unit.condition_note = Condition.QUARANTINE, "cracked dome"
    unit.save()
    with pytest.raises(Conflict, match="cracked dome"):
        pack_out(shoot, unit.tag, by)


def test_a_unit_that_is_still_out_elsewhere_cannot_leave_again(by):
    unit = a_unit()
    first, second = a_list(unit), a_shoot()
    PackingLine.objects.create(shoot=second, unit=unit)
    pack_out(first, unit.tag, by)
    with pytest.raises(Conflict, match="still out with"):
        pack_out(second, unit.tag, by)


def test_the_list_follows_the_promises_but_keeps_what_is_out(by):
    packed, left = a_unit(), a_unit()
    shoot = a_list(packed, left)
    pack_out(shoot, packed.tag, by)
    shoot.booking.allocations.all().update(active=False)
    update_list(shoot)
    lines = {line.unit.tag: line.wanted for line in PackingLine.objects.filter(shoot=shoot)}
    assert lines == {packed.tag: False}


def test_the_case_of_a_unit_is_on_the_list_and_weighs(by):
    case = a_unit(a_gear_type("case", {"mass_kg": 6.0, "max_load_kg": 2.0}))
    unit = a_unit(case=case)
    group = packing_list(a_list(unit)).groups[0]
    assert [line.unit.tag for line in group.lines] == [case.tag, unit.tag]
    assert group.mass_kg == pytest.approx(8.4)
    assert group.over_kg == pytest.approx(0.4)


def test_undo_takes_the_tick_back(by):
    unit = a_unit()
    shoot = a_list(unit)
    pack_out(shoot, unit.tag, by)
    assert undo(shoot, unit.tag, by).out_at is None


def test_what_never_left_cannot_come_back(by):
    unit = a_unit()
    shoot = a_list(unit)
    with pytest.raises(Conflict, match="never ticked off"):
        take_back(shoot, unit.tag, by)


def test_a_list_closes_only_when_out_is_in_used_or_reported(by):
    """Case 99."""
    units = [a_unit() for _ in range(4)]
    shoot = a_list(*units)
    for unit in units:
        pack_out(shoot, unit.tag, by)
    take_back(shoot, units[0].tag, by)
    mark_used(shoot, units[1].tag, by)
    with pytest.raises(Conflict, match="2 of 4 things are not accounted for"):
        close_list(shoot, by)
    report_line(shoot, units[2].tag, "damaged", "dome cracked", by)
    report_line(shoot, units[3].tag, "missing", "not in the case", by)
    assert close_list(shoot, by).by == by
    assert close_list(shoot, by).pk == shoot.packing_closure.pk


def test_what_is_missing_is_reported_with_a_reason_and_who_said_so(by):
    """Case 99: no job closes over something that nobody gave a reason and a name for."""
    unit = a_unit()
    shoot = a_list(unit)
    pack_out(shoot, unit.tag, by)
    with pytest.raises(Invalid, match="what happened"):
        report_line(shoot, unit.tag, "missing", "  ", by)
    with pytest.raises(Conflict, match="not accounted for"):
        close_list(shoot, by)
    line = report_line(shoot, unit.tag, "missing", "not in the case", by)
    assert (line.outcome_note, line.outcome_by) == ("missing: not in the case", by)
    assert close_list(shoot, by, "counted twice").by == by


def test_damage_goes_into_quarantine_at_once_and_missing_counts_as_lost(by):
    broken, gone = a_unit(), a_unit()
    shoot = a_list(broken, gone)
    for unit, trouble in ((broken, "damaged"), (gone, "missing")):
        pack_out(shoot, unit.tag, by)
        report_line(shoot, unit.tag, trouble, "fell off the boom", by)
        unit.refresh_from_db()
    assert (broken.condition, gone.condition) == (Condition.QUARANTINE, Condition.LOST)


def test_a_closed_list_stays_as_it_is(by):
    unit = a_unit()
    shoot = a_list(unit)
    close_list(shoot, by)
    with pytest.raises(Conflict, match="was closed"):
        pack_out(shoot, unit.tag, by)


def test_the_page_shows_the_list_and_a_wrong_tag_beside_it(signed_in):
    unit = a_unit()
    shoot = a_list(unit)
    client = signed_in("assistant")
    assert unit.tag in client.get(reverse("packing:list", args=[shoot.pk])).content.decode()
    answer = client.post(reverse("packing:tick", args=[shoot.pk]), {"tag": "ZZ-99", "act": "out"})
    assert answer.status_code == 404
    assert "found tray" in answer.content.decode()


def test_a_photographer_reads_the_list_but_does_not_tick(signed_in):
    unit = a_unit()
    shoot = a_list(unit)
    client = signed_in("photographer")
    assert client.get(reverse("packing:list", args=[shoot.pk])).status_code == 200
    answer = client.post(reverse("packing:tick", args=[shoot.pk]), {"tag": unit.tag, "act": "out"})
    assert answer.status_code == 403
    assert not PackingLine.objects.filter(out_at__isnull=False).exists()


def test_the_api_ticks_and_refuses_with_the_same_sentence(signed_in):
    unit = a_unit()
    shoot = a_list(unit)
    client = signed_in("assistant")
    address = f"/api/shoots/{shoot.pk}/packing"
    ticked = client.post(address, {"unit": unit.tag, "act": "out"}, content_type="application/json")
    assert ticked.status_code == 200
    assert ticked.json()["out_at"]
    refused = client.post(address, {"unit": "ZZ-99", "act": "out"}, content_type="application/json")
    assert (refused.status_code, refused.json()["code"]) == (404, "not-found")


def test_a_list_of_fifty_takes_few_queries(signed_in, django_assert_max_num_queries):
    gear_type = a_gear_type()
    shoot = a_list(*[a_unit(gear_type) for _ in range(50)])
    client = signed_in("assistant")
    with django_assert_max_num_queries(15):
        client.get(reverse("packing:list", args=[shoot.pk]))


@pytest.mark.parametrize("form", ["{tag}", "{code}", "FULLSTOP:{code}", "http://studio.example/gear/{tag}/"])
def test_tag_code_and_label_tick_the_same_unit_on_the_page_and_over_the_api(form, signed_in):
    unit = a_unit()
    shoot = a_list(unit)
    mark = form.format(tag=unit.tag, code=unit.code)
    client = signed_in("assistant")
    client.post(reverse("packing:tick", args=[shoot.pk]), {"tag": mark, "act": "out", "way": "out"})
    assert PackingLine.objects.get(unit=unit).out_at is not None
    answer = client.post(
        reverse("api-packing:list", args=[shoot.pk]), {"unit": mark, "act": "in"}, "application/json"
    )
    assert (answer.status_code, answer.json()["outcome"]) == (200, "in")


def test_a_misread_code_says_so_beside_the_list_and_packs_nothing(signed_in):
    unit = a_unit()
    shoot = a_list(unit)
    wrong = unit.code[1] + unit.code[0] + unit.code[2:]
    if wrong == unit.code:
        wrong = unit.code[:-1] + ("2" if unit.code[-1] != "2" else "3")
    client = signed_in("assistant")
    page = client.post(reverse("packing:tick", args=[shoot.pk]), {"tag": wrong, "act": "out"})
    assert page.status_code == 422
    assert "one character is wrong" in page.content.decode()
    answer = client.post(
        reverse("api-packing:list", args=[shoot.pk]), {"unit": wrong, "act": "out"}, "application/json"
    )
    assert (answer.status_code, answer.json()["code"]) == (422, "misread")
    assert not PackingLine.objects.filter(out_at__isnull=False).exists()
