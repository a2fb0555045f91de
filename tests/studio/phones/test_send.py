"""Sending what a phone noted without a network: each act has one effect, in its order, and nothing is lost."""

from __future__ import annotations

import uuid
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.urls import reverse

from gear.booking.services import promise_units
from gear.errors import Conflict
from gear.inventory.models import CarePhoto, Condition
from gear.shortages.models import Shortage
from gear.stock.services import Wanted, promise_stock
from studio.packing.models import FoundThing, PackingLine
from studio.packing.services import close_list, pack_out, take_back, undo
from studio.phones.models import Device, Operation
from tests.builders import a_booking, a_person, a_shoot, a_unit
from tests.gear.stock.counted import an_item
from tests.studio.phones.phone import Phone, a_list, states

pytestmark = pytest.mark.django_db

JPEG = "data:image/jpeg;base64,/9j/4AAQSkZJRgABAQAAAQABAAD/2Q=="


@pytest.fixture
def phone(signed_in: Any) -> Phone:
    return Phone(signed_in("assistant"))


def line(unit: Any) -> PackingLine:
    return PackingLine.objects.get(unit=unit)


def ago(minutes: int) -> datetime:
    return datetime.now(UTC) - timedelta(minutes=minutes)


def test_an_act_counts_from_when_it_was_done_and_for_who_did_it(phone: Phone) -> None:
    unit = a_unit()
    shoot = a_list(unit)
    done = ago(90)
    phone.note("out", shoot, unit.tag, done)
    assert states(phone.send()) == ["done"]
    assert abs(line(unit).out_at - done) < timedelta(seconds=10)
    assert line(unit).out_by == phone.client.person


def test_the_phones_clock_is_set_right_by_the_servers(phone: Phone) -> None:
    unit = a_unit()
    shoot = a_list(unit)
    fast = timedelta(hours=3)
    phone.note("out", shoot, unit.tag, ago(30) + fast)
    phone.send(now=datetime.now(UTC) + fast)
    assert abs(line(unit).out_at - ago(30)) < timedelta(seconds=30)


def test_sent_five_times_it_has_one_effect_and_one_answer(phone: Phone) -> None:
    """Case 87."""
    unit = a_unit()
    shoot = a_list(unit)
    phone.note("out", shoot, unit.tag, ago(9))
    phone.note("undo", shoot, unit.tag, ago(8))
    phone.note("out", shoot, unit.tag, ago(7))
    answers = [phone.send() for _ in range(5)]
    assert all(answer == answers[0] for answer in answers)
    assert abs(line(unit).out_at - ago(7)) < timedelta(seconds=30)
    assert Operation.objects.count() == 3


def test_an_old_sending_that_comes_late_does_not_do_again_what_was_undone_on_the_list(phone: Phone) -> None:
    unit = a_unit()
    shoot = a_list(unit)
    first = phone.note("out", shoot, unit.tag)
    phone.send()
    undo(shoot, unit.tag, a_person("assistant"))
    assert states(phone.send(first)) == ["done"]
    assert line(unit).out_at is None


def test_seven_waits_for_six_while_the_phone_has_it(phone: Phone) -> None:
    """Case 87."""
    unit = a_unit()
    shoot = a_list(unit)
    six, seven = phone.note("out", shoot, unit.tag, ago(5)), phone.note("in", shoot, unit.tag, ago(4))
    answer = phone.send(seven)
    assert states(answer) == ["waiting"]
    assert answer[0]["kept"]
    assert line(unit).out_at is None
    assert states(phone.send(six)) == ["done"]
    assert line(unit).outcome == "in"


def test_six_after_seven_in_one_sending_is_put_in_order(phone: Phone) -> None:
    unit = a_unit()
    shoot = a_list(unit)
    six, seven = phone.note("out", shoot, unit.tag, ago(5)), phone.note("in", shoot, unit.tag, ago(4))
    assert states(phone.send(seven, six)) == ["done", "done"]
    assert line(unit).outcome == "in"


def test_what_the_phone_does_not_have_any_more_is_marked_as_a_gap_and_the_rest_goes_on(phone: Phone) -> None:
    """Case 87."""
    one, other = a_unit(), a_unit()
    shoot = a_list(one, other)
    phone.note("out", shoot, one.tag)
    phone.kept.clear()
    phone.note("out", shoot, other.tag)
    assert states(phone.send()) == ["done"]
    assert [(o.number, o.state) for o in Operation.objects.all()] == [(1, "gap"), (2, "done")]
    assert line(one).out_at is None


def test_what_arrives_after_it_was_marked_as_a_gap_is_looked_at(phone: Phone) -> None:
    one, other = a_unit(), a_unit()
    shoot = a_list(one, other)
    late = phone.note("out", shoot, one.tag)
    phone.kept.clear()
    phone.note("out", shoot, other.tag)
    phone.send()
    answer = phone.send(late, lowest=3)
    assert states(answer) == ["review"]
    assert line(one).out_at is None


def test_a_hole_that_no_phone_could_have_is_refused(phone: Phone) -> None:
    answer = phone.client.post(
        reverse("api-phones:operations"),
        {"device": phone.id, "now": datetime.now(UTC).isoformat(), "lowest_kept": 10**6, "operations": []},
        "application/json",
    )
    assert (answer.status_code, answer.json()["problems"][0]["where"]) == (422, "lowest_kept")
    assert not Operation.objects.exists()


def test_one_number_with_two_acts_is_refused_and_the_first_stays(phone: Phone) -> None:
    one, other = a_unit(), a_unit()
    shoot = a_list(one, other)
    phone.note("out", shoot, one.tag)
    phone.send()
    answer = phone.send({**phone.kept[0], "key": str(uuid.uuid4()), "mark": other.tag})
    assert (answer[0]["kept"], answer[0]["state"]) == (False, "number-used")
    assert line(other).out_at is None


def test_one_that_cannot_be_read_is_kept_and_does_not_hold_up_the_others(phone: Phone) -> None:
    unit = a_unit()
    shoot = a_list(unit)
    phone.note("juggle", shoot, unit.tag)
    phone.note("out", shoot, unit.tag)
    answers = phone.send()
    assert states(answers) == ["review", "done"]
    assert "act" in answers[0]["sentence"]
    assert Operation.objects.get(number=1).document["act"] == "juggle"


def test_one_without_a_number_is_told_and_left_on_the_phone(phone: Phone) -> None:
    unit = a_unit()
    shoot = a_list(unit)
    good = phone.note("out", shoot, unit.tag)
    answers = phone.send("nonsense", good)
    assert [(a["state"], a["kept"]) for a in answers] == [("unreadable", False), ("done", True)]


def test_an_unknown_code_goes_to_the_found_tray_and_no_unit_is_made(phone: Phone) -> None:
    """Case 94."""
    shoot = a_list(a_unit())
    phone.note("in", shoot, "zz-99", listed=False)
    assert states(phone.send()) == ["found"]
    thing = FoundThing.objects.get()
    assert (thing.mark, thing.shoot, thing.by) == ("ZZ-99", shoot, phone.client.person)


def test_the_item_of_another_shoot_is_refused_with_whose_it_is(phone: Phone) -> None:
    mine, theirs = a_unit(), a_unit()
    shoot = a_list(mine)
    other = a_shoot(booking=a_booking(shoot.booking.starts_at, title="Second unit"))
    promise_units(other.booking, [theirs.pk], a_person("manager"))
    phone.note("out", shoot, theirs.tag, listed=False)
    answer = phone.send()
    assert states(answer) == ["refused"]
    assert "It belongs to Second unit" in answer[0]["sentence"]


def test_what_the_plan_let_go_while_the_phone_was_away_has_left_all_the_same(phone: Phone) -> None:
    unit = a_unit()
    shoot = a_list(unit)
    phone.note("out", shoot, unit.tag)
    shoot.booking.allocations.all().delete()
    PackingLine.objects.all().delete()
    assert states(phone.send()) == ["done"]
    assert (line(unit).wanted, line(unit).out_at is not None) == (False, True)


def test_what_came_into_quarantine_meanwhile_is_not_counted_as_out_but_looked_at(phone: Phone) -> None:
    unit = a_unit()
    shoot = a_list(unit)
    phone.note("out", shoot, unit.tag)
    unit.condition, unit.condition_note = Condition.QUARANTINE, "cracked dome"
    unit.save()
    answer = phone.send()
    assert states(answer) == ["review"]
    assert "cracked dome" in answer[0]["sentence"]
    assert line(unit).out_at is None


def test_an_older_fact_than_is_known_changes_nothing(phone: Phone) -> None:
    unit = a_unit()
    shoot = a_list(unit)
    phone.note("out", shoot, unit.tag, ago(60))
    by = a_person("assistant")
    pack_out(shoot, unit.tag, by)
    take_back(shoot, unit.tag, by)
    answer = phone.send()
    assert states(answer) == ["done"]
    assert "known already" in answer[0]["sentence"]
    assert line(unit).outcome == "in"


def test_an_undo_that_is_older_than_what_is_known_changes_nothing(phone: Phone) -> None:
    unit = a_unit()
    shoot = a_list(unit)
    phone.note("undo", shoot, unit.tag, ago(60))
    pack_out(shoot, unit.tag, a_person("assistant"))
    phone.send()
    assert line(unit).out_at is not None


def test_damage_with_a_photo_stops_the_unit_at_once_and_whoever_waits_for_it_is_short(phone: Phone) -> None:
    unit = a_unit()
    shoot = a_list(unit)
    owner = a_person("photographer")
    later = a_booking(shoot.booking.starts_at + timedelta(days=7), asked_by=owner)
    promise_units(later, [unit.pk], owner)
    phone.note("out", shoot, unit.tag, ago(50))
    phone.note("damaged", shoot, unit.tag, ago(10), note="dome cracked", photo=JPEG)
    assert states(phone.send()) == ["done", "done"]
    unit.refresh_from_db()
    assert unit.condition == Condition.QUARANTINE
    assert CarePhoto.objects.get().entry.unit == unit
    shortage = Shortage.objects.get(booking=later)
    assert (shortage.unit, shortage.owner) == (unit, owner)
    assert not Operation.objects.filter(photo__isnull=False).exists()


@pytest.mark.parametrize("stands", ["never left", "is back already", "list is closed"])
def test_damage_stops_the_unit_wherever_the_list_stands(stands: str, phone: Phone) -> None:
    unit = a_unit()
    shoot = a_list(unit)
    if stands != "never left":
        pack_out(shoot, unit.tag, phone.client.person)
        take_back(shoot, unit.tag, phone.client.person)
    if stands == "list is closed":
        close_list(shoot, phone.client.person)
    phone.note("damaged", shoot, unit.tag, note="smells burnt")
    assert states(phone.send()) == ["done"]
    unit.refresh_from_db()
    assert unit.condition == Condition.QUARANTINE


def test_a_photo_that_is_none_does_not_keep_the_damage_from_being_said(phone: Phone) -> None:
    unit = a_unit()
    shoot = a_list(unit)
    phone.note("damaged", shoot, unit.tag, note="bent", photo="data:image/jpeg;base64,aGFsbG8=")
    answer = phone.send()
    assert states(answer) == ["done"]
    assert "picture could not be read" in answer[0]["sentence"]


def test_an_act_for_a_list_that_was_closed_is_looked_at(phone: Phone) -> None:
    unit = a_unit()
    shoot = a_list(unit)
    phone.note("out", shoot, unit.tag)
    close_list(shoot, phone.client.person)
    assert states(phone.send()) == ["review"]


def test_a_list_stays_open_while_an_act_for_it_is_not_settled(phone: Phone) -> None:
    unit = a_unit()
    shoot = a_list(unit)
    phone.note("in", shoot, unit.tag)
    assert states(phone.send()) == ["review"]
    with pytest.raises(Conflict, match="1 act from phones"):
        close_list(shoot, phone.client.person)


def test_an_act_for_a_shoot_that_is_gone_is_kept(phone: Phone) -> None:
    gone = phone.note("out", a_list(a_unit()), "K-01")
    gone["shoot"] += 1000
    assert states(phone.send()) == ["review"]
    assert Operation.objects.get().document["shoot"] == gone["shoot"]


def test_counts_are_totals_so_twice_is_once_and_eleven_of_ten_is_looked_at(phone: Phone) -> None:
    """Case 95."""
    shoot = a_list(a_unit())
    (promise,) = promise_stock(shoot.booking, [Wanted(an_item(50).pk, 10)], None)
    phone.note("count-out", shoot, line=promise.pk, quantity="10")
    phone.note("count-in", shoot, line=promise.pk, quantity="8")
    phone.note("count-in", shoot, line=promise.pk, quantity="8")
    phone.note("count-in", shoot, line=promise.pk, quantity="11")
    answers = phone.send()
    assert states(answers) == ["done", "done", "done", "review"]
    assert "count again" in answers[3]["sentence"]
    promise.refresh_from_db()
    assert promise.still_out == 2


def test_the_server_shows_the_last_synced_point_of_each_phone(phone: Phone) -> None:
    """Case 91."""
    units = [a_unit() for _ in range(3)]
    shoot = a_list(*units)
    for unit in units:
        phone.note("out", shoot, unit.tag)
    phone.send(*phone.kept[:2])
    device = Device.objects.get()
    assert (device.done_up_to, device.unsent, device.last_person) == (2, 3, phone.client.person)


def test_a_newer_format_than_the_servers_stays_on_the_phone(phone: Phone) -> None:
    shoot = a_list(a_unit())
    phone.note("out", shoot, "K-01", format=4)
    answer = phone.send()
    assert [(a["state"], a["kept"]) for a in answer] == [("unknown-format", False)]
    assert "formats 1, 2, 3" in answer[0]["sentence"]
    assert not Operation.objects.exists()


def test_two_hundred_unsent_acts_of_an_older_program_are_taken_in_one_sending(phone: Phone) -> None:
    """Case 90: the program was renewed while 200 acts waited; the server still reads how they were written down."""
    units = [a_unit() for _ in range(100)]
    shoot = a_list(*units)
    PackingLine.objects.all().delete()
    old = [
        {
            "format": 1,
            "id": str(uuid.uuid4()),
            "n": n,
            "shoot": shoot.pk,
            "tag": unit.tag,
            "act": "out",
            "ms": n,
        }
        for n, unit in enumerate(units, start=1)
    ]
    old += [
        {"format": 2, "key": str(uuid.uuid4()), "number": n, "shoot": shoot.pk, "act": "in", "mark": unit.tag,
         "at": ago(5).isoformat()}
        for n, unit in enumerate(units, start=101)
    ]  # fmt: skip
    assert set(states(phone.send(*old, lowest=1))) == {"done"}
    assert PackingLine.objects.filter(outcome="in").count() == 100


def test_acts_in_older_formats_are_done_as_they_were_meant(phone: Phone) -> None:
    """Case 90."""
    one, other = a_unit(), a_unit()
    shoot = a_list(one, other)
    PackingLine.objects.all().delete()
    old = [
        {"format": 1, "id": str(uuid.uuid4()), "n": 1, "shoot": shoot.pk, "tag": one.tag, "act": "out", "ms": 1},
        {"format": 2, "key": str(uuid.uuid4()), "number": 2, "shoot": shoot.pk, "act": "out", "mark": other.tag,
         "at": ago(5).isoformat()},
    ]  # fmt: skip
    assert states(phone.send(*old, lowest=1)) == ["done", "done"]
    assert PackingLine.objects.filter(out_by=phone.client.person).count() == 2
