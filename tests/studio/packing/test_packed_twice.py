"""Two people packed one unit for two shoots and could not know of each other: both facts stay until a scan decides."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from types import SimpleNamespace
from typing import Any

import pytest

from gear.errors import Conflict
from studio.packing.disputes import open_disputes
from studio.packing.models import Dispute, PackingLine
from studio.packing.services import close_list, pack_out, take_back, update_list
from tests.builders import a_booking, a_person, a_unit
from tests.studio.phones.phone import Phone, a_list, states

pytestmark = pytest.mark.django_db


def ago(minutes: int) -> datetime:
    return datetime.now(UTC) - timedelta(minutes=minutes)


@pytest.fixture
def twice(signed_in: Any) -> SimpleNamespace:
    """Unit 17 promised to B in the morning and to C in the afternoon, scanned into both by two phones offline."""
    unit = a_unit(tag="U-17", turnaround_minutes=0, prep_minutes=0)
    b = a_list(unit, title="B")
    later = a_booking(b.booking.ends_at + timedelta(hours=1), title="C")
    c = a_list(unit, booking=later)
    one, other = Phone(signed_in("assistant")), Phone(signed_in("assistant"))
    one.note("out", b, unit.tag, ago(40))
    other.note("out", c, unit.tag, ago(30))
    answers = [one.send(), other.send()]
    return SimpleNamespace(unit=unit, b=b, c=c, one=one, other=other, answers=answers)


def out_with(unit: Any) -> list[str]:
    lines = PackingLine.objects.filter(unit=unit, out_at__isnull=False, outcome="")
    return [line.shoot.title for line in lines]


def test_both_facts_are_kept_and_the_second_is_told(twice: SimpleNamespace) -> None:
    """Case 85."""
    assert [states(answer) for answer in twice.answers] == [["done"], ["disputed"]]
    dispute = Dispute.objects.get()
    assert (dispute.holder.shoot, dispute.claim.shoot) == (twice.b, twice.c)
    assert (dispute.holder.out_by, dispute.claimed_by) == (twice.one.client.person, twice.other.client.person)
    assert "scan it once more" in twice.answers[1][0]["sentence"]


def test_sent_again_it_is_the_same_dispute(twice: SimpleNamespace) -> None:
    assert states(twice.other.send()) == ["disputed"]
    assert Dispute.objects.count() == 1


@pytest.mark.parametrize("where", ["b", "c"])
def test_a_third_scan_settles_where_it_really_is(where: str, twice: SimpleNamespace) -> None:
    """Case 85."""
    shoot = getattr(twice, where)
    pack_out(shoot, twice.unit.tag, a_person("assistant"))
    assert out_with(twice.unit) == [shoot.title]
    assert Dispute.objects.get().settled_for == shoot
    assert not open_disputes().exists()


def test_a_third_scan_may_come_from_a_phone(twice: SimpleNamespace) -> None:
    twice.other.note("out", twice.c, twice.unit.tag, ago(1))
    assert states(twice.other.send()) == ["disputed", "done"]
    assert out_with(twice.unit) == ["C"]


def test_where_it_comes_back_from_is_where_it_was(twice: SimpleNamespace) -> None:
    line = take_back(twice.c, twice.unit.tag, a_person("assistant"))
    assert (line.outcome, abs(line.out_at - ago(30)) < timedelta(minutes=1)) == ("in", True)
    assert PackingLine.objects.get(shoot=twice.b).out_at is None


def test_a_scan_older_than_the_two_settles_nothing(twice: SimpleNamespace) -> None:
    pack_out(twice.b, twice.unit.tag, a_person("assistant"), ago(35))
    assert open_disputes().count() == 1


@pytest.mark.parametrize("where", ["b", "c"])
def test_neither_list_closes_while_it_is_open(where: str, twice: SimpleNamespace) -> None:
    shoot = getattr(twice, where)
    PackingLine.objects.filter(shoot=twice.b).update(outcome="in", outcome_at=datetime.now(UTC))
    with pytest.raises(Conflict, match="U-17: packed for two shoots"):
        close_list(shoot, a_person("manager"))


def test_the_plan_does_not_wipe_out_a_claim(twice: SimpleNamespace) -> None:
    twice.c.booking.allocations.all().delete()
    update_list(twice.c)
    assert Dispute.objects.get().claim.shoot == twice.c
