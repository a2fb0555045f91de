"""Whatever people do in whatever order, the services accept exactly what a plain reckoning accepts, and the table never
holds two active promises of one unit that overlap."""

from __future__ import annotations

from dataclasses import dataclass, field

import pytest
from django.db import transaction
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from gear.booking import services
from gear.booking.models import Allocation, Booking
from gear.errors import Conflict
from tests.builders import a_unit
from tests.gear.booking.times import a_type, at, between
from tests.race.server import overlaps

PREP_H, TURNAROUND_H = 1, 2

hours = st.tuples(st.integers(0, 30), st.integers(1, 8))
bookings = st.integers(0, 2)
units = st.sets(st.integers(0, 1), min_size=1)
acts = st.one_of(
    st.tuples(st.just("promise"), bookings, units),
    st.tuples(st.just("release"), bookings, units),
    st.tuples(st.just("move"), bookings, hours),
    st.tuples(st.sampled_from(["cancel", "uncancel", "confirm", "hold"]), bookings, st.none()),
)


@dataclass
class Reckoned:
    """What a booking should be."""

    start: int
    end: int
    state: str = "hold"
    units: set[int] = field(default_factory=set)

    @property
    def blocks(self) -> bool:
        return self.state in ("hold", "confirmed")


class Reckoning:
    """The plain reckoning: every pair compared, in whole hours."""

    def __init__(self, asked: list[tuple[int, int]]) -> None:
        self.bookings = [Reckoned(start, start + length) for start, length in asked]

    def would(self, act: str, number: int, what: object) -> bool:
        """Whether the act is possible; if so it is done."""
        one = self.bookings[number]
        then = Reckoned(one.start, one.end, one.state, set(one.units))
        if act in ("promise", "move", "confirm", "hold") and one.state == "cancelled":
            return False
        match act:
            case "promise":
                then.units |= what  # type: ignore[operator]
            case "release":
                then.units -= what  # type: ignore[operator]
            case "move":
                start, length = what  # type: ignore[misc]
                then.start, then.end = start, start + length
            case "cancel":
                then.state = "cancelled"
            case "uncancel" if one.state == "cancelled":
                then.state = "hold"
            case "confirm":
                then.state = "confirmed"
            case "hold":
                then.state = "hold"
        others = [other for index, other in enumerate(self.bookings) if index != number]
        if then.blocks and any(self._clash(then, other) for other in others):
            return False
        self.bookings[number] = then
        return True

    @staticmethod
    def _clash(one: Reckoned, other: Reckoned) -> bool:
        apart = (
            one.end + TURNAROUND_H <= other.start - PREP_H or other.end + TURNAROUND_H <= one.start - PREP_H
        )
        return other.blocks and bool(one.units & other.units) and not apart


@pytest.mark.django_db
@settings(
    max_examples=40,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
    phases=[
        Phase.explicit,
        Phase.reuse,
        Phase.generate,
    ],  # making a failure smaller takes minutes on a database
)
@given(asked=st.lists(hours, min_size=3, max_size=3), steps=st.lists(acts, min_size=8, max_size=24))
def test_any_order_of_acts_is_accepted_exactly_where_a_plain_reckoning_accepts_it(asked, steps) -> None:
    with transaction.atomic():
        kind = a_type(prep=PREP_H * 60, turnaround=TURNAROUND_H * 60)
        real_units = [a_unit(kind) for _ in range(2)]
        real = [
            services.open_booking(f"B{n}", between(start, start + length), None, hold_until=at(-24))
            for n, (start, length) in enumerate(asked)
        ]
        reckoning = Reckoning(asked)
        for act, number, what in steps:
            possible = reckoning.would(act, number, what)
            assert _done(act, real[number], what, real_units) == possible, (act, number, what)
        assert overlaps() == 0
        for booking, expected in zip(real, reckoning.bookings, strict=True):
            _same(Booking.objects.get(pk=booking.pk), expected, real_units)
        transaction.set_rollback(True)


def _done(act: str, booking: Booking, what, real_units) -> bool:
    try:
        match act:
            case "promise":
                services.promise_units(booking, [real_units[n].pk for n in what], None)
            case "release":
                services.release_units(booking, [real_units[n].pk for n in what], None)
            case "move":
                services.move_booking(booking, between(what[0], what[0] + what[1]), None)
            case _:
                getattr(services, act)(booking, None)
    except Conflict:
        return False
    return True


def _same(booking: Booking, expected: Reckoned, real_units) -> None:
    promises = list(Allocation.objects.filter(booking=booking))
    assert booking.state == expected.state
    assert {promise.unit_id for promise in promises} == {real_units[n].pk for n in expected.units}
    for promise in promises:
        assert promise.active == expected.blocks
        assert (promise.use.lower, promise.use.upper) == (at(expected.start), at(expected.end))
        assert promise.blocked.lower == at(expected.start - PREP_H)
        assert promise.blocked.upper == at(expected.end + TURNAROUND_H)
