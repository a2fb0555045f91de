"""What the pages of the store ask."""

from __future__ import annotations

from itertools import groupby
from typing import Any

from django import forms

from gear.errors import FieldProblem, Invalid
from gear.inventory.care import FLASHES
from gear.inventory.columns import unit_fields
from gear.inventory.entry import CareNote, UnitEntry, read_typed
from gear.inventory.label_sheets import SHEETS
from gear.inventory.models import CareEntry, Condition, Unit
from gear.inventory.queries import cases, types_to_choose
from gear.specs import KINDS, kind_label

__all__ = ["CareForm", "ConditionForm", "FaultForm", "LabelChoice", "UnitFilter", "UnitForm", "UploadForm"]

_DATE = forms.TextInput(attrs={"type": "date"})
_WHOLE = forms.TextInput(attrs={"inputmode": "numeric"})
_ROWS = {"rows": 3}
CASES_TO_CHOOSE = 300


class Asked(forms.Form):
    """A form whose fields a typed entry judges; it keeps what was typed and shows each problem beside its field."""

    use_required_attribute = False

    def typed(self) -> dict[str, str]:
        """What was typed, without the fields that were left empty."""
        values = {name: str(self.data.get(name, "")) for name in self.fields}
        return {name: value for name, value in values.items() if value.strip()}

    def show(self, refusal: Invalid) -> tuple[FieldProblem, ...]:
        """Put each problem beside its field; returns those that belong to none."""
        self.is_valid()
        left = []
        for problem in refusal.problems:
            if problem.where not in self.fields:
                left.append(problem)
            elif problem.where not in self.errors:
                words = problem.expected
                self.add_error(
                    problem.where, words[:1].upper() + words[1:] + ("" if words[-1] in ".?" else ".")
                )
        return tuple(left)


class UnitFilter(forms.Form):
    """The filters above the list of units."""

    q = forms.CharField(required=False, label="Search", max_length=100)
    kind = forms.ChoiceField(
        required=False, choices=[("", "All kinds"), *((kind, words) for kind, (words, _) in KINDS.items())]
    )
    condition = forms.ChoiceField(required=False, choices=[("", "Any condition"), *Condition.choices])
    case = forms.CharField(required=False)
    type = forms.SlugField(required=False, max_length=80, widget=forms.HiddenInput)

    def __init__(self, data: Any) -> None:
        super().__init__(data)
        self.fields["case"] = _case_field("Any case")

    def asked(self) -> dict[str, str]:
        """The filters that were set, under the names of `gear.inventory.queries.units`; unknown ones are ignored."""
        self.is_valid()
        names = {"q": "search", "type": "type_slug"}
        set_here = {name: self.cleaned_data.get(name) for name in UnitFilter.base_fields}
        return {names.get(name, name): value for name, value in set_here.items() if value}


class LabelChoice(UnitFilter):
    """Which units get a label, on what paper, and how many places of the first sheet are used already."""

    paper = forms.ChoiceField(required=False, choices=[(sheet.name, sheet.words) for sheet in SHEETS])
    skip = forms.IntegerField(
        required=False,
        min_value=0,
        max_value=max(sheet.labels for sheet in SHEETS) - 1,
        label="Used already",
        widget=_WHOLE,
    )


class UnitForm(Asked):
    """One unit."""

    tag = forms.CharField(max_length=20, help_text="2 to 20 letters, digits and dashes, for example K-03.")
    gear_type = forms.ChoiceField()
    serial = forms.CharField(required=False, max_length=80, label="Serial number")
    shelf = forms.CharField(required=False, max_length=80, help_text="Where it lives in the store.")
    case = forms.CharField(required=False)
    radio_channel = forms.CharField(required=False, widget=_WHOLE)
    inspection_due = forms.CharField(required=False, label="Next inspection due", widget=_DATE)
    bought_on = forms.CharField(required=False, widget=_DATE)
    prep_minutes = forms.CharField(
        required=False, label="Preparation (min)", widget=_WHOLE, help_text="Empty: as its gear type."
    )
    turnaround_minutes = forms.CharField(
        required=False, label="Turnaround (min)", widget=_WHOLE, help_text="Empty: as its gear type."
    )
    notes = forms.CharField(required=False, max_length=10_000, widget=forms.Textarea(attrs=_ROWS))

    def __init__(self, data: Any = None, unit: Unit | None = None, type_slug: str = "") -> None:
        initial = unit_fields(unit) if unit else {"gear_type": type_slug}
        super().__init__(data, initial={name: "" if v is None else v for name, v in initial.items()})
        self.fields["gear_type"].choices = [("", "Choose a gear type"), *_type_choices()]  # type: ignore[attr-defined]
        self.fields["case"] = _case_field("No case", "The case it travels in.")

    def entry(self) -> UnitEntry:
        """What was typed, judged. Raises `Invalid`."""
        return read_typed(UnitEntry, self.typed(), "The unit")


class FaultForm(Asked):
    """Something is wrong with a unit."""

    text = forms.CharField(
        max_length=500,
        label="What is wrong?",
        widget=forms.Textarea(attrs={**_ROWS, "autofocus": ""}),
        help_text="What you saw and when. The unit is out of use as soon as you send this.",
    )


class ConditionForm(Asked):
    """Another condition, and why."""

    condition = forms.ChoiceField(choices=Condition.choices, label="New condition")
    text = forms.CharField(
        max_length=500,
        label="Inspection, or why",
        widget=forms.Textarea(attrs=_ROWS),
        help_text="To make it ready again: what was inspected, and that it was in order.",
    )
    version = forms.CharField(widget=forms.HiddenInput)


class CareForm(Asked):
    """One line for the care history."""

    kind = forms.ChoiceField(
        choices=[(k.value, k.label) for k in CareEntry.Kind if k.value not in ("fault", "condition")],
        label="What was done",
    )
    text = forms.CharField(max_length=500, widget=forms.Textarea(attrs=_ROWS), label="In words")
    happened_on = forms.CharField(
        required=False, widget=_DATE, label="When it was true", help_text="Empty: today."
    )
    health = forms.CharField(
        required=False,
        label="Measured health",
        widget=forms.TextInput(attrs={"inputmode": "decimal"}),
        help_text="Share of the rated capacity, for example 0.86.",
    )
    flash_count = forms.CharField(
        required=False,
        label="Counter of flashes",
        widget=_WHOLE,
        help_text="With a measurement; with a repair, what the counter of the new tube says.",
    )
    firmware = forms.CharField(
        required=False, max_length=40, label="Firmware", help_text="The version that runs on it now."
    )
    next_inspection = forms.CharField(
        required=False, widget=_DATE, label="Next inspection due", help_text="With an inspection."
    )
    cost = forms.CharField(
        required=False,
        label="Cost",
        widget=forms.TextInput(attrs={"inputmode": "decimal"}),
        help_text="With a repair, for example 84.50.",
    )
    currency = forms.CharField(required=False, max_length=3, help_text="Three letters, for example EUR.")

    def __init__(
        self, data: Any = None, *, of: str, interval_days: int | None = None, kind: str = ""
    ) -> None:
        """``of`` is the kind of gear, which says what can be measured on it."""
        super().__init__(data, initial={"kind": kind})
        if of != "battery":
            del self.fields["health"]
        if of != FLASHES:
            del self.fields["flash_count"]
        if interval_days:
            self.fields[
                "next_inspection"
            ].help_text = (
                f"With an inspection. Empty: {interval_days} days after it was done, as its gear type says."
            )

    def note(self) -> CareNote:
        """What was typed, judged. Raises `Invalid`."""
        return read_typed(CareNote, self.typed(), "The entry")


class UploadForm(forms.Form):
    """A file to import."""

    what = forms.CharField(widget=forms.HiddenInput)
    file = forms.FileField(
        label="File", allow_empty_file=True, error_messages={"required": "Choose a file first."}
    )


def _type_choices() -> list[tuple[str, list[tuple[str, str]]]]:
    found = types_to_choose()
    return [
        (kind_label(kind), [(slug, f"{maker} {name}".strip()) for _, slug, maker, name in group])
        for kind, group in groupby(found, key=lambda row: row[0])
    ]


def _case_field(none: str, help_text: str = "") -> forms.Field:
    """A choice among the cases; a tag to type where there are more than anybody would scroll through."""
    found = list(cases()[: CASES_TO_CHOOSE + 1])
    if len(found) > CASES_TO_CHOOSE:
        return forms.CharField(
            required=False, max_length=20, help_text=f"{help_text} The tag of a case.".strip()
        )
    choices = [("", none), *((case.tag, f"{case.tag} {case.gear_type.name}") for case in found)]
    return forms.ChoiceField(required=False, choices=choices, help_text=help_text)
