"""The machine: what every rule needs."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from typing import Any, ClassVar
from unittest import mock

from django.db import transaction
from hypothesis.stateful import RuleBasedStateMachine, invariant

from gear import changes
from gear.booking.models import Allocation, Booking
from gear.errors import Refusal
from tests.gear.machine import records, twin
from tests.gear.machine.always import ALWAYS
from tests.gear.machine.world import World, at

__all__ = ["Machine"]


class Machine(RuleBasedStateMachine):
    """One run on the database of `world`, undone afterwards. Subclasses bring the rules."""

    world: World
    events_before: int
    lives: ClassVar[int] = 0
    bookings: list[Booking]
    promises: list[Allocation]

    def __init__(self) -> None:
        super().__init__()
        Machine.lives += 1
        self.twin = self.world.twin()
        self.changed = True
        self.told: dict[str, set[int]] = {}
        self.versions: dict[int, tuple[int, tuple]] = {}
        self._transaction = transaction.atomic()
        self._transaction.__enter__()
        self._clock = mock.patch("django.utils.timezone.now", self.now)
        self._clock.start()
        changes.write_with(self._hear)
        records.announced()
        self.before = records.everything()

    def teardown(self) -> None:
        changes._writers.remove(self._hear)
        self._clock.stop()
        transaction.set_rollback(True)
        self._transaction.__exit__(None, None, None)

    def now(self) -> datetime:
        return at(self.twin.now)

    def _hear(self, heard: Sequence[changes.Change]) -> None:
        for change in heard:
            self.told.setdefault(change.topic, set()).update(change.ids)

    def act(self, possible: bool, do: Callable[[], Any], *, only: type[Refusal] = Refusal) -> Any:
        """Do it. It must be refused exactly where the twin says so, and a refusal must leave nothing behind."""
        told = {topic: set(ids) for topic, ids in self.told.items()}
        done, refusal = None, None
        try:
            done = do()
        except Refusal as raised:
            refusal = raised
        if refusal is None:
            self.changed = True
            assert possible, f"accepted, though the twin refuses: {done!r}"
            return done
        assert not possible, f"refused: {refusal.sentence}"
        assert isinstance(refusal, only), f"refused with {refusal.code}: {refusal.sentence}"
        assert refusal.sentence.strip().endswith((".", "?"))
        self.told = told
        left = {table for table, what in records.everything().items() if what != self.before[table]}
        assert not left, f"the refusal “{refusal.sentence}” left something in {sorted(left)}"
        return None

    def pick(self, index: int) -> twin.Booking:
        return list(self.twin.bookings.values())[index % len(self.twin.bookings)]

    def real(self, booking: twin.Booking) -> Booking:
        return Booking.objects.get(pk=booking.number)

    @invariant()
    def what_must_always_be_true(self) -> None:
        """Asked again when something may have changed: that a refusal leaves everything as it was is seen there."""
        if not self.changed:
            return
        self.changed = False
        self.bookings = list(Booking.objects.all())
        self.promises = list(Allocation.objects.select_related("booking", "stays_for"))
        for holds in ALWAYS:
            holds(self)
