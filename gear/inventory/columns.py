"""The columns of an inventory file: what each holds, and how a stored unit reads in them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from gear.inventory.csv_text import BOM, written_row
from gear.inventory.models import Condition, Unit

__all__ = ["COLUMNS", "Column", "cells_of", "empty_template", "inventory_file", "unit_fields"]


@dataclass(frozen=True)
class Column:
    """One column: its name, what it expects, an example, and whether its cells are numbers or free text."""

    name: str
    expects: str
    example: str
    numeric: bool = False
    free_text: bool = False


COLUMNS = (
    Column("tag", "2 to 20 capital letters, digits and dashes; names the unit. Needed.", "K-03"),
    Column(
        "code",
        "the short code on its label, six characters. Empty: a new unit gets one, another keeps its own; it never "
        "changes.",
        "",
    ),
    Column(
        "gear_type", "the short name of a gear type in the catalogue. Needed for a new unit.", "strobe-500"
    ),
    Column("serial", "text, at most 80 characters", "H5-20417", free_text=True),
    Column(
        "condition",
        f"one of {', '.join(Condition.values)}. Empty: a new unit is ready, another keeps its condition. "
        "A unit comes back to ready on its own page, with an inspection.",
        "ready",
    ),
    Column("condition_note", "text, at most 300 characters", "", free_text=True),
    Column("shelf", "where it lives in the store, at most 80 characters", "A2", free_text=True),
    Column("case", "the tag of the case it travels in; the case may stand in the same file", "C-01"),
    Column("prep_minutes", "whole minutes before use. Empty: as its gear type.", "", numeric=True),
    Column("turnaround_minutes", "whole minutes after use. Empty: as its gear type.", "", numeric=True),
    Column("health", "for a battery: share of its rated capacity, 0.05 to 1.2", "", numeric=True),
    Column("radio_channel", "a whole number", "7", numeric=True),
    Column("inspection_due", "a date, YYYY-MM-DD", "2027-03-31"),
    Column("bought_on", "a date, YYYY-MM-DD", "2024-09-12"),
    Column("notes", "text", "", free_text=True),
)

NAMES = tuple(column.name for column in COLUMNS)
_NUMERIC = tuple(column.numeric for column in COLUMNS)


def unit_fields(unit: Unit) -> dict[str, object]:
    """A stored unit under the names of the columns; its gear type and case must have been fetched with it."""
    fields = {name: getattr(unit, name) for name in NAMES if name not in ("gear_type", "case")}
    return fields | {"gear_type": unit.gear_type.slug, "case": unit.case.tag if unit.case else None}


def cells_of(unit: Unit) -> list[str]:
    """A stored unit as one row of cells."""
    fields = unit_fields(unit)
    return ["" if fields[name] is None else str(fields[name]) for name in NAMES]


def inventory_file(units: Iterable[Unit]) -> Iterator[str]:
    """The lines of an inventory file, UTF-8 with a byte order mark so that spreadsheets read its accents."""
    yield BOM + written_row(NAMES)
    for unit in units:
        yield written_row(cells_of(unit), _NUMERIC)


def empty_template() -> str:
    """A file with the columns and nothing under them."""
    return BOM + written_row(NAMES)
