"""Borrowing a unit from outside; each act is one transaction.

What was agreed becomes the window in which the unit can be promised, travel taken off both ends. A window that shrinks
is a fact: promises outside it stay where they are and become shortages.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from django.db.backends.postgresql.psycopg_any import DateTimeTZRange

from gear.booking.interval import Period, refuse_beyond_horizon
from gear.booking.locks import locked_units
from gear.booking.models import UnitWindow
from gear.booking.rules import now
from gear.booking.transactions import in_one_transaction
from gear.booking.wall_time import say
from gear.changes import announce
from gear.errors import Conflict, FieldProblem, Gone, Invalid, StaleEdit
from gear.inventory.entry import UnitEntry
from gear.inventory.services import add_unit
from gear.subhire.models import SubHire

__all__ = ["Terms", "agree_return", "borrow_unit", "cancel_sub_hire", "hand_back"]


@dataclass(frozen=True)
class Terms:
    """What was agreed with the owner. ``period`` runs from fetching it to having it back there."""

    owner: str
    period: Period
    contact: str = ""
    travel_in_minutes: int = 0
    travel_out_minutes: int = 0
    price: Decimal | None = None
    note: str = ""


@in_one_transaction
def borrow_unit(entry: UnitEntry, terms: Terms, by: Any) -> SubHire:
    """A unit from outside, in the store under a tag of ours for the agreed time. Raises `Invalid`, `Conflict`."""
    owner = terms.owner.strip()
    if not owner or len(owner) > 120:
        raise Invalid("Say whose it is.", (FieldProblem("owner", "1 to 120 characters"),))
    interval = terms.period.interval
    refuse_beyond_horizon(interval, now())
    unit = add_unit(entry, by)
    made = SubHire(
        unit=unit,
        owner=owner,
        contact=terms.contact.strip()[:200],
        from_at=interval.starts_at,
        back_by=interval.ends_at,
        travel_in_minutes=terms.travel_in_minutes,
        travel_out_minutes=terms.travel_out_minutes,
        zone=terms.period.zone,
        price=terms.price,
        note=terms.note.strip()[:300],
        agreed_by=by,
    )
    _window(made)
    made.save()
    return made


@in_one_transaction
def agree_return(
    sub_hire: SubHire, back_by: datetime, by: Any, *, version: int | None = None, price: Decimal | None = None
) -> SubHire:
    """The owner agreed to another date. Raises `Invalid`, `StaleEdit`, `Conflict` when it has ended."""
    found = _locked(sub_hire, version)
    if back_by <= found.from_at:
        raise Invalid(
            "It cannot be back before it was fetched.", (FieldProblem("back_by", "a time after the start"),)
        )
    found.back_by = back_by
    if price is not None:
        found.price = price
    return _changed(found)


@in_one_transaction
def cancel_sub_hire(sub_hire: SubHire, why: str, by: Any, *, version: int | None = None) -> SubHire:
    """The owner does not lend it after all: it can be promised no more, and what was promised is short of it."""
    found = _locked(sub_hire, version)
    if not why.strip():
        raise Invalid("Say why it is not coming.", (FieldProblem("why", "what the owner said"),))
    found.ended_at, found.ended_why = now(), f"cancelled: {why.strip()}"[:300]
    return _changed(found)


@in_one_transaction
def hand_back(sub_hire: SubHire, by: Any, *, version: int | None = None) -> SubHire:
    """It is back with its owner."""
    found = _locked(sub_hire, version)
    found.ended_at, found.ended_why = now(), "back with its owner"
    return _changed(found)


def _locked(sub_hire: SubHire, version: int | None) -> SubHire:
    """The agreement as it stands, with its unit locked first as every promise locks it."""
    locked_units([sub_hire.unit_id])
    found = SubHire.objects.select_for_update(of=("self",)).select_related("unit__gear_type")
    stored = found.filter(pk=sub_hire.pk).first()
    if stored is None:
        raise Gone("That sub-hire does not exist any more.")
    if version is not None and stored.version != version:
        raise StaleEdit(
            f"What was agreed for {stored.unit.tag} was changed by somebody else in the meantime; nothing was "
            "overwritten. Look at what it says now, then make your change again."
        )
    if stored.ended_at:
        raise Conflict(
            f"{stored.unit.tag} is no longer lent to us, since {say(stored.ended_at, stored.zone)}: "
            f"{stored.ended_why}.",
            code="ended",
        )
    return stored


def _changed(found: SubHire) -> SubHire:
    found.version += 1
    found.save()
    _window(found)
    announce("unit", [found.unit_id])
    return found


def _window(found: SubHire) -> None:
    first = found.from_at + timedelta(minutes=found.travel_in_minutes)
    last = found.back_by - timedelta(minutes=found.travel_out_minutes)
    if found.ended_at:
        last = min(last, found.ended_at)
    if first >= last and not found.ended_at:
        raise Invalid(
            "The way there and back takes the whole of the agreed time.",
            (FieldProblem("back_by", "a time that leaves some between the two ways"),),
        )
    during = DateTimeTZRange(first, last, "[)") if first < last else DateTimeTZRange(empty=True)
    UnitWindow.objects.update_or_create(
        unit=found.unit, defaults={"during": during, "owner": found.owner, "goes_back_at": found.back_by}
    )
