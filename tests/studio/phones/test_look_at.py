"""What nobody could decide by rule: the manager accepts it or drops it, with a reason; the found tray is emptied."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from gear.inventory.models import Condition
from studio.packing.models import FoundThing, PackingLine
from studio.people.models import Person
from studio.phones.models import Operation
from tests.builders import a_unit
from tests.studio.phones.phone import Phone, a_list, states

pytestmark = pytest.mark.django_db

PAGE = "/phones/"


@pytest.fixture
def phone(signed_in: Any) -> Phone:
    return Phone(signed_in("assistant"))


@pytest.fixture
def manager(signed_in: Any) -> Client:
    return signed_in("manager")


def ago(minutes: int) -> datetime:
    return datetime.now(UTC) - timedelta(minutes=minutes)


def noted_before_the_right_went(phone: Phone) -> tuple[Any, Operation]:
    unit = a_unit()
    phone.note("out", a_list(unit), unit.tag, ago(30))
    Person.objects.filter(pk=phone.client.person.pk).update(role="photographer")
    phone.send()
    return unit, Operation.objects.get()


def test_what_is_accepted_counts_as_its_maker_did_it_then(phone: Phone, manager: Client) -> None:
    unit, operation = noted_before_the_right_went(phone)
    answer = manager.post(reverse("phones:accept", args=[operation.pk]))
    assert answer.status_code == 302
    line = PackingLine.objects.get(unit=unit)
    assert line.out_by == phone.client.person
    assert abs(line.out_at - ago(30)) < timedelta(minutes=1)
    operation.refresh_from_db()
    assert (operation.state, operation.looked_by) == ("done", manager.person)


def test_what_is_dropped_stays_with_the_reason(phone: Phone, manager: Client) -> None:
    unit, operation = noted_before_the_right_went(phone)
    manager.post(reverse("phones:drop", args=[operation.pk]), {"words": "he was at home that day"})
    operation.refresh_from_db()
    assert (operation.state, operation.sentence) == ("refused", "he was at home that day")
    assert PackingLine.objects.get(unit=unit).out_at is None
    assert "he was at home that day" in manager.get(reverse("phones:phone", args=[phone.id])).content.decode()


def test_dropping_without_a_reason_is_refused(phone: Phone, manager: Client) -> None:
    _, operation = noted_before_the_right_went(phone)
    answer = manager.post(reverse("phones:drop", args=[operation.pk]), {"words": " "})
    assert answer.status_code == 422
    assert "Say why" in answer.content.decode()


def test_what_cannot_be_done_even_so_says_why_and_stays(phone: Phone, manager: Client) -> None:
    unit = a_unit()
    phone.note("out", a_list(unit), unit.tag)
    unit.condition, unit.condition_note = Condition.QUARANTINE, "cracked dome"
    unit.save()
    phone.send()
    answer = manager.post(reverse("phones:accept", args=[Operation.objects.get().pk]))
    assert answer.status_code == 409
    assert "cracked dome" in answer.content.decode()
    assert Operation.objects.get().state == "review"


def test_it_is_looked_at_once(phone: Phone, manager: Client) -> None:
    _, operation = noted_before_the_right_went(phone)
    manager.post(reverse("phones:accept", args=[operation.pk]))
    assert manager.post(reverse("phones:drop", args=[operation.pk]), {"words": "no"}).status_code == 409


@pytest.mark.parametrize("role", ["assistant", "photographer"])
def test_only_the_manager_settles(role: str, phone: Phone, signed_in: Any) -> None:
    _, operation = noted_before_the_right_went(phone)
    client = signed_in(role)
    assert client.post(reverse("phones:accept", args=[operation.pk])).status_code == 403
    operation.refresh_from_db()
    assert operation.state == "review"


def test_the_page_shows_what_is_open_and_the_last_synced_point(
    phone: Phone, manager: Client, signed_in: Any
) -> None:
    unit = a_unit()
    shoot = a_list(unit)
    phone.note("out", shoot, unit.tag, ago(3))
    phone.note("in", shoot, "zz-99", ago(2), listed=False)
    phone.note("out", shoot, unit.tag, at=ago(1))
    phone.kept[2]["number"] = 5
    phone.send(lowest=3)
    page = manager.get(PAGE).content.decode()
    assert "everything up to number 2" in page
    assert "1 waits" in page
    assert "ZZ-99" in page
    assert "everything up to number 2" in signed_in("assistant").get(PAGE).content.decode()


def test_what_waits_for_a_lost_phone_goes_on_when_somebody_says_so(phone: Phone, manager: Client) -> None:
    unit = a_unit()
    shoot = a_list(unit)
    phone.note("out", shoot, unit.tag)
    phone.kept[0]["number"] = 3
    assert states(phone.send(lowest=1)) == ["waiting"]
    manager.post(reverse("phones:give-up", args=[phone.id]))
    assert [o.state for o in Operation.objects.order_by("number")] == ["gap", "gap", "done"]
    assert PackingLine.objects.get(unit=unit).out_at is not None


def test_a_found_thing_is_known_by_its_tag_or_in_words(phone: Phone, signed_in: Any) -> None:
    unit = a_unit()
    shoot = a_list(unit)
    for mark in ("zz-98", "zz-99"):
        phone.note("in", shoot, mark, listed=False)
    phone.send()
    client = signed_in("assistant")
    one, other = FoundThing.objects.order_by("mark")
    client.post(reverse("phones:found", args=[one.pk]), {"tag": unit.tag})
    client.post(reverse("phones:found", args=[other.pk]), {"words": "a clamp of the neighbours"})
    one.refresh_from_db()
    other.refresh_from_db()
    assert (one.unit, other.words) == (unit, "a clamp of the neighbours")
    assert client.post(reverse("phones:found", args=[one.pk]), {"words": "x"}).status_code == 409


def test_an_unknown_tag_on_the_list_itself_goes_into_the_tray_as_well(signed_in: Any) -> None:
    shoot = a_list(a_unit())
    client = signed_in("assistant")
    for _ in range(2):
        client.post(reverse("packing:tick", args=[shoot.pk]), {"tag": "ZZ-77", "act": "in"})
    client.post(
        reverse("api-packing:list", args=[shoot.pk]), {"unit": "ZZ-78", "act": "in"}, "application/json"
    )
    assert sorted(FoundThing.objects.values_list("mark", flat=True)) == ["ZZ-77", "ZZ-78"]


def test_fifty_open_acts_take_few_queries(
    phone: Phone, manager: Client, django_assert_max_num_queries: Any
) -> None:
    units = [a_unit() for _ in range(2)]
    shoot = a_list(*units)
    for number in range(50):
        phone.note("in", shoot, units[number % 2].tag)
        phone.note("in", shoot, f"zz-{number:02d}", listed=False)
    phone.send()
    with django_assert_max_num_queries(15):
        manager.get(PAGE)
    with django_assert_max_num_queries(15):
        manager.get(reverse("phones:phone", args=[phone.id]))


def test_the_first_page_learns_how_much_waits(phone: Phone, manager: Client) -> None:
    assert "nothing to settle" in manager.get(reverse("phones:open")).content.decode()
    noted_before_the_right_went(phone)
    assert "1 to settle" in manager.get(reverse("phones:open")).content.decode()
