"""The finer things that people do with units: granted minutes, gear that stays on set, no return date, any unit of a
type, this very unit."""

from __future__ import annotations

from collections.abc import Iterator
from copy import deepcopy

from hypothesis import strategies as st
from hypothesis.stateful import precondition, rule

from gear.booking.any_unit import promise_any
from gear.booking.buffers import give_usual_buffers, grant_buffers
from gear.booking.models import Allocation
from gear.booking.staying import stay_on_set
from tests.gear.machine import records, twin
from tests.gear.machine.acts import MOST_BOOKINGS, BookingActs, bookings, units
from tests.gear.machine.seating import fewest_changes, may_change

__all__ = ["FinerActs"]

granted = st.one_of(st.none(), st.integers(0, 8))
some_packed = st.one_of(st.just(set(range(20))), st.sets(st.integers(0, 9), max_size=1))
nearby = st.tuples(st.booleans(), st.booleans(), st.integers(1, 3), st.integers(1, 2))
"""Before it, as it usually would be, for how long, how many."""


class FinerActs(BookingActs):
    """What is agreed for one booking, or between two."""

    @rule(number=bookings, index=units, prep=granted, turnaround=granted)
    def grant_minutes(self, number, index, prep, turnaround) -> None:
        self._grant(self.pick(number), self.world.units[index].pk, prep, turnaround)

    @precondition(lambda self: self._standing())
    @rule(number=st.integers(0, 20), prep=granted, turnaround=granted, next_to=nearby)
    def grant_minutes_of_what_is_there(self, number, prep, turnaround, next_to) -> None:
        found = self._standing()
        booking, unit = found[number % len(found)]
        if self._grant(booking, unit, prep, turnaround):
            self._ask_about(booking, unit, *next_to)

    def _grant(self, booking, unit, prep, turnaround) -> bool:
        there = booking.promises.get(unit)
        possible = (
            (prep, turnaround) != (None, None)
            and self._blocks(booking)
            and (there is not None or self.twin.units[unit].condition == "ready")
            and self._fits_with(booking, unit, prep, turnaround)
        )
        self.act(
            possible,
            lambda: grant_buffers(
                self.real(booking),
                unit,
                None,
                prep=None if prep is None else 60 * prep,
                turnaround=None if turnaround is None else 60 * turnaround,
                why="A second crew",
            ),
        )
        if possible:
            self._give(booking, unit, prep, turnaround)
        return possible

    def _blocks(self, booking) -> bool:
        return booking.state in ("hold", "confirmed") and not self.twin.lapsed(booking)

    def _fits_with(self, booking, unit, prep, turnaround) -> bool:
        before = deepcopy(booking.promises)
        self.twin.note(booking, unit)
        promise = booking.promises[unit]
        promise.prep, promise.turnaround = prep, turnaround
        fits = self.twin.fits(unit, self.twin.needed(booking, unit), [booking.number])
        booking.promises = before
        return fits

    def _give(self, booking, unit, prep, turnaround) -> None:
        self.twin.note(booking, unit)
        promise = booking.promises[unit]
        promise.prep, promise.turnaround = prep, turnaround
        self.twin.claim(booking, [unit])

    @precondition(lambda self: self._with_granted())
    @rule(number=st.integers(0, 9))
    def take_granted_minutes_back(self, number) -> None:
        found = self._with_granted()
        booking, unit = found[number % len(found)]
        possible = self._blocks(booking) and self._fits_with(booking, unit, None, None)
        self.act(possible, lambda: give_usual_buffers(self.real(booking), unit, None))
        if possible:
            self._give(booking, unit, None, None)

    def _with_granted(self) -> list[tuple[twin.Booking, int]]:
        return [(b, unit) for b, unit, promise in self.twin.promised() if not promise.is_as_usual]

    @rule(number=bookings, index=units)
    def take_minutes_back_that_nobody_granted(self, number, index) -> None:
        """Nothing comes of it, whatever the booking is."""
        booking, unit = self.pick(number), self.world.units[index].pk
        promise = booking.promises.get(unit)
        possible = promise is not None and self._blocks(booking)
        if promise is not None and not (
            promise.is_as_usual and promise.blocked == self.twin.needed(booking, unit)
        ):
            return
        self.act(possible, lambda: give_usual_buffers(self.real(booking), unit, None))

    @rule(number=bookings, other=bookings, which=st.sets(units, min_size=1, max_size=2))
    def stay_on_set(self, number, other, which) -> None:
        self._stay(self.pick(number), self.pick(other), self._ids(which))

    @precondition(lambda self: self._could_stay())
    @rule(number=st.integers(0, 20))
    def what_could_stay_on_set_does(self, number) -> None:
        found = self._could_stay()
        first, later, unit = found[number % len(found)]
        self._stay(first, later, {unit})

    @precondition(lambda self: len(self.twin.bookings) < MOST_BOOKINGS and self._standing())
    @rule(
        number=st.integers(0, 20),
        gap=st.sampled_from([0, 0, 1, 2, 5, 14]),
        lasts=st.integers(1, 6),
        hold_h=st.one_of(st.none(), st.integers(1, 20)),
        asker=st.sampled_from([0, 0, 0, 1]),
        next_to=nearby,
    )
    def they_go_on(self, number, gap, lasts, hold_h, asker, next_to) -> None:
        """Somebody soon afterwards, mostly the same people, with what they have on set."""
        found = self._standing()
        first, unit = found[number % len(found)]
        begin = first.end + gap
        self._open((begin, begin + lasts), "hold" if hold_h else "confirmed", hold_h, asker)
        self.before = records.everything()
        if self._stay(first, list(self.twin.bookings.values())[-1], {unit}):
            self._ask_about(first, unit, *next_to)

    def _standing(self) -> list[tuple[twin.Booking, int]]:
        """Units that somebody has, or will have, whose end is known and not over."""
        return [
            (booking, unit)
            for booking, unit, promise in self.twin.promised()
            if promise.active and self._blocks(booking) and self.twin.now < booking.end < twin.FOREVER
        ]

    def _could_stay(self) -> list[tuple[twin.Booking, twin.Booking, int]]:
        return [
            (first, later, unit)
            for first, unit, promise in self.twin.promised()
            for later in self.twin.bookings.values()
            if promise.active
            and self._blocks(first)
            and self._blocks(later)
            and first.asker == later.asker
            and first.end <= later.start < first.end + 24
        ]

    def _stay(self, first, later, unit_ids) -> bool:
        possible = (
            first is not later
            and self._blocks(first)
            and self._blocks(later)
            and first.asker == later.asker
            and later.start >= first.end
            and all(self._can_stay(first, later, unit) for unit in unit_ids)
        )
        self.act(possible, lambda: stay_on_set(self.real(first), self.real(later), unit_ids, None))
        if possible:
            for unit in sorted(unit_ids):
                self._let_it_stay(first, later, unit)
        return possible

    def _can_stay(self, first, later, unit) -> bool:
        """Nobody else has it from the end of the first until the later one has done with it."""
        promise = first.promises.get(unit)
        if promise is None or not promise.active or self.twin.units[unit].condition != "ready":
            return False
        begin, (_, end) = promise.blocked[0], self.twin.needed(later, unit)
        return self.twin.fits(unit, (begin, end), [first.number, later.number])

    def _let_it_stay(self, first, later, unit) -> None:
        promise = first.promises[unit]
        instead_of = promise.stays_for
        self.twin.note(later, unit)
        promise.stays_for = later.number
        self.twin.note(first, unit)
        self.twin.claim(later, [unit])
        self.twin.retire_lapsed(unit, promise.blocked, first)
        if instead_of not in (None, later.number):
            self.twin.prepare_again(self.twin.bookings[instead_of], unit)

    @rule(number=bookings, review_h=st.integers(-1, 30))
    def leave_without_a_return_date(self, number, review_h) -> None:
        booking = self.pick(number)
        self._move(booking, (booking.start, twin.FOREVER), review=self.twin.now + review_h)

    @precondition(lambda self: any(one.end == twin.FOREVER for one in self.twin.bookings.values()))
    @rule(number=bookings, lasts=st.integers(1, 12))
    def give_it_a_return_date(self, number, lasts) -> None:
        found = [one for one in self.twin.bookings.values() if one.end == twin.FOREVER]
        booking = found[number % len(found)]
        self._move(booking, (booking.start, booking.start + lasts))

    @rule(number=bookings, which=st.sets(units, min_size=1, max_size=2), fixed=st.booleans())
    def say_whether_another_unit_will_do(self, number, which, fixed) -> None:
        """What the area above writes down beside the promise."""
        self._fix(self.pick(number), self._ids(which), fixed)

    def _fix(self, booking, wanted, fixed) -> None:
        Allocation.objects.filter(booking=booking.number, unit__in=wanted).update(fixed=fixed)
        self.changed = True
        for unit in wanted & set(booking.promises):
            booking.promises[unit].fixed = fixed

    @rule(
        number=bookings,
        model=st.integers(0, 1),
        count=st.sampled_from([1, 1, 1, 2]),
        packed=st.sets(st.integers(0, 9), max_size=2),
    )
    def any_unit(self, number, model, count, packed) -> None:
        self._any(self.pick(number), list(self.world.models)[model], count, packed)

    @rule(number=st.integers(0, 9), packed=st.sets(st.integers(0, 9), max_size=2))
    def any_unit_where_others_must_change(self, number, packed) -> None:
        if found := self._could_exchange():
            self._any(*found[number % len(found)], 1, packed)

    def _could_exchange(self) -> list[tuple[twin.Booking, str]]:
        return [
            (booking, model)
            for booking in self.twin.bookings.values()
            for model in self.world.models
            if self._blocks(booking) and fewest_changes(self.twin, booking, model, 1, set())
        ]

    @precondition(lambda self: len(self.twin.bookings) < MOST_BOOKINGS)
    @rule(number=st.integers(0, 20), packed=some_packed, by_right=st.booleans())
    def somebody_asks_for_when_others_must_change(self, number, packed, by_right) -> None:
        """Where they may, or where they would have to do what was agreed otherwise."""
        found = list(self._times_of_exchange(by_right))
        if found:
            span, slug = found[number % len(found)]
            self._ask_anew(span, slug, 1, packed)

    @precondition(lambda self: self._agreed())
    @rule(number=st.integers(0, 20), next_to=nearby)
    def somebody_asks_next_to_what_was_agreed(self, number, next_to) -> None:
        found = self._agreed()
        self._ask_about(*found[number % len(found)], *next_to)

    def _ask_about(self, booking, unit, before, usually, lasts, count) -> None:
        """For what could be had if it were not agreed; else right before or after it as it was agreed, or as it usually
        would be."""
        if len(self.twin.bookings) >= MOST_BOOKINGS:
            return
        for span, slug in self._times_of_exchange(False):
            return self._ask_anew(span, slug, 1, set())
        thing = self.twin.units[unit]
        since, until = thing.blocked(booking.away) if usually else booking.promises[unit].blocked
        begin = since - thing.turnaround - lasts if before else until + thing.prep
        if self.twin.now < begin < twin.FOREVER:
            self._ask_anew((begin, begin + lasts), thing.model, count, set())

    def _agreed(self) -> list[tuple[twin.Booking, int]]:
        """What blocks something else than the unit usually needs."""
        return [
            (booking, unit)
            for booking, unit, promise in self.twin.live()
            if promise.blocked != self.twin.units[unit].blocked(booking.away)
        ]

    def _ask_anew(self, span, slug, count, packed) -> None:
        self._open(span, "hold", None, 0)
        self.before = records.everything()
        self._any(list(self.twin.bookings.values())[-1], slug, count, packed)

    def _times_of_exchange(self, by_right) -> Iterator[tuple[twin.Hours, str]]:
        hours = {hour for _, _, promise in self.twin.live() for hour in promise.blocked}
        for span in sorted(
            (hour + way, hour + way + lasts) for hour in hours for way in (-2, 0) for lasts in (2, 4)
        ):
            if self.twin.now < span[0] < twin.FOREVER:
                for slug in self.world.models:
                    asked = (self.twin, twin.Booking(0, "hold", *span), slug, 1, set())
                    fewest = fewest_changes(*asked)
                    if fewest if by_right else fewest is None and fewest_changes(*asked, by_right=False):
                        yield span, slug

    @precondition(lambda self: len(self.twin.bookings) + 3 <= MOST_BOOKINGS)
    @rule(start=st.integers(1, 30), model=st.integers(0, 1), held=st.sampled_from(["no", "packed", "fixed"]))
    def two_come_one_after_the_other_and_somebody_asks_for_between(self, start, model, held) -> None:
        self._ask_between(start, model, held)

    def _ask_between(self, start, model, held) -> None:
        """Each has a unit of its own, and one would do for both: unless they are packed, must be these very ones or
        stay on set."""
        slug = list(self.world.models)[model]
        own = [pk for pk, unit in self.twin.units.items() if unit.model == slug]
        begin, apart = self.twin.now + start, 6
        for unit, since in zip(own, (begin, begin + 2 + apart), strict=True):
            self._open((since, since + 2), "confirmed", None, 0)
            self.before = records.everything()
            booking = list(self.twin.bookings.values())[-1]
            self._promise(booking, {unit})
            if held == "fixed":
                self._fix(booking, {unit}, True)
            elif held == "stays":
                self._open((since + 2, since + 3), "confirmed", None, 0)
                self.before = records.everything()
                self._stay(booking, list(self.twin.bookings.values())[-1], {unit})
        self._ask_anew((begin + 1, begin + 3 + apart), slug, 1, set(range(30)) if held == "packed" else set())

    def _ask_right_after_granted(self, start) -> None:
        """Nothing is blocked after it, so that somebody else may have all of the type at once."""
        slug = next(iter(self.world.models))
        unit = next(pk for pk, thing in self.twin.units.items() if thing.model == slug)
        begin = self.twin.now + start
        self._open((begin, begin + 2), "confirmed", None, 0)
        booking = list(self.twin.bookings.values())[-1]
        self.before = records.everything()
        self._promise(booking, {unit})
        self._grant(booking, unit, None, 0)
        self._ask_about(booking, unit, False, False, 1, 2)

    def _grant_where_one_goes_straight_on(self, start) -> None:
        """The second comes right after the first, without any prep."""
        unit = self.world.units[0].pk
        begin = self.twin.now + start
        for since in (begin, begin + 2):
            self._open((since, since + 2), "confirmed", None, 0)
            self.before = records.everything()
            self._grant(list(self.twin.bookings.values())[-1], unit, 0, 0)

    def _stay_and_come_back_early(self, start) -> None:
        """It was to stay on set, and is in the store before the first is over."""
        unit = self.world.units[0].pk
        begin = self.twin.now + start
        for since in (begin, begin + 4):
            self._open((since, since + 4), "confirmed", None, 0)
        self.before = records.everything()
        first, later = list(self.twin.bookings.values())[-2:]
        self._promise(first, {unit})
        self._stay(first, later, {unit})
        self._pass(start + 1)
        self.close(list(self.twin.bookings.values()).index(first))

    def _any(self, booking, slug, count, packed) -> None:
        """``packed`` leave the store beforehand and are back afterwards."""
        gear_type = self.world.models[slug]
        in_store = [(one.number, unit) for one, unit, promise in self.twin.promised() if promise.active]
        out = {in_store[index] for index in packed if index < len(in_store)}
        self._pack(out, pinned=True)
        fewest = fewest_changes(self.twin, booking, slug, count, out) if self._blocks(booking) else None
        done = self.act(
            fewest is not None, lambda: promise_any(self.real(booking), gear_type.pk, count, None)
        )
        if done is not None:
            self._take_over(booking, slug, count, fewest, out, *done)
        self._pack(out, pinned=False)

    def _pack(self, out, *, pinned) -> None:
        for number, unit in out:
            Allocation.objects.filter(booking=number, unit=unit).update(pinned=pinned)
            self.changed = True
        self.before = records.everything()

    def _take_over(self, booking, slug, count, fewest, out, promises, changed) -> None:
        assert count > 1 or len(changed) == fewest, "more were exchanged than need be"
        for one in changed:
            other, old = self.twin.bookings[one.booking.pk], one.old.pk
            assert (other.number, old) not in out, "what is packed was exchanged"
            assert other is not booking
            assert may_change(self.twin, other, old, other.promises[old])
        moved = [
            (
                self.twin.bookings[one.booking.pk],
                one.new.pk,
                self.twin.bookings[one.booking.pk].promises.pop(one.old.pk),
            )
            for one in changed
        ]
        for other, new, promise in moved:
            assert new not in other.promises or not other.promises[new].active
            other.promises[new] = promise
            promise.blocked = self.twin.needed(other, new)
            self.twin.retire_lapsed(new, promise.blocked, other)
        for one in changed:
            for given in self.twin.bookings[one.booking.pk].kits.values():
                if one.old.pk in given.units:
                    given.units[one.new.pk] = given.units.pop(one.old.pk)
        chosen = [promise.unit_id for promise in promises]
        assert len(chosen) == count
        for unit in chosen:
            thing = self.twin.units[unit]
            assert (thing.model, thing.condition) == (slug, "ready")
            assert unit not in booking.promises or not booking.promises[unit].active
        self.twin.claim(booking, chosen)
