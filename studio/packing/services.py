"""Packing out, taking back, and closing a list: each act is one transaction and may be repeated without harm.

``at`` is when it was done, for what a phone noted without a network; without it, now.
"""

from __future__ import annotations

from datetime import datetime
from typing import Any, Literal

from django.db import IntegrityError, connection, transaction
from django.db.models import Exists, OuterRef, Q
from django.utils import timezone

from gear.booking.models import Allocation, Booking
from gear.booking.services import close_booking
from gear.booking.transactions import in_one_transaction
from gear.booking.wall_time import OPEN_END, say
from gear.errors import Conflict, Invalid
from gear.inventory.models import Condition, Unit
from gear.inventory.queries import unit_by_mark
from gear.inventory.services import change_condition, report_fault
from gear.shortages.services import came_back
from studio.packing.closing import refuse_by_others
from studio.packing.disputes import open_disputes, settle_by_scan
from studio.packing.freeing import free_from, needed_again
from studio.packing.models import Dispute, PackingClosure, PackingLine
from studio.packing.queries import packing_list, where_out, why_packed
from studio.packing.stock import refuse_stock_out
from studio.shoots.inspections import is_due_before_the_end
from studio.shoots.models import Shoot

__all__ = ["close_list", "mark_used", "pack_out", "report_line", "take_back", "undo", "update_list"]

Trouble = Literal["missing", "damaged"]


@transaction.atomic
def update_list(shoot: Shoot) -> None:
    """Bring the list in line with what the shoot has been promised now. What is out stays until accounted for."""
    _refuse_closed(shoot)
    homes = dict(
        Allocation.objects.filter(booking=shoot.booking_id, active=True).values_list(
            "unit_id", "unit__case_id"
        )
    )
    promised, cases = set(homes), {case for case in homes.values() if case}
    needed = promised | cases
    reasons = why_packed(shoot)
    lines = PackingLine.objects.select_for_update().filter(shoot=shoot).annotate(disputed=_WAS_DISPUTED)
    known = {line.unit_id: line for line in lines}
    fresh = [
        PackingLine(shoot=shoot, unit_id=unit_id, reason=_reason(unit_id, reasons, cases - promised))
        for unit_id in sorted(needed - set(known))
    ]
    PackingLine.objects.bulk_create(fresh, ignore_conflicts=True)
    gone, changed = [], []
    for unit_id, line in known.items():
        wanted, reason = unit_id in needed, _reason(unit_id, reasons, cases - promised)
        if not wanted and line.out_at is None and not line.disputed:
            gone.append(line.pk)
        elif (line.wanted, line.reason) != (wanted, reason):
            line.wanted, line.reason = wanted, reason
            changed.append(line)
    PackingLine.objects.bulk_update(changed, ["wanted", "reason"])
    _take_off(gone)


@in_one_transaction
def pack_out(shoot: Shoot, tag: str, by: Any, at: datetime | None = None) -> PackingLine:
    """Tick a unit off as packed, by whatever it is marked with (`unit_by_mark`). Ticking twice changes nothing.

    Raises Gone for a mark that nothing has, Invalid for a misread code, Conflict for a unit that is not on this list,
    is out elsewhere or unfit.
    """
    unit, line = _on_the_list(shoot, tag)
    _refuse_closed(shoot)
    settle_by_scan(line, by, at)
    if line.outcome:
        raise Conflict(f"{unit.tag} is back already; undo that first if it leaves again.")
    if line.out_at:
        return line
    if unit.condition != Condition.READY:
        raise Conflict(
            f"{unit.tag} is not to leave: {unit.get_condition_display().lower()}"
            + (f" ({unit.condition_note})." if unit.condition_note else ".")
            + " Take another one and change the plan."
        )
    _refuse_uninspected(unit, shoot)
    line.out_at, line.out_by = at or timezone.now(), by
    try:
        with transaction.atomic():
            line.save(update_fields=["out_at", "out_by"])
    except IntegrityError:
        elsewhere = where_out(unit)
        raise Conflict(
            f"{unit.tag} is still out with {elsewhere.shoot if elsewhere else 'another shoot'}; "
            "take it back there first.",
            code="out-elsewhere",
        ) from None
    _left(shoot, unit, pinned=True)
    return line


@in_one_transaction
def undo(shoot: Shoot, tag: str, by: Any) -> PackingLine:
    """Take the last step of a line back: an outcome first, then the tick."""
    unit, line = _on_the_list(shoot, tag)
    _refuse_closed(shoot)
    if line.outcome == PackingLine.Outcome.REPORTED:
        raise Conflict(f"{unit.tag} was reported; its state is changed on its own page, not undone here.")
    if line.outcome:
        needed_again(line)
        line.outcome, line.outcome_at, line.outcome_by, line.outcome_note = "", None, None, ""
        _save_as_out(line)
        _left(shoot, unit, pinned=True)
    elif line.out_at:
        line.out_at = line.out_by = None
        line.save(update_fields=["out_at", "out_by"])
        _left(shoot, unit, pinned=False)
    return line


def take_back(shoot: Shoot, tag: str, by: Any, at: datetime | None = None) -> PackingLine:
    """A unit came back."""
    return _account(shoot, tag, PackingLine.Outcome.IN, "", by, at)


def mark_used(shoot: Shoot, tag: str, by: Any, note: str = "", at: datetime | None = None) -> PackingLine:
    """A thing was used up on set: tape, paper, a gel."""
    return _account(shoot, tag, PackingLine.Outcome.USED, note, by, at)


@in_one_transaction
def report_line(
    shoot: Shoot,
    tag: str,
    trouble: Trouble,
    note: str,
    by: Any,
    at: datetime | None = None,
    photo: bytes | None = None,
) -> PackingLine:
    """A unit is missing, or came back damaged: the line is reported and the unit's own state follows at once."""
    if not note.strip():
        raise Invalid("Say in a few words what happened, so that whoever repairs or searches knows.")
    line = _account(shoot, tag, PackingLine.Outcome.REPORTED, f"{trouble}: {note.strip()}"[:300], by, at)
    said = f"{note.strip()} (at {shoot.title})"[:300]
    if trouble == "damaged":
        report_fault(line.unit.tag, said, by, photo=photo)
    elif line.unit.condition != Condition.LOST:
        change_condition(line.unit.tag, Condition.LOST, said, by)
    return line


@in_one_transaction
def close_list(shoot: Shoot, by: Any, note: str = "") -> PackingClosure:
    """Close the list: only when everything that went out is in, used or reported. Closing twice changes nothing."""
    lines = list(PackingLine.objects.select_for_update().filter(shoot=shoot).order_by("pk"))
    closed = PackingClosure.objects.filter(shoot=shoot).first()
    if closed:
        return closed
    progress = packing_list(shoot).progress
    if not progress.balances:
        still = [line.unit.tag for line in lines if line.out_at and not line.outcome]
        raise Conflict(
            f"{progress.still_out} of {progress.out} things are not accounted for: {', '.join(still[:12])}"
            + ("…" if len(still) > 12 else "")
            + ". Take each back, mark it used, or report it; then close."
        )
    disputed = [dispute.unit.tag for dispute in open_disputes().filter(claim__shoot=shoot)]
    disputed += [dispute.unit.tag for dispute in open_disputes().filter(holder__shoot=shoot)]
    if disputed:
        raise Conflict(
            f"{', '.join(sorted(set(disputed)))}: packed for two shoots, and nobody has looked yet. Scan each once "
            "more where it really is; then close.",
            code="disputed",
        )
    refuse_by_others(shoot)
    refuse_stock_out(shoot)
    PackingLine.objects.filter(shoot=shoot, out_at__isnull=True).update(wanted=False)
    if shoot.booking.state == Booking.State.CONFIRMED and shoot.booking.ends_at >= OPEN_END:
        close_booking(shoot.booking, by)
    Booking.objects.filter(
        pk=shoot.booking_id, state=Booking.State.CONFIRMED, ends_at__lte=timezone.now()
    ).update(state=Booking.State.CLOSED)
    return PackingClosure.objects.create(shoot=shoot, closed_at=timezone.now(), by=by, note=note[:300])


@in_one_transaction
def _account(
    shoot: Shoot, tag: str, outcome: str, note: str, by: Any, at: datetime | None = None
) -> PackingLine:
    unit, line = _on_the_list(shoot, tag)
    _refuse_closed(shoot)
    settle_by_scan(line, by, at)
    if line.out_at is None:
        raise Conflict(
            f"{unit.tag} was never ticked off as packed, so it cannot come back from this shoot. "
            "If it did leave, tick it as packed first."
        )
    if line.outcome == outcome:
        return line
    if line.outcome:
        raise Conflict(f"{unit.tag} is {line.get_outcome_display().lower()} already; undo that first.")
    line.outcome, line.outcome_by, line.outcome_note = outcome, by, note
    line.outcome_at = max(at or timezone.now(), line.out_at)
    line.save(update_fields=["outcome", "outcome_at", "outcome_by", "outcome_note"])
    _left(shoot, unit, pinned=False)
    came_back(unit, by, at)
    if outcome == PackingLine.Outcome.IN:
        free_from(line, line.outcome_at)
    return line


def _left(shoot: Shoot, unit: Unit, *, pinned: bool) -> None:
    """Whether it is out with this shoot: then its promise is not parted, let go or exchanged."""
    Allocation.objects.filter(booking=shoot.booking_id, unit=unit).update(pinned=pinned)


def _save_as_out(line: PackingLine) -> None:
    try:
        with transaction.atomic():
            line.save(update_fields=["outcome", "outcome_at", "outcome_by", "outcome_note"])
    except IntegrityError:
        raise Conflict(f"{line.unit.tag} has gone out with another shoot since; it stays as it is.") from None


def _on_the_list(shoot: Shoot, tag: str) -> tuple[Unit, PackingLine]:
    """The unit and its locked line. Raises Gone, or Conflict with a sentence that says whose it is instead."""
    unit = unit_by_mark(tag)
    line = (
        PackingLine.objects.select_for_update(of=("self",))
        .select_related("unit__gear_type", "shoot__booking")
        .filter(shoot=shoot, unit=unit)
        .first()
    )
    if line is None:
        raise Conflict(
            f"{unit.tag} ({unit.gear_type}) is not on this list. {_whose(unit, shoot)}", code="not-on-list"
        )
    return unit, line


def _whose(unit: Unit, shoot: Shoot) -> str:
    other = (
        Allocation.objects.filter(
            unit=unit, active=True, blocked__overlap=(shoot.booking.starts_at, shoot.booking.ends_at)
        )
        .exclude(booking=shoot.booking_id)
        .select_related("booking")
        .order_by("blocked")
        .first()
    )
    if other:
        until = say(other.booking.ends_at, other.booking.zone)
        return f"It belongs to {other.booking.title}, until {until}; put it back on its shelf."
    return "Put it back, or ask for it to be added to the shoot."


def _refuse_uninspected(unit: Unit, shoot: Shoot) -> None:
    if is_due_before_the_end(unit, shoot.booking):
        raise Conflict(
            f"{unit.tag} is not to leave: its inspection is due on {unit.inspection_due:%Y-%m-%d}, "
            "before this shoot ends.",
            ways_out=(
                f"Have {unit.tag} inspected and record it on its page.",
                "Take another one and change the plan.",
            ),
            code="inspection-due",
        )


_WAS_DISPUTED = Exists(Dispute.objects.filter(Q(claim=OuterRef("pk")) | Q(holder=OuterRef("pk"))))


def _take_off(line_ids: list[int]) -> None:
    """Delete lines that nothing hangs on. One statement: the database keeps a disputed line by itself."""
    if line_ids:
        with connection.cursor() as cursor:
            cursor.execute("DELETE FROM packing_packingline WHERE id = ANY(%s)", [line_ids])


def _refuse_closed(shoot: Shoot) -> None:
    closure = PackingClosure.objects.filter(shoot=shoot).first()
    if closure:
        raise Conflict(
            f"This list was closed on {say(closure.closed_at, shoot.booking.zone)}; nothing was changed."
        )


def _reason(unit_id: int, reasons: dict[int, str], only_as_case: set[int]) -> str:
    if unit_id in reasons:
        return reasons[unit_id]
    return "carries the rest" if unit_id in only_as_case else "spare"
