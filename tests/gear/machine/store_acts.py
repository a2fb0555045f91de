"""What people do with counted things and kits, and what the world does to gear."""

from __future__ import annotations

from hypothesis import strategies as st
from hypothesis.stateful import initialize, precondition, rule

from gear.inventory.entry import CareNote
from gear.inventory.services import add_care_entry, change_condition, report_fault
from gear.kits.models import KitPromise
from gear.kits.queries import is_free
from gear.kits.services import promise_kit, release_kit
from gear.shortages.models import Shortage
from gear.shortages.services import go_without, swap, take_fewer
from gear.stock.queries import availability, free_of_model
from gear.stock.services import Wanted, promise_stock, record_movement, set_stock
from gear.subhire.models import SubHire
from gear.subhire.services import agree_return, cancel_sub_hire, hand_back
from tests.gear.machine import records, twin
from tests.gear.machine.acts import bookings, some, spans, states, units
from tests.gear.machine.finer_acts import FinerActs
from tests.gear.machine.world import at, between, hour_of

__all__ = ["Studio"]

items = st.integers(0, 2)
lines = st.lists(st.tuples(items, st.integers(1, 6)), min_size=1, max_size=3)
names = st.sampled_from(["A", "B"])
begins = st.sampled_from(
    [
        "as it comes",
        "as it comes",
        "granted",
        "straight on",
        "early",
        "counted",
        "no",
        "packed",
        "fixed",
        "stays",
    ]
)


class Studio(FinerActs):
    """The whole of it."""

    @initialize(
        asked=st.lists(
            st.tuples(spans, states, some, st.sampled_from([None, None, "A", "B"])), min_size=3, max_size=3
        ),
        start=st.integers(1, 12),
        begin=begins,
    )
    def the_first_come(self, asked: list, start: int, begin: str) -> None:
        """As it comes, or first of all what seldom comes by itself."""
        if begin == "granted":
            self._ask_right_after_granted(start)
        elif begin == "straight on":
            self._grant_where_one_goes_straight_on(start)
        elif begin == "early":
            self._stay_and_come_back_early(start)
        elif begin == "counted":
            self._let_others_have_what_was_counted(start)
        elif begin != "as it comes":
            self._ask_between(start, 0, begin)
        first = len(self.twin.bookings)
        for number, (span, state, which, kit) in enumerate(asked, first):
            self._open(span, state, None, 0)
            self.before = records.everything()
            if kit:
                self.promise_a_kit(number, kit)
            else:
                self._promise(self.pick(number), self._ids(which))

    def _let_others_have_what_was_counted(self, start) -> None:
        """All there are, for one that is cancelled and then for another: the first cannot stand again."""
        first = len(self.twin.bookings)
        for _ in range(2):
            self._open((self.twin.now + start, self.twin.now + start + 4), "confirmed", None, 0)
        self.before = records.everything()
        there = self.twin.free_of(self._item(0), self.pick(first).away, [])
        for number in (first, first + 1):
            self.promise_counted(number, [(0, there)])
            if number == first:
                self.cancel(first)
        self.before = records.everything()
        self.uncancel(first)

    @rule(number=bookings, wanted=lines)
    def promise_counted(self, number, wanted) -> None:
        booking = self.pick(number)
        asked: dict[int, int] = {}
        for index, count in wanted:
            asked[self._item(index)] = asked.get(self._item(index), 0) + count
        possible = self._takes_more(booking) and self._enough(booking, asked)
        self.act(
            possible,
            lambda: promise_stock(self.real(booking), [Wanted(self._item(i), n) for i, n in wanted], None),
        )
        if possible:
            for item, count in asked.items():
                self.put_line(booking, item, "", count)

    def _item(self, index) -> int:
        return self.world.items[index].pk

    def _takes_more(self, booking) -> bool:
        return not (booking.is_ended or self.twin.lapsed(booking))

    def _enough(self, booking, more: dict[int, int]) -> bool:
        return booking.state == "enquiry" or all(
            count + booking.of_item(item) <= self.twin.free_of(item, booking.away, [booking.number])
            for item, count in more.items()
        )

    @rule(number=bookings, index=items, count=st.integers(0, 8))
    def set_counted(self, number, index, count) -> None:
        """Exactly so many; fewer is always possible."""
        booking, item = self.pick(number), self._item(index)
        there = booking.lines.get((item, ""))
        more = count - (there.quantity if there else 0)
        fewer = there is not None and more <= 0 and (there.active or booking.state == "enquiry")
        possible = self._takes_more(booking) and (count == 0 or fewer or self._enough(booking, {item: more}))
        self.act(possible, lambda: set_stock(self.real(booking), item, count, None))
        if possible and count:
            self.put_line(booking, item, "", more)
        elif possible:
            booking.lines.pop((item, ""), None)

    @rule(number=bookings, name=names)
    def promise_a_kit(self, number, name) -> None:
        booking = self.pick(number)
        ways = list(self.twin.fillings(name, booking, booking.away)) if self._takes_more(booking) else []
        made = self.act(bool(ways), lambda: promise_kit(self.real(booking), self.world.kits[name], None))
        if not ways:
            return
        taken = list(made.taken.order_by("id"))
        chosen = tuple(
            ("unit", one.unit_id) if one.unit_id else ("item", one.item_id, int(one.quantity))
            for one in taken
        )
        assert chosen in ways
        units_taken = [way[1] for way in chosen if way[0] == "unit"]
        given = twin.Given(name, made.source, {unit: unit in booking.promises for unit in units_taken})
        standing = {u for u, p in booking.promises.items() if p.active}
        self._note_or_claim(
            booking,
            [
                u
                for u in units_taken
                if u not in (booking.promises if booking.state == "enquiry" else standing)
            ],
        )
        booking.kits[made.pk] = given
        for way in chosen:
            if way[0] == "item":
                self.put_line(booking, way[1], made.source, way[2])

    @precondition(lambda self: any(booking.kits for booking in self.twin.bookings.values()))
    @rule(number=st.integers(0, 9))
    def let_a_kit_go(self, number) -> None:
        with_kits = [(b, pk) for b in self.twin.bookings.values() for pk in b.kits]
        booking, pk = with_kits[number % len(with_kits)]
        self.act(True, lambda: release_kit(KitPromise.objects.get(pk=pk), None))
        given = booking.kits.pop(pk)
        for unit, was_there in given.units.items():
            if not was_there and unit not in self._from_kits(booking):
                self.twin.drop(booking, unit)
        for key in [key for key in booking.lines if key[1] == given.source]:
            del booking.lines[key]

    @rule(index=items, count=st.integers(1, 6), ahead_h=st.integers(-3, 20))
    def buy(self, index, count, ahead_h) -> None:
        item, since = self._item(index), self.twin.now + ahead_h
        self.act(True, lambda: record_movement(item, "purchase", count, None, effective_at=at(since)))
        self.twin.items[item].steps.append((since, count))

    @rule(index=items, count=st.integers(1, 6))
    def lose(self, index, count) -> None:
        """A fact is never refused for what was promised; only for what never was there."""
        item = self._item(index)
        thing = self.twin.items[item]
        least = min(thing.there(hour) for hour in range(self.twin.now, self.twin.now + 30))
        self.act(count <= least, lambda: record_movement(item, "loss", count, None))
        if count <= least:
            thing.steps.append((self.twin.now, -count))

    @rule(index=units)
    def something_breaks(self, index) -> None:
        unit = self.world.units[index]
        self.act(True, lambda: report_fault(unit.tag, "The tube flickers", None))
        ours = self.twin.units[unit.pk]
        ours.condition = ours.condition if ours.condition == "repair" else "quarantine"

    @rule(index=units, to=st.sampled_from(["ready", "ready", "repair", "quarantine", "lost"]))
    def change_its_condition(self, index, to) -> None:
        unit = self.world.units[index]
        ours = self.twin.units[unit.pk]
        self.act(ours.condition != to, lambda: change_condition(unit.tag, to, "Looked at it", None))
        ours.condition = to

    @rule(index=units)
    def inspect(self, index) -> None:
        """An inspection moves its own date and nothing of any promise."""
        note = CareNote(kind="inspection", text="In order")
        self.act(True, lambda: add_care_entry(self.world.units[index].tag, note, None))

    @rule(until=st.integers(1, 60))
    def the_owner_agrees_to_another_date(self, until) -> None:
        hire = SubHire.objects.get(pk=self.world.sub_hire.pk)
        possible = hire.ended_at is None and until > 3
        self.act(possible, lambda: agree_return(hire, at(until), None))
        if possible:
            self.twin.units[hire.unit_id].window = (1, until - 2)

    @precondition(lambda self: self.twin.now > 6)
    @rule(cancelled=st.booleans(), sure=st.integers(0, 3))
    def the_lent_unit_goes(self, cancelled, sure) -> None:
        hire = SubHire.objects.get(pk=self.world.sub_hire.pk)
        if sure and hire.ended_at is None:
            return
        possible = hire.ended_at is None
        self.act(
            possible,
            lambda: cancel_sub_hire(hire, "They need it", None) if cancelled else hand_back(hire, None),
        )
        if possible:
            window = (1, min(hour_of(hire.back_by) - 2, self.twin.now))
            self.twin.units[hire.unit_id].window = window

    @precondition(lambda self: Shortage.objects.filter(closed_at=None, unit__isnull=False).exists())
    @rule(number=st.integers(0, 9), other=units)
    def swap_what_is_short(self, number, other) -> None:
        shortage, booking = self._shortage(number, unit__isnull=False)
        self._swap(shortage, booking, other)

    @precondition(lambda self: self._coming())
    @rule(number=st.integers(0, 9), other=units)
    def what_somebody_counts_on_breaks_and_another_goes(self, number, other) -> None:
        coming = self._coming()
        booking, unit = coming[number % len(coming)]
        self.something_breaks([one.pk for one in self.world.units].index(unit))
        self.before = records.everything()
        self._swap(Shortage.objects.get(closed_at=None, booking=booking.number, unit=unit), booking, other)

    def _coming(self) -> list[tuple[twin.Booking, int]]:
        return [(b, unit) for b, unit, promise in self.twin.live() if promise.use[0] > self.twin.now]

    def _swap(self, shortage, booking, other) -> None:
        new = self.world.units[other]
        stands = new.pk in booking.promises and booking.promises[new.pk].active
        possible = (
            new.pk != shortage.unit_id
            and self._takes_more(booking)
            and (stands or self.twin.can_claim(booking, [new.pk]))
            and not {new.pk, shortage.unit_id} <= self._from_kits(booking)
        )
        self.act(possible, lambda: swap(shortage, new.tag, None))
        if possible:
            if not stands:
                self.twin.claim(booking, [new.pk])
            self.twin.drop(booking, shortage.unit_id)
            for given in booking.kits.values():
                if shortage.unit_id in given.units:
                    given.units[new.pk] = given.units.pop(shortage.unit_id)

    def _shortage(self, number, **which) -> tuple[Shortage, twin.Booking]:
        found = Shortage.objects.filter(closed_at=None, **which).order_by("id")
        shortage = found[number % found.count()]
        return shortage, self.twin.bookings[shortage.booking_id]

    @precondition(lambda self: Shortage.objects.filter(closed_at=None, unit__isnull=False).exists())
    @rule(number=st.integers(0, 9))
    def go_without_it(self, number) -> None:
        shortage, booking = self._shortage(number, unit__isnull=False)
        if shortage.unit_id in self._from_kits(booking):
            return
        self.act(True, lambda: go_without(shortage, None))
        self.twin.drop(booking, shortage.unit_id)

    @precondition(lambda self: Shortage.objects.filter(closed_at=None, item__isnull=False).exists())
    @rule(number=st.integers(0, 9))
    def go_with_fewer(self, number) -> None:
        shortage, booking = self._shortage(number, item__isnull=False)
        loose = booking.lines.get((shortage.item_id, ""))
        short = int(shortage.quantity)
        possible = (
            loose is not None and loose.active and loose.quantity >= short and self._takes_more(booking)
        )
        self.act(possible, lambda: take_fewer(shortage, None))
        if possible and loose.quantity == short:
            del booking.lines[shortage.item_id, ""]
        elif possible:
            self.put_line(booking, shortage.item_id, "", -short)

    @rule(span=spans)
    def ask_what_is_free_of_everything(self, span) -> None:
        use = (span[0] + self.twin.now, span[1] + self.twin.now)
        interval = between(*use).interval
        for item in self.world.items:
            found = availability(item, interval)
            assert found.free == self.twin.free_of(item.pk, use), item
            assert found.there == self.twin.free_of(item.pk, use, really=True), item
        for slug, model in self.world.models.items():
            tags = {
                self.twin.units[pk].tag
                for pk in self.twin.free_units(use)
                if self.twin.units[pk].model == slug
            }
            counted = [pk for pk, item in self.twin.items.items() if item.model == slug]
            found = free_of_model(model, interval)
            assert set(found.units) == tags
            assert found.counted == sum(self.twin.free_of(pk, use, really=True) for pk in counted)
        for name, kit in self.world.kits.items():
            assert is_free(kit, interval) == any(True for _ in self.twin.fillings(name, None, use)), name
