"""What is written into the life of a unit, and what the unit knows of it afterwards.

What was true on a later day wins, whenever it was written down.
"""

from __future__ import annotations

from datetime import date

from django.contrib.auth.base_user import AbstractBaseUser
from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from gear.changes import announce
from gear.errors import FieldProblem, Invalid
from gear.inventory.entry import CareNote
from gear.inventory.locks import locked_unit
from gear.inventory.models import CareEntry, Unit
from gear.inventory.rules import next_inspection

__all__ = ["FLASHES", "add_care_entry", "past_day"]

FLASHES = "strobe"
"""The kind of gear with a tube whose flashes are counted."""

Kind = CareEntry.Kind


def add_care_entry(tag: str, note: CareNote, by: AbstractBaseUser | None) -> CareEntry:
    """Write into the care history; the condition stays as it is.

    A measured health, a counter of flashes and a version of the firmware become the unit's, unless a later one is
    known. A counter only grows, until a repair starts it anew for another tube. An inspection sets when the next one is
    due: the day it names, or else by the interval of its gear type from the day it was done, unless a later inspection
    is known; a release after a repair is no inspection in this sense and moves no date.

    Raises `Gone`, and `Invalid` for a day to come, for a figure that does not belong to the kind of gear or entry, and
    for a counter that would have run backwards.
    """
    happened_on = past_day(note.happened_on)
    with transaction.atomic():
        unit = locked_unit(tag)
        _refuse_misplaced(note, unit)
        if note.flash_count is not None and note.kind == Kind.MEASUREMENT:
            _refuse_backwards(unit, note.flash_count, happened_on)
        learned = _learned(unit, note, happened_on)
        entry = CareEntry.objects.create(
            unit=unit,
            happened_on=happened_on,
            by=by,
            **note.model_dump(exclude={"happened_on", "next_inspection"}),
        )
        changed = {name: value for name, value in learned.items() if getattr(unit, name) != value}
        if changed:
            for name, value in changed.items():
                setattr(unit, name, value)
            unit.version += 1
            unit.save()
            announce("unit", [unit.pk])
    return entry


def past_day(happened_on: date | None) -> date:
    """The day it was true, today unless said. Raises `Invalid` for a day to come."""
    today = timezone.localdate()
    if happened_on and happened_on > today:
        raise Invalid(
            "The date lies ahead; an entry says what has happened.",
            (FieldProblem("happened_on", f"expects a date up to today, {today:%Y-%m-%d}"),),
        )
    return happened_on or today


def _learned(unit: Unit, note: CareNote, happened_on: date) -> dict[str, object]:
    """What the unit is to know from now on."""
    later = unit.care.filter(happened_on__gt=happened_on)
    learned: dict[str, object] = {}
    if note.health is not None and not later.filter(health__isnull=False).exists():
        learned["health"] = note.health
    if note.flash_count is not None and not later.filter(flash_count__isnull=False).exists():
        learned["flash_count"] = note.flash_count
    if note.firmware and not later.exclude(firmware="").exists():
        learned["firmware"] = note.firmware
    if note.next_inspection is not None:
        learned["inspection_due"] = note.next_inspection
    elif (
        note.kind == Kind.INSPECTION and not later.filter(kind=Kind.INSPECTION, condition_before="").exists()
    ):
        due = next_inspection(happened_on, unit.gear_type.inspection_days)
        if due is not None:
            learned["inspection_due"] = due
    return learned


def _refuse_misplaced(note: CareNote, unit: Unit) -> None:
    kind, problems = unit.gear_type.kind, []

    def refuse(where: str, expected: str) -> None:
        problems.append(FieldProblem(where, expected))

    if note.health is not None and kind != "battery":
        refuse("health", f"belongs to a battery; {unit.tag} is a {kind}")
    if note.health is not None and note.kind != Kind.MEASUREMENT:
        refuse("health", "goes with an entry of kind measurement")
    if note.flash_count is not None and kind != FLASHES:
        refuse("flash_count", f"belongs to a flash head; {unit.tag} is a {kind}")
    if note.flash_count is not None and note.kind not in (Kind.MEASUREMENT, Kind.REPAIR):
        refuse("flash_count", "goes with a measurement, or with the repair that put in another tube")
    if note.firmware and note.kind != Kind.FIRMWARE:
        refuse("firmware", "goes with an entry of kind firmware")
    if note.kind == Kind.FIRMWARE and not note.firmware:
        refuse("firmware", "expects the version that runs on it now, for example 2.1")
    if note.next_inspection is not None and note.kind != Kind.INSPECTION:
        refuse("next_inspection", "goes with an entry of kind inspection")
    if note.cost is not None and note.kind != Kind.REPAIR:
        refuse("cost", "goes with an entry of kind repair")
    if note.cost is not None and not note.currency:
        refuse("currency", "expects the currency of the cost, for example EUR")
    if note.currency and note.cost is None:
        refuse("cost", f"expects an amount in {note.currency}, or no currency")
    if problems:
        raise Invalid(f"The entry does not fit: {problems[0].where} {problems[0].expected}.", tuple(problems))


def _refuse_backwards(unit: Unit, count: int, happened_on: date) -> None:
    """A counter between two changes of the tube only grows."""
    readings = unit.care.filter(flash_count__isnull=False)
    new_tubes = readings.filter(kind=Kind.REPAIR)
    last = new_tubes.filter(happened_on__lte=happened_on).order_by("-happened_on", "-id").first()
    following = new_tubes.filter(happened_on__gt=happened_on).order_by("happened_on", "id").first()
    of_this_tube = readings
    if last:
        of_this_tube = of_this_tube.filter(Q(happened_on__gt=last.happened_on) | Q(pk=last.pk))
    if following:
        of_this_tube = of_this_tube.filter(happened_on__lt=following.happened_on)
    more = of_this_tube.filter(happened_on__lte=happened_on, flash_count__gt=count)
    fewer = of_this_tube.filter(happened_on__gt=happened_on, flash_count__lt=count)
    other = more.order_by("-flash_count").first() or fewer.order_by("flash_count").first()
    if other:
        raise Invalid(
            f"A counter does not run backwards: on {other.happened_on:%Y-%m-%d} it stood at {other.flash_count:,}. "
            f"Read it again; if the tube was changed, write that as a repair with the new tube's count.",
            (
                FieldProblem(
                    "flash_count", f"does not go with {other.flash_count:,} of {other.happened_on:%Y-%m-%d}"
                ),
            ),
        )
