"""What an act from a phone does to the packing list: the same as on the list itself, at the time it was done.

A fact that the plan did not foresee is not refused for that. What cannot stand beside what is known stays to be looked
at, and says why.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from django.db import transaction

from gear.errors import Conflict, Gone, Invalid, Refusal
from gear.inventory.models import Unit
from gear.inventory.photos import kind_of_picture
from gear.inventory.queries import unit_by_mark
from gear.inventory.services import report_fault
from studio.packing import services as packing
from studio.packing.disputes import claim_out
from studio.packing.found import into_the_tray
from studio.packing.models import PackingClosure, PackingLine
from studio.packing.queries import where_out
from studio.packing.stock import count_line
from studio.phones.formats import Act, read_act
from studio.phones.models import Operation
from studio.shoots.models import Shoot

__all__ = ["Became", "act_of", "do"]

State = Operation.State


@dataclass(frozen=True)
class Became:
    """What became of an act."""

    state: str
    sentence: str
    unit: Unit | None = None


def act_of(operation: Operation) -> Act:
    """The act that was sent, with its time by the server's clock. Raises `Invalid` where it cannot be read."""
    act = read_act(operation.document)
    photo = bytes(operation.photo) if operation.photo else None
    return replace(act, acted_at=operation.acted_at or act.acted_at, photo=photo)


def do(act: Act, by: Any) -> Became:
    """Do it, as the person who did it. Raises nothing that a person could cause; what is refused has no effect."""
    shoot = Shoot.objects.select_related("booking").filter(pk=act.shoot_id).first()
    if shoot is None:
        return Became(State.REVIEW, "The shoot does not exist any more.")
    try:
        with transaction.atomic():
            return _done(act, shoot, by)
    except Gone as gone:
        into_the_tray(act.mark, shoot, by, act.acted_at)
        return Became(State.FOUND, gone.sentence)
    except Invalid as invalid:
        return Became(State.REFUSED, invalid.sentence)
    except Conflict as conflict:
        return _not_done(act, shoot, by, conflict)


def _done(act: Act, shoot: Shoot, by: Any) -> Became:
    if act.act.startswith("count-"):
        words = count_line(shoot, act.line_id or 0, act.act.removeprefix("count-"), act.quantity, by)
        return Became(State.DONE, f"{words}.")
    unit = unit_by_mark(act.mark)
    line = _line(act, shoot, unit)
    overtaken = _overtaken(act, line)
    if overtaken:
        return Became(State.DONE, overtaken, unit)
    if act.act == "out":
        packing.pack_out(shoot, unit.tag, by, act.acted_at)
        return Became(State.DONE, f"{unit.tag} packed.", unit)
    if act.act == "in":
        packing.take_back(shoot, unit.tag, by, act.acted_at)
        return Became(State.DONE, f"{unit.tag} is back.", unit)
    if act.act == "used":
        packing.mark_used(shoot, unit.tag, by, act.note, act.acted_at)
        return Became(State.DONE, f"{unit.tag} marked as used up.", unit)
    if act.act == "undo":
        packing.undo(shoot, unit.tag, by)
        return Became(State.DONE, f"{unit.tag} undone.", unit)
    return _reported(act, shoot, unit, line, by)


def _reported(act: Act, shoot: Shoot, unit: Unit, line: PackingLine | None, by: Any) -> Became:
    """Missing or damaged. Damage stops the unit at once, wherever the list stands."""
    act, without = _with_a_real_photo(act)
    out = line is not None and line.out_at is not None and not line.outcome
    closed = PackingClosure.objects.filter(shoot=shoot).exists()
    if act.act == "damaged" and (closed or not out):
        report_fault(unit.tag, f"{act.note} (at {shoot.title})"[:300], by, photo=act.photo)
        return Became(State.DONE, f"{unit.tag} is in quarantine.{without}", unit)
    packing.report_line(
        shoot,
        unit.tag,
        "damaged" if act.act == "damaged" else "missing",
        act.note,
        by,
        act.acted_at,
        act.photo,
    )
    words = "in quarantine" if act.act == "damaged" else "reported missing"
    return Became(State.DONE, f"{unit.tag} is {words}.{without}", unit)


def _with_a_real_photo(act: Act) -> tuple[Act, str]:
    if act.photo is None:
        return act, ""
    try:
        kind_of_picture(act.photo)
    except Invalid:
        return replace(act, photo=None), " The picture could not be read and is not kept."
    return act, ""


def _line(act: Act, shoot: Shoot, unit: Unit) -> PackingLine | None:
    """The line of the unit. If the phone's list had it and the plan has let it go since, what was done with it still
    belongs here."""
    lines = PackingLine.objects.filter(shoot=shoot, unit=unit)
    found = lines.first()
    if found is None and not PackingClosure.objects.filter(shoot=shoot).exists():
        packing.update_list(shoot)
        if act.listed:
            reason = "was on the list of the phone"
            lines.get_or_create(shoot=shoot, unit=unit, defaults={"wanted": False, "reason": reason})
        found = lines.first()
    return found


def _overtaken(act: Act, line: PackingLine | None) -> str:
    """What has happened since makes this act old news: said in words, empty where it is not so."""
    if line is None or line.out_at is None:
        return ""
    last = line.outcome_at or line.out_at
    known = f"{line.unit.tag}: what happened later is known already; nothing was changed."
    if act.act == "out" and line.outcome and act.acted_at <= last:
        return known
    if act.act == "undo" and act.acted_at < last:
        return known
    return ""


def _not_done(act: Act, shoot: Shoot, by: Any, conflict: Refusal) -> Became:
    unit = unit_by_mark(act.mark) if act.mark else None
    if conflict.code == "out-elsewhere" and unit is not None:
        holder = where_out(unit)
        claim = PackingLine.objects.filter(shoot=shoot, unit=unit).select_related("unit").first()
        if holder is not None and claim is not None:
            claim_out(claim, holder, act.acted_at, by)
            return Became(
                State.DISPUTED,
                f"{unit.tag} was packed for {shoot} and for {holder.shoot}. Both are kept; scan it once more where it "
                "really is.",
                unit,
            )
    if conflict.code == "not-on-list":
        return Became(State.REFUSED, conflict.sentence, unit)
    return Became(State.REVIEW, conflict.sentence, unit)
