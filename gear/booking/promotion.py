"""When does a hold move up? When nothing stands before it any more: let go, cancelled, moved away, exchanged, or ended
by the clock.

Unit by unit: whoever waits for a head and a stand gets the stand when the stand is free. Always under the lock of the
unit, so that it happens once, whoever looks first: the one who lets go, somebody who asks for the unit, or the sweep.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import datetime

from django.db import IntegrityError, transaction

from gear.booking.locks import locked_units
from gear.booking.models import Allocation
from gear.booking.notices import Promoted, tell
from gear.booking.queries import due, live
from gear.booking.rules import now
from gear.booking.staying_ends import retire
from gear.booking.transactions import broken_constraint, in_one_transaction
from gear.changes import announce
from gear.inventory.models import Condition, Unit

__all__ = ["promote", "promote_due"]

_NOT_YET = {"booking_no_unit_twice", "booking_inside_the_window"}


def promote(units: Sequence[Unit], at: datetime) -> list[Allocation]:
    """Let those move up whose turn has come, in the order of the line; the units are locked. Repeating it changes
    nothing. Each booking is told once of all it gets here."""
    moved_up: list[Allocation] = []
    ready = [unit for unit in units if unit.condition == Condition.READY]
    waiting = due(at).filter(unit__in=ready).select_related("booking", "unit")
    for promise in list(waiting) if ready else []:
        if _in_the_way(promise, at) or not _stands(promise, at):
            continue
        moved_up.append(promise)
    tags: dict[int, list[str]] = defaultdict(list)
    for promise in moved_up:
        tags[promise.booking_id].append(promise.unit.tag)
    for booking_id, theirs in tags.items():
        tell(Promoted(booking_id, tuple(sorted(theirs))))
    announce("unit", sorted({promise.unit_id for promise in moved_up}))
    return moved_up


def promote_due(at: datetime | None = None) -> int:
    """Everywhere: what the clock alone brought about. A transaction for each booking; returns how many moved up."""
    at = at or now()
    wanted: dict[int, set[int]] = defaultdict(set)
    ready = due(at).filter(unit__condition=Condition.READY)
    for booking_id, unit_id in ready.values_list("booking_id", "unit_id"):
        wanted[booking_id].add(unit_id)
    return sum(_promote_locked(unit_ids, at) for unit_ids in wanted.values())


@in_one_transaction
def _promote_locked(unit_ids: Iterable[int], at: datetime) -> int:
    return len(promote(locked_units(unit_ids), at))


def _in_the_way(promise: Allocation, at: datetime) -> bool:
    """Asked again for each: whoever moved up a moment ago stands in the way of the next."""
    others = Allocation.objects.filter(live(at), unit=promise.unit_id, blocked__overlap=promise.blocked)
    return others.exclude(pk=promise.pk).exists()


def _stands(promise: Allocation, at: datetime) -> bool:
    """Take what has ended out of the way, then let it block: False when the database still refuses."""
    try:
        with transaction.atomic():
            retire(
                Allocation.objects.filter(
                    active=True, unit=promise.unit_id, blocked__overlap=promise.blocked
                ),
                at,
            )
            promise.active, promise.waits_since = True, None
            promise.save(update_fields=["active", "waits_since"])
    except IntegrityError as error:
        if broken_constraint(error) not in _NOT_YET:
            raise
        promise.refresh_from_db()
        return False
    return True
