"""What can be done to the store; each is one transaction."""

from __future__ import annotations

from datetime import date

from django.contrib.auth.base_user import AbstractBaseUser
from django.db import IntegrityError, transaction
from django.utils import timezone

from gear.catalogue.differences import ChangedMeanwhile, differences
from gear.catalogue.models import GearType
from gear.changes import announce
from gear.errors import Conflict, FieldProblem, Gone, Invalid
from gear.inventory.columns import unit_fields
from gear.inventory.entry import CareNote, UnitEntry
from gear.inventory.importing import import_units
from gear.inventory.models import CareEntry, Condition, Unit
from gear.inventory.rules import (
    case_loop,
    condition_after_fault,
    may_become,
    needs_inspection,
    next_inspection,
    tag_to_find,
)

__all__ = [
    "add_care_entry",
    "add_unit",
    "change_condition",
    "change_unit",
    "import_units",
    "report_fault",
]

By = AbstractBaseUser | None


def add_unit(entry: UnitEntry, by: By) -> Unit:
    """Put a new unit into the store, ready for use. Raises `Invalid` for an unknown gear type or an impossible case,
    `Conflict` when the tag is taken.
    """
    with transaction.atomic():
        unit = Unit()
        _fill(unit, entry)
        _save(unit)
        announce("unit", [unit.pk])
    return unit


def change_unit(tag: str, entry: UnitEntry, version: int, by: By) -> Unit:
    """Make a unit say what ``entry`` says; condition, note and health have acts of their own.

    Raises `Gone`, `ChangedMeanwhile` when somebody saved after ``version``, `Invalid`, `Conflict` for a taken tag.
    """
    with transaction.atomic():
        unit = _locked(tag)
        saved = {name: unit_fields(unit)[name] for name in UnitEntry.model_fields}
        typed = entry.model_dump()
        if unit.version != version:
            raise ChangedMeanwhile(unit.tag, differences(saved, typed), unit.version)
        if saved == typed:
            return unit
        _fill(unit, entry)
        unit.version += 1
        _save(unit)
        announce("unit", [unit.pk])
    return unit


def report_fault(tag: str, text: str, by: By, happened_on: date | None = None) -> CareEntry:
    """Take a unit out of use at once because something is wrong with it, and keep what was said.

    Raises `Gone`, and `Invalid` without a word about what is wrong.
    """
    text = _said(text, "what is wrong with it")
    with transaction.atomic():
        unit = _locked(tag)
        before = unit.condition
        unit.condition = condition_after_fault(before)
        unit.condition_note = text[:300]
        unit.version += 1
        unit.save()
        entry = CareEntry.objects.create(
            unit=unit,
            kind=CareEntry.Kind.FAULT,
            text=text,
            happened_on=_past(happened_on),
            by=by,
            condition_before=before,
            condition_after=unit.condition,
        )
        announce("unit", [unit.pk])
    return entry


def change_condition(tag: str, to: str, text: str, by: By, version: int | None = None) -> CareEntry:
    """Change the physical state of a unit. A way back to ready is a release: ``text`` then says what was inspected.

    ``version`` is the one that the decision was made from; a fault reported since then stops it. Raises `Gone`,
    `Invalid`, `Conflict` when the unit is in that state already, `ChangedMeanwhile`.
    """
    if to not in Condition.values:
        raise Invalid(
            f"There is no condition “{to[:30]}”.",
            (FieldProblem("condition", f"expects one of {', '.join(Condition.values)}"),),
        )
    with transaction.atomic():
        unit = _locked(tag)
        if version is not None and unit.version != version:
            found = differences({"condition": unit.condition, "note": unit.condition_note}, {"condition": to})
            raise ChangedMeanwhile(unit.tag, found, unit.version)
        before = unit.condition
        may_become(unit.tag, before, to)
        release = needs_inspection(before, to)
        text = _said(text, "what was inspected and found in order" if release else "why")
        unit.condition, unit.condition_note = to, "" if release else text[:300]
        unit.version += 1
        unit.save()
        entry = CareEntry.objects.create(
            unit=unit,
            kind=CareEntry.Kind.INSPECTION if release else CareEntry.Kind.CONDITION,
            text=text,
            happened_on=timezone.localdate(),
            by=by,
            condition_before=before,
            condition_after=to,
        )
        announce("unit", [unit.pk])
    return entry


def add_care_entry(tag: str, note: CareNote, by: By) -> CareEntry:
    """Write into the care history. A measured health becomes the unit's health unless a later measurement is known;
    an inspection sets when the next one is due: the day it names, or else by the interval of its gear type from the
    day it was done, unless a later one is known. The condition stays as it is; a release after a repair is no
    inspection in this sense and moves no date.

    Raises `Gone`, and `Invalid` for a date to come or a health on what is not a battery.
    """
    happened_on = _past(note.happened_on)
    with transaction.atomic():
        unit = _locked(tag)
        _fits_kind(note, unit)
        entry = CareEntry.objects.create(
            unit=unit,
            kind=note.kind,
            text=note.text,
            happened_on=happened_on,
            by=by,
            health=note.health,
            cost=note.cost,
            currency=note.currency,
        )
        later = unit.care.filter(health__isnull=False, happened_on__gt=happened_on).exists()
        changed = False
        if note.health is not None and not later and unit.health != note.health:
            unit.health, changed = note.health, True
        due = note.next_inspection
        if due is None and note.kind == CareEntry.Kind.INSPECTION and not _inspected_after(unit, happened_on):
            due = next_inspection(happened_on, unit.gear_type.inspection_days)
        if due is not None and unit.inspection_due != due:
            unit.inspection_due, changed = due, True
        if changed:
            unit.version += 1
            unit.save()
            announce("unit", [unit.pk])
    return entry


def _inspected_after(unit: Unit, day: date) -> bool:
    inspections = unit.care.filter(kind=CareEntry.Kind.INSPECTION, condition_before="")
    return inspections.filter(happened_on__gt=day).exists()


def _locked(tag: str) -> Unit:
    units = Unit.objects.select_related("gear_type", "case").select_for_update(of=("self",), no_key=True)
    unit = units.filter(tag=tag_to_find(tag)).first()
    if unit is None:
        raise Gone(f"There is no unit {tag[:20]}.")
    return unit


def _fill(unit: Unit, entry: UnitEntry) -> None:
    """Set the fields, with gear type and case looked up. Raises `Invalid` for those that cannot be."""
    problems = []
    gear_type = GearType.objects.filter(slug=entry.gear_type).first()
    if gear_type is None:
        problems.append(FieldProblem("gear_type", f"“{entry.gear_type}” is not in the catalogue"))
    case = None
    if entry.case:
        case = Unit.objects.select_related("gear_type").filter(tag=entry.case).first()
        if case is None:
            problems.append(FieldProblem("case", f"there is no unit {entry.case}"))
        elif case.gear_type.kind != "case":
            problems.append(FieldProblem("case", f"{entry.case} is not a case but a {case.gear_type.kind}"))
        elif loop := case_loop(unit.tag or entry.tag, entry.case, _case_of):
            problems.append(FieldProblem("case", f"would make a loop: {' in '.join(loop)}"))
    if problems or gear_type is None:
        raise Invalid(
            f"{entry.tag} cannot be kept like this: {problems[0].where}: {problems[0].expected}.",
            tuple(problems),
        )
    for name, value in entry.model_dump(exclude={"gear_type", "case"}).items():
        setattr(unit, name, value)
    unit.gear_type, unit.case = gear_type, case


def _case_of(tag: str) -> str | None:
    return Unit.objects.filter(tag=tag).values_list("case__tag", flat=True).first()


def _save(unit: Unit) -> None:
    if Unit.objects.filter(code=unit.tag).exclude(pk=unit.pk).exists():
        raise Conflict(
            f"{unit.tag} is the short code of another unit, and a scan must mean one thing.",
            ways_out=("Choose another tag; one with a dash is never a short code.",),
            code="tag-taken",
        )
    try:
        with transaction.atomic():
            unit.save()
    except IntegrityError as error:
        if "tag" not in str(error):
            raise
        raise Conflict(
            f"The tag {unit.tag} belongs to another unit.",
            ways_out=("Choose another tag, or open that unit and change it.",),
            code="tag-taken",
        ) from None


def _fits_kind(note: CareNote, unit: Unit) -> None:
    problems = []
    if note.health is not None and unit.gear_type.kind != "battery":
        problems.append(
            FieldProblem("health", f"belongs to a battery; {unit.tag} is a {unit.gear_type.kind}")
        )
    if note.health is not None and note.kind != "measurement":
        problems.append(FieldProblem("health", "goes with an entry of kind measurement"))
    if note.next_inspection is not None and note.kind != "inspection":
        problems.append(FieldProblem("next_inspection", "goes with an entry of kind inspection"))
    if note.cost is not None and note.kind != "repair":
        problems.append(FieldProblem("cost", "goes with an entry of kind repair"))
    if note.cost is not None and not note.currency:
        problems.append(FieldProblem("currency", "expects the currency of the cost, for example EUR"))
    if note.currency and note.cost is None:
        problems.append(FieldProblem("cost", f"expects an amount in {note.currency}, or no currency"))
    if problems:
        raise Invalid(f"The entry does not fit: {problems[0].where} {problems[0].expected}.", tuple(problems))


def _said(text: str, what: str) -> str:
    text = text.strip()
    if not text or "\x00" in text:
        raise Invalid(f"Say {what}.", (FieldProblem("text", f"expects {what}"),))
    if len(text) > 500:
        raise Invalid(
            "That is too long for one entry.",
            (FieldProblem("text", f"expects at most 500 characters; this has {len(text)}"),),
        )
    return text


def _past(happened_on: date | None) -> date:
    today = timezone.localdate()
    if happened_on and happened_on > today:
        raise Invalid(
            "The date lies ahead; an entry says what has happened.",
            (FieldProblem("happened_on", f"expects a date up to today, {today:%Y-%m-%d}"),),
        )
    return happened_on or today
