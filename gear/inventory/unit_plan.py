"""What an inventory file would change: each row judged against the store. Reads, never writes."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any

from django.db.models import Q

from gear.catalogue.differences import differences
from gear.catalogue.import_report import FieldChange, RowReport
from gear.catalogue.models import GearType
from gear.errors import FieldProblem, Invalid
from gear.inventory.columns import COLUMNS, NAMES, unit_fields
from gear.inventory.csv_text import Table, TableRow, restored
from gear.inventory.entry import UnitRow, read_typed
from gear.inventory.models import Condition, Unit
from gear.inventory.rules import case_loop, needs_inspection
from gear.inventory.short_code import is_code

__all__ = ["PlannedUnit", "Store", "codes_in", "plan_units", "tags_in"]

_FREE_TEXT = {column.name for column in COLUMNS if column.free_text}


@dataclass(frozen=True)
class Store:
    """What the plan needs to know of the store: the units named in the file, gear types by slug with id and kind,
    all cases: which are there, and which of them travels in which; and which of the names in the file are the short
    code of a unit, or its tag where the file has it as a code."""

    units: Mapping[str, Unit]
    types: Mapping[str, tuple[int, str]]
    cases: Mapping[str, int]
    case_of_case: Mapping[str, str]
    codes: Collection[str] = ()

    @classmethod
    def now(cls, units: Mapping[str, Unit], named: Collection[str] = ()) -> Store:
        """The store as the database has it; ``named`` are the tags and short codes in the file."""
        codes = [name for name in named if is_code(name)]
        cases = list(
            Unit.objects.filter(gear_type__kind="case").order_by("id").values_list("tag", "id", "case__tag")
        )
        return cls(
            units,
            {slug: (pk, kind) for slug, pk, kind in GearType.objects.values_list("slug", "id", "kind")},
            {tag: pk for tag, pk, _ in cases},
            {tag: within for tag, _, within in cases if within},
            {
                name
                for names in Unit.objects.filter(Q(code__in=codes) | Q(tag__in=codes)).values_list(
                    "code", "tag"
                )
                for name in names
            }.intersection(codes),
        )


@dataclass(frozen=True)
class PlannedUnit:
    """One row: what is reported of it, and for the deed the values it asks for and the unit it meets."""

    report: RowReport
    row: UnitRow | None = None
    stored: Unit | None = None


def tags_in(table: Table) -> list[str]:
    """The tags that a file names, as the store writes them."""
    if "tag" not in table.columns:
        raise Invalid("The first row names no column “tag”. Each unit is told by its tag.")
    return _cells_in(table, "tag")


def codes_in(table: Table) -> list[str]:
    """The short codes that a file names."""
    return [code for code in _cells_in(table, "code") if code] if "code" in table.columns else []


def _cells_in(table: Table, column: str) -> list[str]:
    at = table.columns.index(column)
    return [row.cells[at].strip().upper() for row in table.rows if not row.problem]


def plan_units(table: Table, store: Store) -> list[PlannedUnit]:
    """Each row of the file as new, changed, unchanged or refused."""
    seen: dict[str, int] = {}
    planned = [_plan_row(row, table.columns, store, seen) for row in table.rows]
    asked = {plan.row.tag: plan.row for plan in planned if plan.row}
    return [_with_case_judged(plan, asked, store) for plan in planned]


def _plan_row(row: TableRow, columns: tuple[str, ...], store: Store, seen: dict[str, int]) -> PlannedUnit:
    if row.problem:
        return _refused(
            row.number, row.cells[0][:20] if row.cells else "", FieldProblem("cells", row.problem)
        )
    cells = {
        name: (restored(cell) if name in _FREE_TEXT else restored(cell.strip()))
        for name, cell in zip(columns, row.cells, strict=True)
    }
    tag = cells["tag"].upper()
    stored = store.units.get(tag)
    fields: dict[str, Any] = unit_fields(stored) if stored else {}
    kept = {"condition": fields.get("condition", Condition.READY), "code": fields.get("code", "")}
    data = {name: value for name, value in (fields | cells).items() if value not in ("", None)}
    try:
        asked = read_typed(UnitRow, kept | data, "The row")
    except Invalid as refusal:
        return _refused(row.number, tag[:20], *refusal.problems)
    problems = _problems(asked, stored, store)
    if tag in seen:
        problems.append(FieldProblem("tag", f"{tag} stands in row {seen[tag]} already; keep one of the two"))
    seen.setdefault(tag, row.number)
    if asked.code and asked.code in seen:
        problems.append(FieldProblem("code", f"{asked.code} stands in row {seen[asked.code]} already"))
    if asked.code:
        seen.setdefault(asked.code, row.number)
    if problems:
        return _refused(row.number, tag, *problems)
    if stored is None:
        return PlannedUnit(RowReport(row.number, tag, "new"), asked)
    found = differences(fields, asked.model_dump())
    changes = tuple(FieldChange(d.field, d.saved, d.typed) for d in found)
    return PlannedUnit(
        RowReport(row.number, tag, "changed" if changes else "unchanged", changes), asked, stored
    )


def _problems(asked: UnitRow, stored: Unit | None, store: Store) -> list[FieldProblem]:
    problems = []
    if asked.gear_type not in store.types:
        problems.append(
            FieldProblem(
                "gear_type",
                f"“{asked.gear_type}” is not in the catalogue; enter or import the gear type first",
            )
        )
    if stored is None and asked.tag in store.codes:
        problems.append(
            FieldProblem("tag", f"{asked.tag} is the short code of another unit; choose another tag")
        )
    if stored and asked.code != stored.code:
        problems.append(
            FieldProblem(
                "code",
                f"the label of {stored.tag} says {stored.code}, and a code never changes; leave the cell empty",
            )
        )
    if stored is None and asked.code in store.codes:
        problems.append(FieldProblem("code", f"{asked.code} names another unit; leave the cell empty"))
    if stored and needs_inspection(stored.condition, asked.condition):
        label = Condition(stored.condition).label.lower()
        problems.append(
            FieldProblem(
                "condition",
                f"{stored.tag} is {label} now and a file cannot release it; release it on its page with an "
                "inspection, or leave the cell empty",
            )
        )
    return problems


def _with_case_judged(plan: PlannedUnit, asked: Mapping[str, UnitRow], store: Store) -> PlannedUnit:
    """The plan, refused if its case is no case, or travels inside the unit itself."""
    row = plan.row
    if row is None or row.case is None or plan.report.outcome == "unchanged":
        return plan

    def kind_of(tag: str) -> str:
        if tag in asked:
            return store.types[asked[tag].gear_type][1]
        return "case" if tag in store.cases else ""

    if kind_of(row.case) != "case":
        there = row.case in asked or row.case in store.units
        why = "is not a case" if there else "is no case in the store or in this file"
        return _refused(plan.report.row, row.tag, FieldProblem("case", f"{row.case} {why}"))
    loop = case_loop(
        row.tag, row.case, lambda tag: asked[tag].case if tag in asked else store.case_of_case.get(tag)
    )
    if loop:
        way = " in ".join(loop)
        return _refused(plan.report.row, row.tag, FieldProblem("case", f"would make a loop: {way}"))
    return plan


def _refused(number: int, tag: str, *problems: FieldProblem) -> PlannedUnit:
    return PlannedUnit(RowReport(number, tag, "refused", problems=problems))


assert set(NAMES) == set(UnitRow.model_fields)
