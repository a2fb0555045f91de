"""Any unit of a type (cases 40 and 41): where none is free for the whole time, another promise goes to another unit of
the same type, unless that one is pinned."""

from __future__ import annotations

import pytest

from gear.booking.any_unit import PinnedInTheWay, promise_any
from gear.booking.buffers import grant_buffers
from gear.booking.clashes import UnitTaken
from gear.booking.models import Allocation
from gear.booking.notices import Exchanged
from gear.booking.services import cancel, open_booking, promise_units
from gear.booking.staying import stay_on_set
from gear.errors import Conflict, Gone, Invalid
from tests.builders import a_person, a_unit
from tests.gear.booking.times import a_type, at, between, booked, set_clock

pytestmark = pytest.mark.django_db


@pytest.fixture
def kind():
    return a_type()


@pytest.fixture
def two(kind):
    """u1 is with A from 10 to 12, u2 with B from 12 to 14."""
    u1, u2 = a_unit(kind, tag="U-1"), a_unit(kind, tag="U-2")
    return u1, u2, booked(10, 12, u1, title="A"), booked(12, 14, u2, title="B")


def asked(start: float = 11, end: float = 13, **more):
    return open_booking("Any", between(start, end), None, **more)


def unit_of(booking):
    return booking.allocations.get(active=True).unit.tag


def test_any_unit_that_is_free_is_promised(kind) -> None:
    unit = a_unit(kind)
    promises, changed = promise_any(asked(), kind.pk, 1, None)
    assert ([p.unit for p in promises], changed) == ([unit], [])


def test_where_none_is_free_the_second_moves_to_the_first_unit(kind, two) -> None:
    """Case 40."""
    _, _, a, b = two
    (promise,), (changed,) = promise_any(asked(), kind.pk, 1, None)
    assert {unit_of(a), unit_of(b)} in ({"U-1"}, {"U-2"})
    assert promise.unit.tag not in {unit_of(a), unit_of(b)}
    assert changed.booking in (a, b)
    assert (a.allocations.get().use.lower, b.allocations.get().use.lower) == (at(10), at(12))


@pytest.mark.parametrize("how", ["pinned", "fixed"])
def test_a_pinned_unit_is_not_moved(kind, two, how) -> None:
    """Case 41."""
    Allocation.objects.update(**{how: True})
    mine = asked()
    with pytest.raises(PinnedInTheWay, match="needs a pinned unit moved") as refused:
        promise_any(mine, kind.pk, 1, None)
    assert "U-1 with “A”" in refused.value.sentence or "U-2 with “B”" in refused.value.sentence
    assert not mine.allocations.exists()


def test_with_one_pinned_the_other_moves(kind, two) -> None:
    _, _, a, b = two
    b.allocations.update(pinned=True)
    promise_any(asked(), kind.pk, 1, None)
    assert (unit_of(a), unit_of(b)) == ("U-2", "U-2")


def test_what_has_begun_stays(kind, two, monkeypatch) -> None:
    _, _, a, b = two
    mine = asked(11.5, 13, state="confirmed")
    set_clock(monkeypatch, at(11))
    promise_any(mine, kind.pk, 1, None)
    assert (unit_of(a), unit_of(b), unit_of(mine)) == ("U-1", "U-1", "U-2")


def test_with_nothing_to_exchange_it_is_refused_with_who_has_what(kind, two) -> None:
    booked(11, 13, *[a_unit(kind, tag="U-3")], title="C")
    promise_any(asked(), kind.pk, 1, None)
    mine = asked(10, 14)
    with pytest.raises(UnitTaken, match="is with “") as refused:
        promise_any(mine, kind.pk, 1, None)
    assert refused.value.may_wait
    assert not mine.allocations.exists()


def test_all_that_were_asked_for_or_none(kind) -> None:
    a_unit(kind)
    mine = asked()
    with pytest.raises(Conflict):
        promise_any(mine, kind.pk, 2, None)
    assert not mine.allocations.exists()
    a_unit(kind)
    promises, _ = promise_any(mine, kind.pk, 2, None)
    assert len(promises) == 2


def test_units_that_it_has_already_are_no_more_of_them(kind) -> None:
    unit = a_unit(kind)
    mine = asked()
    promise_units(mine, [unit.pk], None)
    with pytest.raises(Conflict, match="has every"):
        promise_any(mine, kind.pk, 1, None)


def test_a_unit_in_repair_is_none(kind) -> None:
    a_unit(kind, condition="repair")
    with pytest.raises(Gone):
        promise_any(asked(), kind.pk, 1, None)


@pytest.mark.parametrize("count", [0, -1, 51, True])
def test_a_number_that_cannot_be_is_refused(kind, count) -> None:
    with pytest.raises(Invalid) as refused:
        promise_any(asked(), kind.pk, count, None)
    assert refused.value.problems[0].where == "count"


def test_an_enquiry_takes_none(kind) -> None:
    a_unit(kind)
    with pytest.raises(Conflict, match="enquiry"):
        promise_any(asked(state="enquiry"), kind.pk, 1, None)


def test_turnaround_of_the_unit_it_goes_to_counts(kind) -> None:
    u1, u2 = a_unit(kind, tag="U-1", turnaround_minutes=60), a_unit(kind, tag="U-2", turnaround_minutes=60)
    booked(10, 12, u1, title="A")
    booked(12, 14, u2, title="B")
    with pytest.raises(UnitTaken):
        promise_any(asked(), kind.pk, 1, None)


def test_whoever_is_exchanged_is_told(kind, two, monkeypatch) -> None:
    told: list[object] = []
    monkeypatch.setattr("gear.booking.notices._writers", [told.append])
    mine = asked()
    (_,), (changed,) = promise_any(mine, kind.pk, 1, None)
    assert told == [Exchanged(changed.booking.pk, mine.pk, changed.old.tag, changed.new.tag)]


def test_a_note_that_was_left_of_a_released_promise_is_no_obstacle(kind, two) -> None:
    u1, u2, a, b = two
    Allocation.objects.create(
        booking=b, unit=u1, use=b.allocations.get().use, blocked=b.allocations.get().blocked, active=False
    )
    Allocation.objects.create(
        booking=a,
        unit=u2,
        use=a.allocations.get(unit=u1).use,
        blocked=a.allocations.get(unit=u1).blocked,
        active=False,
    )
    promise_any(asked(), kind.pk, 1, None)
    assert Allocation.objects.filter(active=True).count() == 3


def test_what_is_let_go_is_not_exchanged_but_taken(kind, two) -> None:
    _, _, a, b = two
    cancel(b, None)
    (promise,), changed = promise_any(asked(), kind.pk, 1, None)
    assert (promise.unit.tag, changed, unit_of(a)) == ("U-2", [], "U-1")


# What is blocked need not be what the unit usually needs.


def test_granted_minutes_of_another_are_no_reason_to_refuse(kind) -> None:
    unit = a_unit(kind, tag="U-1", turnaround_minutes=120)
    grant_buffers(booked(8, 10), unit.pk, None, prep=None, turnaround=0, why="looked over on set")
    (promise,), changed = promise_any(asked(), kind.pk, 1, None)
    assert (promise.unit, changed) == (unit, [])


def test_where_one_was_granted_longer_minutes_another_unit_is_chosen(kind) -> None:
    u1, u2 = a_unit(kind, tag="U-1"), a_unit(kind, tag="U-2")
    grant_buffers(booked(8, 10), u1.pk, None, prep=None, turnaround=120, why="to be washed")
    (promise,), _ = promise_any(asked(), kind.pk, 1, None)
    assert promise.unit == u2


def test_between_two_days_on_set_another_unit_is_chosen(kind) -> None:
    u1, u2 = a_unit(kind, tag="U-1"), a_unit(kind, tag="U-2")
    runa = a_person()
    first = open_booking("Day one", between(8, 10), runa, state="confirmed")
    later = open_booking("Day two", between(14, 16), runa, state="confirmed")
    promise_units(first, [u1.pk], None)
    stay_on_set(first, later, [u1.pk], None)
    (promise,), _ = promise_any(asked(), kind.pk, 1, None)
    assert promise.unit == u2


def test_who_is_met_only_by_prep_or_turnaround_changes_too(kind) -> None:
    """Each blocks an hour after it: asked for 11 to 13, what begins at 13:30 is in the way and can change."""
    u1, u2 = (a_unit(kind, tag=tag, turnaround_minutes=60) for tag in ("U-1", "U-2"))
    booked(13.5, 15, u1, title="A")
    booked(10, 11.5, u2, title="B").allocations.update(fixed=True)
    (promise,), (changed,) = promise_any(asked(), kind.pk, 1, None)
    assert (promise.unit, changed.old, changed.new) == (u1, u1, u2)


def test_an_ended_hold_is_in_nobodys_way_who_is_exchanged(kind, monkeypatch) -> None:
    u1, u2 = a_unit(kind, tag="U-1"), a_unit(kind, tag="U-2")
    booked(12, 16, u1, title="A")
    booked(10, 12, u2, title="B")
    booked(14, 15, u2, title="Ended", state="hold", hold_until=at(-48))
    set_clock(monkeypatch, at(-47))
    _, (changed,) = promise_any(asked(), kind.pk, 1, None)
    assert (changed.old, changed.new) in ((u1, u2), (u2, u1))
