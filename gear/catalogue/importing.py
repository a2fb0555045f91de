"""Bring gear types in from a document: the same plan for the dry run and for the deed."""

from __future__ import annotations

from dataclasses import dataclass, replace

from django.contrib.auth.base_user import AbstractBaseUser
from django.db import IntegrityError, transaction
from django.db.models import QuerySet

from gear.catalogue.differences import differences
from gear.catalogue.entry import GearTypeEntry, read_entry
from gear.catalogue.import_report import FieldChange, ImportReport, RowReport
from gear.catalogue.models import GearType
from gear.catalogue.problems import unstorable_text
from gear.catalogue.queries import entry_fields
from gear.catalogue.type_document import TypeRow, read_type_document
from gear.changes import announce
from gear.errors import Conflict, FieldProblem, Invalid

__all__ = ["import_gear_types"]


@dataclass(frozen=True)
class _Planned:
    report: RowReport
    entry: GearTypeEntry | None = None
    stored: GearType | None = None


def import_gear_types(
    document: str, by: AbstractBaseUser | None = None, *, dry_run: bool = False
) -> ImportReport:
    """Make the catalogue say what the document says of each gear type, by slug; others stay as they are.

    All or nothing, in one transaction, and the same document again changes nothing. Raises `Invalid` when the document
    cannot be read, or, unless ``dry_run``, when any entry is refused.
    """
    rows = read_type_document(document)
    with transaction.atomic():
        stored = GearType.objects.filter(slug__in=_slugs(rows)).order_by("id")
        planned = _plan(rows, stored if dry_run else stored.select_for_update(no_key=True))
        report = ImportReport("gear types", tuple(plan.report for plan in planned))
        if dry_run:
            return report
        report.raise_if_refused()
        try:
            with transaction.atomic():
                done = [_apply(plan) for plan in planned if plan.report.outcome in ("new", "changed")]
        except IntegrityError:
            raise Conflict(
                "Nothing was imported: two of these gear types would share a maker and name, or somebody entered one "
                "of them just now.",
                ways_out=("Look at the dry run again; rename one of the two first if they swap names.",),
            ) from None
        announce("gear-type", done)
    return replace(report, applied=True)


def _slugs(rows: tuple[TypeRow, ...]) -> list[str]:
    slugs = [row.data.get("slug") for row in rows]
    return [slug.strip() for slug in slugs if isinstance(slug, str) and not unstorable_text(slug)]


def _plan(rows: tuple[TypeRow, ...], stored: QuerySet[GearType]) -> list[_Planned]:
    by_slug = {gear_type.slug: gear_type for gear_type in stored}
    taken = {
        (maker, name): slug for slug, maker, name in GearType.objects.values_list("slug", "maker", "name")
    }
    seen_slugs: dict[str, int] = {}
    seen_names: dict[tuple[str, str], int] = {}
    planned = []
    for row in rows:
        plan = _plan_row(row, by_slug)
        entry = plan.entry
        if entry:
            named = (entry.maker, entry.name)
            problem = _twice(entry, row.number, seen_slugs, seen_names)
            if not problem and taken.get(named, entry.slug) != entry.slug:
                problem = FieldProblem("name", f"belongs to the gear type {taken[named]} already")
            if problem:
                plan = _Planned(RowReport(row.number, entry.slug, "refused", problems=(problem,)))
        planned.append(plan)
    return planned


def _plan_row(row: TypeRow, by_slug: dict[str, GearType]) -> _Planned:
    name = str(row.data.get("slug", ""))[:80]
    try:
        entry = read_entry(row.data)
    except Invalid as refusal:
        problems = refusal.problems or (FieldProblem("entry", refusal.sentence),)
        return _Planned(RowReport(row.number, name, "refused", problems=problems))
    gear_type = by_slug.get(entry.slug)
    if gear_type is None:
        return _Planned(RowReport(row.number, entry.slug, "new"), entry)
    if gear_type.kind != entry.kind:
        problem = FieldProblem("kind", f"is {gear_type.kind} in the catalogue and stays so, not {entry.kind}")
        return _Planned(RowReport(row.number, entry.slug, "refused", problems=(problem,)))
    found = differences(entry_fields(gear_type), entry.model_dump())
    changes = tuple(FieldChange(d.field, d.saved, d.typed) for d in found)
    outcome = "changed" if changes else "unchanged"
    return _Planned(RowReport(row.number, entry.slug, outcome, changes), entry, gear_type)


def _twice(
    entry: GearTypeEntry, number: int, slugs: dict[str, int], names: dict[tuple[str, str], int]
) -> FieldProblem | None:
    named = (entry.maker, entry.name)
    if entry.slug in slugs:
        return FieldProblem("slug", f"“{entry.slug}” stands in entry {slugs[entry.slug]} already")
    if named in names:
        return FieldProblem("name", f"“{entry.maker} {entry.name}” stands in entry {names[named]} already")
    slugs[entry.slug], names[named] = number, number
    return None


def _apply(plan: _Planned) -> int:
    assert plan.entry is not None
    fields = plan.entry.model_dump()
    gear_type = plan.stored or GearType()
    for field, value in fields.items():
        setattr(gear_type, field, value)
    if plan.stored:
        gear_type.version += 1
    gear_type.save()
    return gear_type.pk
