"""What can be done to the store; each is one transaction."""

from __future__ import annotations

from datetime import date

from django.contrib.auth.base_user import AbstractBaseUser
from django.db import IntegrityError, transaction
from django.utils import timezone

from gear.catalogue.differences import ChangedMeanwhile, differences
from gear.catalogue.models import GearType
from gear.changes import announce
from gear.errors import Conflict, FieldProblem, Invalid
from gear.inventory.care import add_care_entry, past_day
from gear.inventory.columns import unit_fields
from gear.inventory.entry import UnitEntry
from gear.inventory.importing import import_units
from gear.inventory.locks import locked_unit
from gear.inventory.models import CareEntry, Condition, Unit
from gear.inventory.photos import keep_photo, kind_of_picture
from gear.inventory.rules import (
    case_loop,
    condition_after_fault,
    may_become,
    needs_inspection,
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
        unit = locked_unit(tag)
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


def report_fault(
    tag: str, text: str, by: By, happened_on: date | None = None, photo: bytes | None = None
) -> CareEntry:
    """Take a unit out of use at once because something is wrong with it, and keep what was said and shown.

    Raises `Gone`, and `Invalid` without a word about what is wrong or for a photo that is none.
    """
    text = _said(text, "what is wrong with it")
    if photo:
        kind_of_picture(photo)
    with transaction.atomic():
        unit = locked_unit(tag)
        before = unit.condition
        unit.condition = condition_after_fault(before)
        unit.condition_note = text[:300]
        unit.version += 1
        unit.save()
        entry = CareEntry.objects.create(
            unit=unit,
            kind=CareEntry.Kind.FAULT,
            text=text,
            happened_on=past_day(happened_on),
            by=by,
            condition_before=before,
            condition_after=unit.condition,
        )
        if photo:
            keep_photo(entry, photo)
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
        unit = locked_unit(tag)
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
