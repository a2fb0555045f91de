"""A spec sheet as people read it: figures with unit and source, point lists as tables. Pure: no Django.

A figure that is estimated, or that nobody gave a source for, or that the sheet only assumes, is told apart by a sign
and a word, so that nobody takes it for a measured one.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from pydantic import BaseModel

from gear.catalogue.figures import label_of, unit_of, value_text
from gear.specs import FigureSource, SpecSheet, kind_label

__all__ = ["Figure", "FigureTable", "ReadableSheet", "Source", "headline_of", "readable_sheet"]

_NOT_FIGURES = {"kind", "schema_version", "sources"}

_HEADLINES = {
    "strobe": "energy_ws",
    "continuous": "flux_lm",
    "modifier": "efficiency",
    "board": "reflectance",
    "scrim": "transmittance",
    "battery": "capacity_wh",
    "stand": "max_load_kg",
    "boom": "max_load_kg",
    "weight": "mass_kg",
    "gel": "mired_shift",
    "nd": "stops",
    "cable": "length_m",
    "distribution": "rated_a",
    "generator": "rated_va",
    "lens": "widest_f_number",
}
"""The one figure of a kind that people look for first."""


@dataclass(frozen=True)
class Source:
    """Where a figure comes from. ``firm`` is False for what nobody measured, computed or published."""

    basis: str
    note: str
    on: str
    spread: str

    @property
    def firm(self) -> bool:
        return self.basis in ("measured", "maker", "computed")

    @property
    def words(self) -> str:
        """The source in one line: "measured 2026-02-01, flat receptor, ±0.1 stop"."""
        basis = "maker's sheet" if self.basis == "maker" else self.basis
        head = f"{basis} {self.on}".strip()
        return ", ".join(part for part in (head, self.note, self.spread) if part)


_ASSUMED = Source("assumed", "", "", "")


@dataclass(frozen=True)
class Figure:
    """One value with its label, unit and source. ``approximate`` asks for the sign of an uncertain figure."""

    field: str
    label: str
    value: str
    unit: str
    source: Source
    numeric: bool = True

    @property
    def approximate(self) -> bool:
        return self.numeric and not self.source.firm


@dataclass(frozen=True)
class FigureTable:
    """A list of points: a column for each of their fields, with its unit, and one source for them all."""

    field: str
    label: str
    columns: tuple[tuple[str, str], ...]
    rows: tuple[tuple[str, ...], ...]
    source: Source

    @property
    def approximate(self) -> bool:
        return not self.source.firm

    @property
    def by_setting(self) -> bool:
        """Whether the first column is the setting that was dialled in, not a figure."""
        return self.columns[0][0] == label_of("setting_stops")


@dataclass(frozen=True)
class ReadableSheet:
    """A whole sheet. ``headline`` is the figure people look for first, not repeated in ``figures``; ``assumed`` are
    figures nobody stated, with the value that the calculation then takes; ``missing`` are the labels of what is not
    known at all.
    """

    figures: tuple[Figure, ...]
    properties: tuple[Figure, ...]
    tables: tuple[FigureTable, ...]
    assumed: tuple[Figure, ...]
    missing: tuple[str, ...]
    headline: Figure | None = None

    @property
    def has_approximate(self) -> bool:
        headline = (self.headline,) if self.headline else ()
        return any(part.approximate for part in (*headline, *self.figures, *self.tables))


def readable_sheet(sheet: SpecSheet) -> ReadableSheet:
    """The sheet sorted into figures, properties (words, yes or no), tables, assumptions and gaps."""
    figures: list[Figure] = []
    properties: list[Figure] = []
    tables: list[FigureTable] = []
    assumed: list[Figure] = []
    missing: list[str] = []
    for field in type(sheet).model_fields:
        value = getattr(sheet, field)
        if field in _NOT_FIGURES:
            continue
        source = _source(sheet.source_of(field))
        stated = field in sheet.model_fields_set
        if value is None or value == ():
            if field != "companions":
                missing.append(label_of(field))
        elif isinstance(value, tuple) and isinstance(value[0], BaseModel):
            tables.append(_table(field, value, source))
        elif isinstance(value, BaseModel):
            tables += _group_table(field, value, source)
            assumed += _assumed_in(field, value)
        elif not stated:
            assumed.append(_figure(field, value, _ASSUMED))
        elif isinstance(value, bool) or not isinstance(value, (int, float)):
            properties.append(_figure(field, value, source))
        else:
            figures.append(_figure(field, value, source))
    headline = headline_of(sheet)
    return ReadableSheet(
        tuple(figure for figure in figures if figure != headline),
        tuple(properties),
        tuple(tables),
        tuple(assumed),
        tuple(missing),
        headline,
    )


def headline_of(sheet: SpecSheet) -> Figure | None:
    """The figure of a sheet that people look for first, if it is stated."""
    field = _HEADLINES.get(getattr(sheet, "kind", ""), "")
    value = getattr(sheet, field, None)
    if value is None or field not in sheet.model_fields_set:
        return None
    return _figure(field, value, _source(sheet.source_of(field)))


def _figure(field: str, value: Any, source: Source, under: str = "") -> Figure:
    if field == "companions":
        value = tuple(kind_label(kind) if _is_kind(kind) else kind for kind in value)
    label = label_of(field)
    return Figure(
        field,
        f"{label_of(under)}: {label[:1].lower()}{label[1:]}" if under else label,
        value_text(field, value),
        unit_of(field),
        source,
        isinstance(value, (int, float)) and not isinstance(value, bool),
    )


def _group_table(field: str, value: BaseModel, source: Source) -> list[FigureTable]:
    """The stated figures of a group as a table of one row."""
    stated = [
        inner
        for inner in type(value).model_fields
        if inner in value.model_fields_set and getattr(value, inner) is not None
    ]
    columns = tuple((label_of(inner), unit_of(inner)) for inner in stated)
    row = tuple(value_text(inner, getattr(value, inner)) for inner in stated)
    return [FigureTable(field, label_of(field), columns, (row,), source)] if stated else []


def _assumed_in(field: str, value: BaseModel) -> list[Figure]:
    """The figures of a group that nobody stated."""
    return [
        _figure(inner, getattr(value, inner), _ASSUMED, field)
        for inner in type(value).model_fields
        if inner not in value.model_fields_set and getattr(value, inner) is not None
    ]


def _table(field: str, points: tuple[BaseModel, ...], source: Source) -> FigureTable:
    used = [
        name
        for name in type(points[0]).model_fields
        if any(getattr(point, name) is not None for point in points)
    ]
    if "setting_stops" in used:
        points = tuple(sorted(points, key=lambda point: -getattr(point, "setting_stops", 0.0)))
    return FigureTable(
        field,
        label_of(field),
        tuple((label_of(name), unit_of(name)) for name in used),
        tuple(
            tuple("" if getattr(p, name) is None else value_text(name, getattr(p, name)) for name in used)
            for p in points
        ),
        source,
    )


def _source(source: FigureSource) -> Source:
    basis = "source not stated" if source.basis == "unstated" else source.basis
    spread = "" if source.spread_stops is None else f"±{source.spread_stops:g} stop"
    return Source(basis, source.note, source.on, spread)


def _is_kind(word: str) -> bool:
    try:
        kind_label(word)
    except KeyError:
        return False
    return True
