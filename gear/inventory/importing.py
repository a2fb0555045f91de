"""Bring units in from an inventory file: the same plan for the dry run and for the deed."""

from __future__ import annotations

from dataclasses import replace

from django.contrib.auth.base_user import AbstractBaseUser
from django.db import IntegrityError, transaction
from django.utils import timezone

from gear.catalogue.import_report import ImportReport
from gear.changes import announce
from gear.errors import Conflict
from gear.inventory.columns import NAMES
from gear.inventory.csv_text import read_table
from gear.inventory.models import CareEntry, Unit
from gear.inventory.unit_plan import PlannedUnit, Store, codes_in, plan_units, tags_in

__all__ = ["import_units"]

_PLAIN = tuple(name for name in NAMES if name not in ("tag", "gear_type", "case"))
_WRITTEN = ["gear_type", "case", *_PLAIN, "version", "updated_at"]
_AT_ONCE = 1000


def import_units(csv_text: str, by: AbstractBaseUser | None = None, *, dry_run: bool = False) -> ImportReport:
    """Make the store say what the file says of each unit, by tag; others stay as they are.

    All or nothing, in one transaction, and the same file again changes nothing. Raises `Invalid` when the file cannot
    be read, or, unless ``dry_run``, when any row is refused; `Conflict` when somebody entered one of its tags just now.
    """
    table = read_table(csv_text, NAMES)
    with transaction.atomic():
        named = tags_in(table)
        met = Unit.objects.filter(tag__in=named).select_related("gear_type", "case").order_by("id")
        if not dry_run:
            met = met.select_for_update(of=("self",), no_key=True)
        planned = plan_units(
            table, store := Store.now({unit.tag: unit for unit in met}, [*named, *codes_in(table)])
        )
        report = ImportReport("units", tuple(plan.report for plan in planned))
        if dry_run:
            return report
        report.raise_if_refused()
        try:
            with transaction.atomic():
                done = _apply(planned, store, by)
        except IntegrityError:
            raise Conflict(
                "Nothing was imported: the store changed while the file was read.",
                ways_out=("Look at the dry run again and confirm it.",),
            ) from None
        announce("unit", done)
    return replace(report, applied=True)


def _apply(planned: list[PlannedUnit], store: Store, by: AbstractBaseUser | None) -> list[int]:
    """Write new and changed units in few statements; the cases of new ones follow once every unit has its id."""
    new = [_written(plan, store) for plan in planned if plan.report.outcome == "new"]
    Unit.objects.bulk_create(new, batch_size=_AT_ONCE)
    ids = dict(store.cases) | {unit.tag: unit.pk for unit in new}
    changed: list[Unit] = []
    care: list[CareEntry] = []
    for plan in planned:
        if plan.report.outcome == "changed" and plan.row and plan.stored:
            care += _care(plan, by)
            changed.append(_written(plan, store))
    by_tag = {unit.tag: unit for unit in (*new, *changed)}
    cased = [(by_tag[plan.row.tag], plan.row.case) for plan in planned if plan.row and plan.row.tag in by_tag]
    for unit, case in cased:
        unit.case_id = ids[case] if case else None
    rewritten = [*changed, *(unit for unit in new if unit.case_id)]
    Unit.objects.bulk_create(
        rewritten,
        update_conflicts=True,
        unique_fields=["id"],
        update_fields=_WRITTEN,
        batch_size=_AT_ONCE,
    )
    CareEntry.objects.bulk_create(care, batch_size=_AT_ONCE)
    return sorted(unit.pk for unit in by_tag.values())


def _written(plan: PlannedUnit, store: Store) -> Unit:
    """The unit with the row's values, its case left for later."""
    assert plan.row is not None
    unit = plan.stored or Unit(tag=plan.row.tag)
    for name in _PLAIN:
        setattr(unit, name, getattr(plan.row, name))
    unit.gear_type_id = store.types[plan.row.gear_type][0]
    unit.case_id = None
    if plan.stored:
        unit.version += 1
    return unit


def _care(plan: PlannedUnit, by: AbstractBaseUser | None) -> list[CareEntry]:
    """What the file says about state goes into the history of the unit."""
    stored, row = plan.stored, plan.row
    assert stored is not None
    assert row is not None
    today = timezone.localdate()
    entries = []
    if stored.condition != row.condition:
        entries.append(
            CareEntry(
                unit=stored,
                kind=CareEntry.Kind.CONDITION,
                text=row.condition_note or "From an inventory file",
                happened_on=today,
                by=by,
                condition_before=stored.condition,
                condition_after=row.condition,
            )
        )
    if row.health is not None and stored.health != row.health:
        entries.append(
            CareEntry(
                unit=stored,
                kind=CareEntry.Kind.MEASUREMENT,
                text="From an inventory file",
                happened_on=today,
                by=by,
                health=row.health,
            )
        )
    return entries
