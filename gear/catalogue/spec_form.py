"""A form generated from the typed sheet of a kind: numbers, choices, rows of points, and the source of each figure.

The sheet itself judges what was typed (`gear.catalogue.entry.read_sheet`); this form only asks, keeps what was typed,
and puts each problem beside its field. Field names on the page are paths of the sheet with dashes:
``output-0-distance_m``; sources are ``source-output-basis``.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal, get_args, get_origin

from django import forms
from django.forms import BoundField
from pydantic import BaseModel
from pydantic.fields import FieldInfo

from gear.catalogue.field_shapes import bare, group_of, is_number, points_of
from gear.catalogue.figures import label_of, number_typed, typed_back, unit_of
from gear.errors import FieldProblem
from gear.specs import KINDS, FigureSource

__all__ = ["SpecForm"]

SPARE_ROWS = 2
ROWS_AT_MOST = 200
GENERAL = "all"
"""How the sheet's general source ``*`` is called in field names."""

_NOT_ASKED = {"kind", "schema_version", "sources"}
_YES_NO = [("", "not stated"), ("true", "yes"), ("false", "no")]


@dataclass(frozen=True)
class Row:
    """One point of a list: its controls, and the box that takes it away."""

    number: int
    controls: list[BoundField]
    remove: BoundField
    given: bool


@dataclass(frozen=True)
class Part:
    """One field of the sheet on the page: a control, a group of controls, or rows of them, and its source."""

    name: str
    label: str
    shape: Literal["value", "group", "rows"]
    controls: list[BoundField] = field(default_factory=list)
    columns: list[tuple[str, str]] = field(default_factory=list)
    rows: list[Row] = field(default_factory=list)
    source: list[BoundField] = field(default_factory=list)
    source_words: str = ""
    source_open: bool = False


class SpecForm(forms.Form):
    """The sheet of one kind as a form. Unbound it shows ``spec``; bound it keeps what was typed."""

    use_required_attribute = False  # asking for more rows must work before everything is filled in

    def __init__(
        self, kind: str, data: Mapping[str, Any] | None = None, spec: Mapping[str, Any] | None = None
    ) -> None:
        super().__init__(data, prefix="spec")
        self.kind = kind
        self.model = KINDS[kind][1]
        self._spec = dict(spec or {})
        self._rows: dict[str, int] = {}
        for name, info in self.model.model_fields.items():
            if name not in _NOT_ASKED:
                self._ask(name, info, self._spec.get(name))
                self._ask_source(name)
        self._ask_source(GENERAL)

    def spec(self) -> dict[str, Any]:
        """What was typed, as a document for the sheet to judge; empty fields are left out."""
        document: dict[str, Any] = {}
        for name, info in self.model.model_fields.items():
            if name in _NOT_ASKED:
                continue
            point = points_of(info.annotation)
            if point:
                rows = [
                    typed
                    for number in range(self._rows[name])
                    if not self._typed(f"{name}-{number}-remove")
                    and (typed := self._typed_group(f"{name}-{number}", point))
                ]
                if rows:
                    document[name] = rows
            elif group := group_of(info.annotation):
                if typed := self._typed_group(name, group):
                    document[name] = typed
            else:
                value = self._value(name, info)
                if value is not None:
                    document[name] = value
        sources = {
            "*" if name == GENERAL else name: typed
            for name in [*self.model.model_fields, GENERAL]
            if f"source-{name}-basis" in self.fields
            and (typed := self._typed_group(f"source-{name}", FigureSource))
        }
        if sources:
            document["sources"] = sources
        return document

    def show_problems(self, problems: Iterable[FieldProblem]) -> tuple[FieldProblem, ...]:
        """Put each problem beside the field it names; returns those that name none of this form's fields."""
        left: list[FieldProblem] = []
        self.is_valid()
        for problem in problems:
            path = problem.where.removeprefix("spec.")
            name = self._field_at(path) if problem.where.startswith("spec.") else None
            if name and name not in self.errors:
                self.add_error(name, f"{path.split('.')[-1]} {problem.expected}.")
            elif name is None:
                left.append(problem)
        return tuple(left)

    def more_rows(self, name: str) -> None:
        """Offer more empty rows for one list of points."""
        point = points_of(self.model.model_fields[name].annotation) if name in self._rows else None
        if point:
            start = self._rows[name]
            self._rows[name] = min(start + 3, ROWS_AT_MOST)
            for number in range(start, self._rows[name]):
                self._ask_row(name, number, point, {})

    def parts(self) -> list[Part]:
        """The fields in the order of the sheet, for the template."""
        return [
            self._part(name, info) for name, info in self.model.model_fields.items() if name not in _NOT_ASKED
        ]

    def general_source(self) -> list[BoundField]:
        """The controls of the source that stands for every figure without one of its own."""
        return self._source_controls(GENERAL)

    def row_counts(self) -> list[tuple[str, int]]:
        """How many rows each list of points shows, to be sent along with the form."""
        return [(f"spec-{name}-count", count) for name, count in self._rows.items()]

    # asking

    def _ask(self, name: str, info: FieldInfo, value: Any) -> None:
        point = points_of(info.annotation)
        if point:
            stored = value if isinstance(value, (list, tuple)) else ()
            self._rows[name] = self._row_count(name, len(stored))
            for number in range(self._rows[name]):
                self._ask_row(name, number, point, stored[number] if number < len(stored) else {})
        elif group := group_of(info.annotation):
            for inner, inner_info in group.model_fields.items():
                self._ask_value(f"{name}-{inner}", inner, inner_info, (value or {}).get(inner), optional=True)
        else:
            self._ask_value(name, name, info, value, optional=not info.is_required())

    def _ask_row(self, name: str, number: int, point: type[BaseModel], stored: Mapping[str, Any]) -> None:
        for inner, info in point.model_fields.items():
            path = f"{name}-{number}-{inner}"
            self._ask_value(path, inner, info, stored.get(inner), optional=True)
            self.fields[path].widget.attrs["aria-label"] = f"{self.fields[path].label}, point {number + 1}"
        self.fields[f"{name}-{number}-remove"] = forms.BooleanField(
            required=False,
            label=f"Remove point {number + 1}",
            widget=forms.CheckboxInput(attrs={"aria-label": f"Remove point {number + 1}"}),
        )

    def _ask_value(self, path: str, name: str, info: FieldInfo, value: Any, *, optional: bool) -> None:
        inside = bare(info.annotation)
        unit = unit_of(name)
        label = label_of(name) + (f" ({unit})" if unit else "")
        default = info.get_default(call_default_factory=True)
        more: dict[str, Any] = {"required": not optional, "label": label, "help_text": _help(name, info)}
        asked: forms.Field
        if name == "companions":
            asked = forms.MultipleChoiceField(
                choices=[(kind, words) for kind, (words, _) in KINDS.items()],
                widget=forms.CheckboxSelectMultiple,
                **more,
            )
            self.initial[path] = list(value or ())
        elif inside is bool:
            asked = forms.ChoiceField(choices=[_assumed(_YES_NO[0], default), *_YES_NO[1:]], **more)
            self.initial[path] = "" if value is None else str(value).lower()
        elif get_origin(inside) is Literal:
            empty = _assumed(("", "choose" if not optional else "not stated"), default)
            choices = [(str(choice), str(choice)) for choice in get_args(inside)]
            asked = forms.ChoiceField(choices=[empty, *choices], **more)
            self.initial[path] = "" if value is None else str(value)
        else:
            asked = forms.CharField(max_length=2000, **more)
            if is_number(inside):
                asked.widget.attrs["inputmode"] = "decimal"
            if is_number(inside) and default not in (None, ()) and not info.is_required():
                asked.widget.attrs["placeholder"] = f"{typed_back(name, default)} assumed"
            self.initial[path] = "" if value is None else typed_back(name, value)
        asked.error_messages["required"] = f"{name} is needed."
        if asked.required:
            asked.widget.attrs["aria-required"] = "true"
        self.fields[path] = asked

    def _ask_source(self, name: str) -> None:
        stated = (self._spec.get("sources") or {}).get("*" if name == GENERAL else name) or {}
        for inner, info in FigureSource.model_fields.items():
            path = f"source-{name}-{inner}"
            self._ask_value(path, inner, info, stated.get(inner), optional=True)
        self.fields[f"source-{name}-on"].label = "Date"
        self.fields[f"source-{name}-on"].help_text = "YYYY-MM-DD"
        self.fields[f"source-{name}-spread_stops"].label = "Spread (stops)"
        self.fields[f"source-{name}-spread_stops"].help_text = "one standard deviation, for figures of light"

    def _row_count(self, name: str, stored: int) -> int:
        if not self.is_bound:
            return stored + SPARE_ROWS
        asked = str(self.data.get(f"spec-{name}-count", ""))
        return (
            min(int(asked), ROWS_AT_MOST)
            if asked.isascii() and asked.isdigit() and len(asked) < 6
            else SPARE_ROWS
        )

    # reading what was typed

    def _typed(self, path: str) -> str:
        return str(self.data.get(self.add_prefix(path), "")).strip()

    def _value(self, name: str, info: FieldInfo, path: str = "") -> Any:
        path = path or name
        inside = bare(info.annotation)
        if name == "companions":
            getlist = getattr(self.data, "getlist", None)
            return list(getlist(self.add_prefix(path))) or None if getlist else None
        typed = self._typed(path)
        if not typed:
            return None
        if get_origin(inside) is tuple:
            return [word.strip() for word in typed.split(",") if word.strip()]
        if inside is bool:
            return {"true": True, "false": False}.get(typed, typed)
        return number_typed(typed) if is_number(inside) else typed

    def _typed_group(self, path: str, model: type[BaseModel]) -> dict[str, Any]:
        return {
            inner: value
            for inner, info in model.model_fields.items()
            if (value := self._value(inner, info, f"{path}-{inner}")) is not None
        }

    def _field_at(self, path: str) -> str | None:
        """The control nearest to a dotted path of the sheet. Row numbers count the rows that were kept."""
        steps = path.split(".")
        if steps[0] == "sources":
            name = GENERAL if steps[1:2] == ["*"] else "".join(steps[1:2])
            return self._first([f"source-{name}-{''.join(steps[2:3])}", f"source-{name}-basis"])
        if len(steps) > 1 and steps[0] in self._rows and steps[1].isdigit():
            steps[1] = str(self._kept_rows(steps[0])[int(steps[1])])
        joined = "-".join(steps)
        return self._first([joined, *(f for f in self.fields if f.startswith(f"{joined}-"))])

    def _kept_rows(self, name: str) -> list[int]:
        point = points_of(self.model.model_fields[name].annotation)
        return [
            number
            for number in range(self._rows[name])
            if point
            and not self._typed(f"{name}-{number}-remove")
            and self._typed_group(f"{name}-{number}", point)
        ]

    def _first(self, names: Iterable[str]) -> str | None:
        return next((name for name in names if name in self.fields), None)

    # showing

    def _part(self, name: str, info: FieldInfo) -> Part:
        source = self._source_controls(name)
        basis = self[f"source-{name}-basis"].value() or ""
        general = self[f"source-{GENERAL}-basis"].value() or ""
        shown = {
            "source": source,
            "source_words": str(basis) or (f"as for all, {general}" if general else "not stated"),
            "source_open": any(control.errors for control in source),
        }
        point, group = points_of(info.annotation), group_of(info.annotation)
        label = label_of(name)
        if point:
            columns = [(label_of(inner), unit_of(inner)) for inner in point.model_fields]
            rows = [self._row(name, number, point) for number in range(self._rows[name])]
            return Part(name, label, "rows", columns=columns, rows=rows, **shown)  # type: ignore[arg-type]
        names = [f"{name}-{inner}" for inner in group.model_fields] if group else [name]
        return Part(name, label, "group" if group else "value", [self[n] for n in names], **shown)  # type: ignore[arg-type]

    def _row(self, name: str, number: int, point: type[BaseModel]) -> Row:
        controls = [self[f"{name}-{number}-{inner}"] for inner in point.model_fields]
        given = any(control.value() for control in controls)
        return Row(number + 1, controls, self[f"{name}-{number}-remove"], given)

    def _source_controls(self, name: str) -> list[BoundField]:
        return [self[f"source-{name}-{inner}"] for inner in FigureSource.model_fields]


def _assumed(empty: tuple[str, str], default: Any) -> tuple[str, str]:
    if isinstance(default, bool):
        return "", f"not stated ({'yes' if default else 'no'} is assumed)"
    if isinstance(default, str) and default:
        return "", f"not stated ({default} is assumed)"
    return empty


def _help(name: str, info: FieldInfo) -> str:
    words = info.description or ""
    if name == "companions":
        return words[:1].upper() + words[1:]
    if get_origin(bare(info.annotation)) is tuple:
        words = f"{words}; several with commas" if words else "several with commas"
    return words[:1].upper() + words[1:]
