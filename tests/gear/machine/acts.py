"""What people do with bookings and units; each rule says first, by the twin, whether it is possible."""

from __future__ import annotations

from hypothesis import strategies as st
from hypothesis.stateful import precondition, rule

from gear.booking import services
from gear.booking.open_end import leave_open
from gear.booking.queries import free_units
from gear.booking.tasks import move_up
from gear.errors import StaleEdit
from gear.shortages.review import review_all
from gear.stock.services import promise_any_of_model
from tests.gear.machine import twin
from tests.gear.machine.machine import Machine
from tests.gear.machine.world import at, between

__all__ = ["MOST_BOOKINGS", "BookingActs", "bookings", "some", "spans", "states", "units"]

MOST_BOOKINGS = 7
LAST_HOUR = twin.FOREVER - 300
bookings = st.integers(0, MOST_BOOKINGS - 1)
units = st.integers(0, 3)
some = st.sets(units, min_size=1, max_size=3)
spans = st.tuples(st.integers(-4, 40), st.integers(1, 10)).map(lambda s: (s[0], s[0] + s[1]))
states = st.sampled_from(["enquiry", "hold", "hold", "confirmed", "confirmed"])


class BookingActs(Machine):
    """Asking, holding, confirming, moving, letting go."""

    @precondition(lambda self: len(self.twin.bookings) < MOST_BOOKINGS)
    @rule(
        span=spans,
        state=states,
        hold_h=st.one_of(st.none(), st.integers(1, 20)),
        asker=st.sampled_from([0, 0, 1]),
    )
    def open(self, span, state, hold_h, asker) -> None:
        self._open((span[0] + self.twin.now, span[1] + self.twin.now), state, hold_h, asker)

    def _open(self, span, state, hold_h, asker) -> None:
        until = self.twin.now + hold_h if hold_h else None
        made = self.act(
            True,
            lambda: services.open_booking(
                "Somebody",
                between(*span),
                self.world.people[asker],
                state=state,
                hold_until=until and at(until),
            ),
        )
        ours = twin.Booking(made.pk, state, *span, asker=asker)
        if state == "hold":
            ours.hold_until = until or self._usual_end(span[0])
        self.twin.bookings[made.pk] = ours

    def _usual_end(self, start: int) -> int:
        return max(min(self.twin.now + 7 * 24, start), self.twin.now + 1)

    @rule(number=bookings, which=st.sets(units, min_size=1, max_size=3))
    def promise(self, number, which) -> None:
        self._promise(self.pick(number), self._ids(which))

    def _promise(self, booking, wanted) -> None:
        standing = {u for u, p in booking.promises.items() if p.active}
        new = wanted - set(booking.promises) if booking.state == "enquiry" else wanted - standing
        if booking.state == "enquiry":
            possible = all(self.twin.units[u].condition == "ready" for u in new)
        else:
            possible = not (booking.is_ended or self.twin.lapsed(booking)) and self.twin.can_claim(
                booking, new
            )
        self.act(possible, lambda: services.promise_units(self.real(booking), wanted, None))
        if possible:
            self._note_or_claim(booking, new)

    def _ids(self, which) -> set[int]:
        return {self.world.units[index].pk for index in which}

    def _note_or_claim(self, booking, new) -> None:
        if booking.state == "enquiry":
            for unit in new:
                self.twin.note(booking, unit)
        else:
            self.twin.claim(booking, new)

    @rule(number=bookings, which=st.sets(units, min_size=1, max_size=2))
    def release(self, number, which) -> None:
        booking = self.pick(number)
        unwanted = self._ids(which) - self._from_kits(booking)
        self.act(True, lambda: services.release_units(self.real(booking), unwanted, None))
        for unit in unwanted:
            self.twin.drop(booking, unit)

    def _from_kits(self, booking) -> set[int]:
        return {unit for given in booking.kits.values() for unit in given.units}

    @rule(
        number=bookings,
        give=st.sets(units, min_size=1, max_size=2),
        take=st.sets(units, min_size=1, max_size=2),
    )
    def exchange(self, number, give, take) -> None:
        booking = self.pick(number)
        gives, takes = self._ids(give) - self._from_kits(booking), self._ids(take)
        new = {u for u in takes if not (u in booking.promises and booking.promises[u].active)}
        if booking.state == "enquiry":
            new = takes - set(booking.promises)
            possible = all(self.twin.units[u].condition == "ready" for u in new)
        else:
            possible = not (booking.is_ended or self.twin.lapsed(booking)) and self.twin.can_claim(
                booking, new
            )
        self.act(possible, lambda: services.exchange_units(self.real(booking), gives, takes, None))
        if possible:
            self._note_or_claim(booking, new)
            for unit in gives - takes:
                self.twin.drop(booking, unit)

    @rule(number=bookings, model=st.integers(0, 1), count=st.integers(1, 4))
    def promise_by_type(self, number, model, count) -> None:
        booking = self.pick(number)
        slug, gear_type = list(self.world.models.items())[model]
        free = [
            u
            for u in self.twin.free_units(booking.away)
            if self.twin.units[u].model == slug and u not in booking.promises
        ]
        counted = [pk for pk, item in self.twin.items.items() if item.model == slug]
        there = sum(self.twin.free_of(pk, booking.away, really=True) for pk in counted)
        possible = not (booking.is_ended or self.twin.lapsed(booking)) and count <= len(free) + there
        self.act(possible, lambda: promise_any_of_model(self.real(booking), gear_type, count, None))
        if possible:
            self._note_or_claim(booking, free[:count])
            if count > len(free):
                self.put_line(booking, counted[0], "", count - len(free))

    def put_line(self, booking, item, source, more) -> None:
        key, away = (item, source), booking.away
        before = booking.lines[key].quantity if key in booking.lines else 0
        blocked = (away[0], away[1] + self.twin.items[item].turnaround)
        booking.lines[key] = twin.Line(before + more, booking.use, blocked, booking.state != "enquiry")

    @rule(number=bookings, span=spans)
    def move(self, number, span) -> None:
        self._move(self.pick(number), (span[0] + self.twin.now, span[1] + self.twin.now))

    @rule(number=bookings, hours=st.integers(1, 6))
    def extend(self, number, hours) -> None:
        booking = self.pick(number)
        if booking.end < twin.FOREVER:
            self._move(booking, (booking.start, booking.end + hours))

    @rule(number=bookings, hours=st.integers(1, 6))
    def shorten(self, number, hours) -> None:
        booking = self.pick(number)
        if booking.start < booking.end - hours and booking.end < twin.FOREVER:
            self._move(booking, (booking.start, booking.end - hours))

    @rule(number=bookings, span=spans, travel=st.integers(0, 2))
    def move_to_another_place(self, number, span, travel) -> None:
        self._move(self.pick(number), (span[0] + self.twin.now, span[1] + self.twin.now), travel)

    def _move(self, booking, span, travel=None, review=None) -> None:
        lapsed, way = self.twin.lapsed(booking), booking.travel if travel is None else travel
        away, but = (span[0] - way, span[1] + way), [booking.number]
        counted = {pk for (pk, _), line in booking.lines.items() if line.active and not lapsed}
        possible = (
            not booking.is_ended
            and (review is None or review > self.twin.now)
            and all(booking.of_item(pk) <= self.twin.free_of(pk, away, but) for pk in counted)
            and self.twin.move(booking, span, way)
        )
        self.act(possible, lambda: self._moved(self.real(booking), span, travel, review))
        if not possible:
            return
        booking.review = review
        for (pk, _), line in booking.lines.items():
            line.active, line.use = line.active and not lapsed, span
            line.blocked = (away[0], away[1] + self.twin.items[pk].turnaround)

    def _moved(self, real, span, travel, review) -> None:
        if review is not None:
            return leave_open(real, at(review), None)
        way = None if travel is None else 60 * travel
        return services.move_booking(real, between(*span), None, travel_minutes=way)

    @rule(number=bookings)
    def confirm(self, number) -> None:
        self._stand(self.pick(number), "confirmed", services.confirm)

    @rule(number=bookings, hold_h=st.one_of(st.none(), st.integers(1, 20)))
    def hold(self, number, hold_h) -> None:
        booking = self.pick(number)
        until = self.twin.now + hold_h if hold_h else self._usual_end(booking.start)
        self._stand(
            booking,
            "hold",
            lambda real, by: services.hold(real, by, hold_h and at(until)),
            until,
        )

    def _stand(self, booking, state, verb, until=None, from_states=("enquiry", "hold", "confirmed")) -> None:
        lapsed = self.twin.lapsed(booking)
        waiting = [u for u, p in booking.promises.items() if lapsed or not p.active]
        items = {pk for (pk, _), line in booking.lines.items() if lapsed or not line.active}
        possible = (
            booking.state in from_states
            and self.twin.can_claim(booking, waiting)
            and all(
                booking.of_item(pk) <= self.twin.free_of(pk, booking.away, [booking.number]) for pk in items
            )
        )
        self.act(possible, lambda: verb(self.real(booking), None))
        if possible:
            self.twin.claim(booking, waiting)
            for (pk, _), line in booking.lines.items():
                if pk in items:
                    line.active, line.use = True, booking.use
                    away = booking.away
                    line.blocked = (away[0], away[1] + self.twin.items[pk].turnaround)
            booking.state, booking.hold_until = state, until

    @rule(number=bookings)
    def cancel(self, number) -> None:
        booking = self.pick(number)
        self.act(booking.state != "closed", lambda: services.cancel(self.real(booking), None))
        if booking.state != "closed":
            booking.state, booking.hold_until = "cancelled", None
            for unit in booking.promises:
                self.twin.let_go(booking, unit)
            for line in booking.lines.values():
                line.active = False

    @rule(number=bookings)
    def uncancel(self, number) -> None:
        booking = self.pick(number)
        if booking.state == "cancelled":
            self._stand(booking, "hold", services.uncancel, self._usual_end(booking.start), ("cancelled",))
        else:
            self.act(True, lambda: services.uncancel(self.real(booking), None))

    @rule(number=bookings)
    def close(self, number) -> None:
        """Its gear is back; nothing of it blocks longer than it did."""
        booking, now = self.pick(number), self.twin.now
        self.act(booking.state != "cancelled", lambda: services.close_booking(self.real(booking), None))
        if booking.is_ended:
            return
        for unit, promise in booking.promises.items():
            if now <= booking.start:
                self.twin.let_go(booking, unit)
            elif now < booking.end and promise.active:
                promise.blocked = (promise.blocked[0], promise.blocked[1] - (booking.end - now))
                promise.use = (booking.start, now)
                if promise.stays_for is not None:
                    self.twin.end_stay(booking, unit, came_back=True)
        for line in booking.lines.values():
            line.active = False
        if booking.end == twin.FOREVER and now > booking.start:
            booking.end = now
        booking.state, booking.hold_until = "closed", None

    @rule(number=bookings, act=st.sampled_from(["confirm", "hold", "cancel"]))
    def act_on_an_old_version(self, number, act) -> None:
        booking = self.pick(number)
        real = self.real(booking)
        if not booking.is_ended:
            self.act(
                False, lambda: getattr(services, act)(real, None, version=real.version - 1), only=StaleEdit
            )

    @precondition(lambda self: self.twin.now < LAST_HOUR)
    @rule(hours=st.integers(1, 12))
    def time_passes(self, hours) -> None:
        self._pass(hours)

    @precondition(lambda self: self._soon_ended())
    @rule(number=bookings)
    def time_passes_until_a_hold_ends(self, number) -> None:
        soon = self._soon_ended()
        self._pass(soon[number % len(soon)].hold_until - self.twin.now)

    def _soon_ended(self) -> list[twin.Booking]:
        """Holds with units that end within the next two days, by themselves."""
        return [
            one
            for one in self.twin.bookings.values()
            if one.state == "hold"
            and 0 < one.hold_until - self.twin.now <= 48
            and any(promise.active for promise in one.promises.values())
        ]

    def _pass(self, hours) -> None:
        """Holds end by the clock alone; the sweep tells who is short by it. What they had is asked for at once."""
        before = [one for one in self.twin.bookings.values() if self.twin.lapsed(one)]
        self.twin.now += hours
        self.changed = True
        ended = [one for one in self.twin.bookings.values() if self.twin.lapsed(one) and one not in before]
        self.twin.end_stays_of_ended_holds()
        move_up()
        review_all()
        for one in ended:
            self._free(one.use)

    @rule(span=spans)
    def ask_what_is_free(self, span) -> None:
        self._free((span[0] + self.twin.now, span[1] + self.twin.now))

    def _free(self, use) -> None:
        real = [unit.pk for unit in free_units(between(*use).interval)]
        assert real == self.twin.free_units(use)
