"""Making room by letting others change rows. Held to trying everything: on few rows every way of sitting is tried."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from itertools import product

from hypothesis import given, settings
from hypothesis import strategies as st

from gear.booking.seats import Row, Seat, make_room

DAY = datetime(2026, 6, 1, tzinfo=UTC)


def at(hour: float) -> datetime:
    return DAY + timedelta(hours=hour)


def seat(key: int, start: float, end: float, stays: bool = False) -> Seat:
    return Seat(key, at(start), at(end), stays)


def rows(*minutes: int) -> list[Row]:
    """One for each of these turnarounds, 60 for an hour."""
    return [Row(number, turnaround=timedelta(minutes=after)) for number, after in enumerate(minutes, start=1)]


def test_a_free_row_needs_no_change() -> None:
    found = make_room(rows(0, 0), {1: (seat(1, 0, 2),)}, seat(9, 1, 3))
    assert (found.row, dict(found.changes)) == (2, {})


def test_the_second_goes_to_the_first_row_and_makes_room() -> None:
    """u1 [0, 2), u2 [2, 4): [1, 3) is free on neither, and on u2 once the second sits on u1."""
    found = make_room(rows(0, 0), {1: (seat(1, 0, 2),), 2: (seat(2, 2, 4),)}, seat(9, 1, 3))
    assert (found.row, dict(found.changes)) == (1, {1: 2}) or (found.row, dict(found.changes)) == (2, {2: 1})


def test_who_stays_makes_no_room() -> None:
    taken = {1: (seat(1, 0, 2, stays=True),), 2: (seat(2, 2, 4, stays=True),)}
    assert make_room(rows(0, 0), taken, seat(9, 1, 3)) is None
    assert make_room(rows(0, 0), taken, seat(9, 1, 3), ignoring_stays=True) is not None


def test_three_may_change_for_one() -> None:
    taken = {
        1: (seat(1, 0, 2), seat(2, 6, 8)),
        2: (seat(3, 2, 4),),
        3: (seat(4, 4, 6), seat(5, 0, 1)),
    }
    assert make_room(rows(0, 0, 0), taken, seat(9, 1, 7), changes=0) is None
    found = make_room(rows(0, 0, 0), taken, seat(9, 1, 7))
    assert found is not None
    assert len(found.changes) >= 1
    assert_valid(rows(0, 0, 0), found.taken)


def test_each_row_has_its_own_turnaround() -> None:
    taken = {1: (seat(1, 0, 2),), 2: (seat(2, 2, 4),)}
    assert make_room(rows(60, 60), taken, seat(9, 1, 3)) is None
    assert dict(make_room(rows(60, 0), taken, seat(9, 1, 3)).changes) == {1: 2}


def test_a_row_that_is_there_for_a_time_only_takes_what_lies_inside() -> None:
    borrowed = Row(2, turnaround=timedelta(hours=1), there=(at(0), at(4)))
    assert make_room([borrowed], {}, seat(9, 1, 3)).row == 2
    assert make_room([borrowed], {}, seat(9, 1, 3.5)) is None


def test_a_search_that_took_too_long_finds_nothing() -> None:
    taken = {1: (seat(1, 0, 2),), 2: (seat(2, 2, 4),)}
    assert make_room(rows(0, 0), taken, seat(9, 1, 3), looks=2) is None


def assert_valid(there: list[Row], taken: dict[int, tuple[Seat, ...]]) -> None:
    for row in there:
        here = taken.get(row.key, ())
        assert not any(row.meet(a, b) for a in here for b in here if a.key < b.key)


def is_valid(there: list[Row], sits: dict[Seat, Row]) -> bool:
    return not any(sits[a] is sits[b] and sits[a].meet(a, b) for a in sits for b in sits if a.key < b.key)


@st.composite
def halls(draw: st.DrawFn) -> tuple[list[Row], dict[int, tuple[Seat, ...]], Seat]:
    there = rows(*draw(st.lists(st.sampled_from([0, 60, 120]), min_size=1, max_size=3)))
    taken: dict[int, tuple[Seat, ...]] = {}
    for key in range(1, draw(st.integers(0, 5)) + 1):
        start = draw(st.integers(0, 9))
        new = seat(key, start, start + draw(st.integers(1, 4)), draw(st.booleans()))
        row = draw(st.sampled_from(there))
        if not any(row.meet(new, one) for one in taken.get(row.key, ())):
            taken[row.key] = (*taken.get(row.key, ()), new)
    start = draw(st.integers(0, 9))
    return there, taken, seat(9, start, start + draw(st.integers(1, 4)))


@settings(max_examples=400, deadline=None)
@given(halls())
def test_a_way_is_found_exactly_when_trying_everything_finds_one(hall) -> None:
    there, taken, wish = hall
    found = make_room(there, taken, wish, changes=6, looks=1_000_000)
    was = {one: row for row in there for one in taken.get(row.key, ())}
    seats = [*was, wish]
    possible = any(
        is_valid(there, sits) and all(sits[one] is was[one] for one in was if one.stays)
        for sits in (dict(zip(seats, choice, strict=True)) for choice in product(there, repeat=len(seats)))
    )
    assert (found is not None) == possible
    if found is None:
        return
    assert_valid(there, found.taken)
    now = {one: row for row, sitting in found.taken.items() for one in sitting}
    assert set(now) == set(seats)
    assert all(now[one] == was[one].key for one in was if one.stays or one.key not in found.changes)
