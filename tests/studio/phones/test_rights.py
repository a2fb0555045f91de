"""Who noted it, who sends it, and what they may by now."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.urls import reverse

from gear.inventory.models import Condition
from studio.packing.models import PackingLine
from studio.people.models import Person
from studio.phones.models import Operation
from tests.builders import a_person, a_unit
from tests.studio.phones.phone import Phone, a_list, states

pytestmark = pytest.mark.django_db


@pytest.fixture
def phone(signed_in: Any) -> Phone:
    return Phone(signed_in("assistant"))


def rights_withdrawn(person: Person, **how: Any) -> None:
    Person.objects.filter(pk=person.pk).update(**(how or {"role": "photographer"}))


def ago(minutes: int) -> datetime:
    return datetime.now(UTC) - timedelta(minutes=minutes)


def out() -> int:
    return PackingLine.objects.filter(out_at__isnull=False).count()


def test_before_the_right_was_withdrawn_it_is_a_fact_to_be_looked_at(phone: Phone) -> None:
    """Case 88."""
    unit = a_unit()
    phone.note("out", a_list(unit), unit.tag, ago(30))
    rights_withdrawn(phone.client.person)
    answer = phone.send()
    assert states(answer) == ["review"]
    assert "did it before" in answer[0]["sentence"]
    assert out() == 0


def test_after_it_was_withdrawn_it_is_refused_and_kept(phone: Phone) -> None:
    """Case 88."""
    unit = a_unit()
    shoot = a_list(unit)
    rights_withdrawn(phone.client.person)
    written = phone.note("out", shoot, unit.tag, datetime.now(UTC) + timedelta(seconds=2))
    assert states(phone.send()) == ["refused"]
    assert out() == 0
    kept = Operation.objects.get()
    assert (kept.document["key"], kept.made_by) == (written["key"], phone.client.person)


def test_what_somebody_noted_whose_account_is_closed_comes_with_the_next_who_signs_in(
    phone: Phone, signed_in: Any
) -> None:
    unit = a_unit()
    shoot = a_list(unit)
    phone.note("out", shoot, unit.tag, ago(30))
    rights_withdrawn(phone.client.person, is_active=False)
    phone.note("in", shoot, unit.tag, datetime.now(UTC) + timedelta(seconds=2))
    assert states(phone.send(by=signed_in("manager"))) == ["review", "refused"]


def test_a_right_is_dated_by_the_database_whoever_changes_it(db: None) -> None:
    person = a_person("assistant")
    person.refresh_from_db()
    before = person.rights_since
    person.first_name, person.rights_since = "Teo", ago(10_000)
    person.save()
    person.refresh_from_db()
    assert person.rights_since == before
    rights_withdrawn(person)
    person.refresh_from_db()
    assert person.rights_since > before


def test_what_one_noted_and_another_sends_is_looked_at(phone: Phone, signed_in: Any) -> None:
    unit = a_unit()
    phone.note("out", a_list(unit), unit.tag)
    answer = phone.send(by=signed_in("assistant"))
    assert states(answer) == ["review"]
    assert str(phone.client.person) in answer[0]["sentence"]


def test_a_report_of_damage_counts_for_everyone_who_may_report(phone: Phone) -> None:
    unit = a_unit()
    shoot = a_list(unit)
    phone.note("damaged", shoot, unit.tag, ago(1), note="burnt")
    rights_withdrawn(phone.client.person)
    assert states(phone.send()) == ["done"]
    unit.refresh_from_db()
    assert unit.condition == Condition.QUARANTINE


def test_a_phone_whose_sign_in_has_ended_is_told_and_nothing_is_taken(phone: Phone) -> None:
    unit = a_unit()
    phone.note("out", a_list(unit), unit.tag)
    phone.client.logout()
    body = {
        "device": phone.id,
        "now": datetime.now(UTC).isoformat(),
        "lowest_kept": 1,
        "operations": phone.kept,
    }
    answer = phone.client.post(reverse("api-phones:operations"), body, "application/json")
    assert answer.status_code in (401, 403)
    assert not Operation.objects.exists()
    who = phone.client.get(reverse("api-phones:who")).json()
    assert who["person"] is None


def test_who_is_signed_in_is_told_with_the_cookie_that_sending_needs(phone: Phone) -> None:
    answer = phone.client.get(reverse("api-phones:who"))
    assert (answer.json()["person"], answer.json()["packs"]) == (phone.client.person.pk, True)
    assert "csrftoken" in answer.cookies
