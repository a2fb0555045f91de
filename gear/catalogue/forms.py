"""What the pages of the catalogue ask."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from typing import Any

from django import forms
from django.utils.text import slugify

from gear.catalogue.entry import GearTypeEntry, read_entry, read_json
from gear.catalogue.models import GearType
from gear.catalogue.spec_form import SpecForm
from gear.errors import FieldProblem, Invalid
from gear.specs import KINDS

__all__ = ["GearTypeEditor", "GearTypeForm", "TypeFilter"]

SPEC_TEXT_AT_MOST = 200_000


class TypeFilter(forms.Form):
    """The filters above the list of gear types."""

    q = forms.CharField(required=False, label="Search", max_length=100)
    kind = forms.ChoiceField(
        required=False, choices=[("", "All kinds"), *((kind, words) for kind, (words, _) in KINDS.items())]
    )


class GearTypeForm(forms.Form):
    """What a gear type says outside its spec sheet."""

    maker = forms.CharField(required=False, max_length=80)
    name = forms.CharField(max_length=120)
    slug = forms.CharField(
        required=False,
        max_length=80,
        label="Short name for its address",
        help_text="Letters, digits and dashes; import files name the type by it. Empty: made from maker and name.",
    )
    prep_minutes = forms.CharField(
        required=False,
        label="Preparation before use (min)",
        help_text="Blocked before each booking. Empty: 0.",
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
    )
    turnaround_minutes = forms.CharField(
        required=False,
        label="Turnaround after use (min)",
        help_text="Blocked after each booking. Empty: 30.",
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
    )
    inspection_days = forms.CharField(
        required=False,
        label="Inspection every (days)",
        help_text="From the day one was done to the day the next is due. Empty: none is asked for.",
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
    )
    inspection_source = forms.CharField(
        required=False,
        max_length=200,
        label="Where that interval comes from",
        help_text="A local rule, the maker’s manual, or the studio’s own decision.",
    )
    notes = forms.CharField(required=False, max_length=10_000, widget=forms.Textarea(attrs={"rows": 3}))


class SpecTextForm(forms.Form):
    """The spec sheet as text."""

    spec_text = forms.CharField(
        label="Spec sheet as JSON",
        max_length=SPEC_TEXT_AT_MOST,
        required=False,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 28, "data-code": "", "spellcheck": "false"}),
    )


class GearTypeEditor:
    """The edit page's two forms together: the entry, and its sheet as fields or as text.

    Bound it keeps what was typed, whatever is refused; `entry` reads it, `show` puts a refusal beside the fields.
    """

    def __init__(
        self, kind: str, data: Any = None, gear_type: GearType | None = None, *, as_text: bool = False
    ) -> None:
        self.kind = kind
        self.kind_label = KINDS[kind][0]
        self.as_text = as_text
        self.data = data
        self.version = gear_type.version if gear_type else 0
        if data is not None:
            typed = str(data.get("version", ""))
            self.version = int(typed) if typed.isascii() and typed.isdigit() and len(typed) < 10 else 0
        stored = gear_type.spec if gear_type else {"kind": kind}
        self.head = GearTypeForm(data, initial=_head_of(gear_type))
        self.text = SpecTextForm(data if as_text else None, initial={"spec_text": _as_text(stored)})
        self.sheet = SpecForm(kind, None if as_text else data, stored)

    def turn(self) -> None:
        """Show what was typed the other way: fields as text, or text as fields. Raises `Invalid`."""
        spec = {"kind": self.kind, **self._spec()}
        if not self.as_text:
            self.text = SpecTextForm(initial={"spec_text": _as_text(spec)})
        else:
            self.sheet = SpecForm(self.kind, None, spec)
        self.as_text = not self.as_text

    def entry(self) -> GearTypeEntry:
        """What was typed, judged. Raises `Invalid` that names every field at fault."""
        self.head.is_valid()
        typed = {name: str(self.data.get(name, "")).strip() for name in self.head.fields}
        typed["slug"] = typed["slug"] or slugify(f"{typed['maker']} {typed['name']}")[:80]
        head = {name: value for name, value in typed.items() if value}
        head.setdefault("name", "")
        return read_entry({**head, "kind": self.kind, "spec": self._spec()})

    def show(self, refusal: Invalid) -> tuple[FieldProblem, ...]:
        """Put each problem beside its field; returns those that belong to no field on the page."""
        self.head.is_valid()
        left: list[FieldProblem] = []
        for problem in refusal.problems:
            if problem.where in self.head.fields:
                if problem.where not in self.head.errors:
                    self.head.add_error(problem.where, _sentence(problem.expected))
            else:
                left.append(problem)
        if not self.as_text:
            return self.sheet.show_problems(left)
        self.text.is_valid()
        for problem in left:
            self.text.add_error("spec_text", f"{problem.where}: {problem.expected}")
        return ()

    def forms_at_fault(self) -> Iterable[forms.Form]:
        """The forms with errors, for the list above the page."""
        return [form for form in (self.head, self.text, self.sheet) if form.is_bound and form.errors]

    def _spec(self) -> Mapping[str, Any]:
        if not self.as_text:
            return self.sheet.spec()
        try:
            document = read_json(str(self.data.get("spec_text", "")), "The spec sheet")
        except Invalid as refusal:
            raise Invalid(refusal.sentence, (FieldProblem("spec", refusal.sentence),)) from None
        if not isinstance(document, dict):
            raise Invalid(
                "The spec sheet is not an object.",
                (FieldProblem("spec", 'expects an object with named fields, as in {"kind": …}'),),
            )
        return document


def _head_of(gear_type: GearType | None) -> dict[str, Any]:
    if gear_type is None:
        return {}
    return {name: getattr(gear_type, name) for name in GearTypeForm.base_fields}


def _as_text(spec: Mapping[str, Any]) -> str:
    return json.dumps(spec, indent=2, ensure_ascii=False)


def _sentence(words: str) -> str:
    return words[:1].upper() + words[1:] + ("" if words.endswith((".", "?")) else ".")
