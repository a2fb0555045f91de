"""What the pages of counted things ask."""

from __future__ import annotations

from typing import Any

from django import forms

from gear.form_problems import typed
from gear.inventory.queries import types_to_choose
from gear.specs import kind_label
from gear.stock.entry import StockEntry, read_typed, stock_fields
from gear.stock.models import StockItem, StockMovement

__all__ = ["CountForm", "MovementForm", "StockFilter", "StockForm"]

_DECIMAL = forms.TextInput(attrs={"inputmode": "decimal"})
_WHOLE = forms.TextInput(attrs={"inputmode": "numeric"})


class StockFilter(forms.Form):
    """The filters above the list."""

    q = forms.CharField(required=False, label="Search", max_length=100)
    kind = forms.ChoiceField(
        required=False, choices=[("", "All"), ("returned", "Returned"), ("consumable", "Used up")]
    )


class StockForm(forms.Form):
    """One counted thing."""

    use_required_attribute = False

    name = forms.CharField(max_length=120, help_text="For example Sandbag 10 kg, or Gaffer tape black.")
    counted_in = forms.CharField(max_length=20, initial="pieces", help_text="Pieces, metres, rolls.")
    there_are = forms.CharField(required=False, label="How many there are now", widget=_DECIMAL)
    whole = forms.BooleanField(required=False, initial=True, label="Only whole ones")
    consumable = forms.BooleanField(required=False, label="Used up, not returned")
    gear_type = forms.ChoiceField(
        required=False, help_text="When it is a model of the catalogue: “any of this model” then finds it."
    )
    shelf = forms.CharField(required=False, max_length=80)
    reorder_point = forms.CharField(
        required=False, widget=_DECIMAL, help_text="At this number or below it, order more."
    )
    overbooking_percent = forms.CharField(
        required=False, label="Overbooking allowed (%)", widget=_WHOLE, help_text="Empty: none."
    )
    prep_minutes = forms.CharField(required=False, label="Preparation (min)", widget=_WHOLE)
    turnaround_minutes = forms.CharField(required=False, label="Turnaround (min)", widget=_WHOLE)
    notes = forms.CharField(required=False, max_length=10_000, widget=forms.Textarea(attrs={"rows": 3}))

    def __init__(self, data: Any = None, item: StockItem | None = None) -> None:
        initial = {}
        if item is not None:
            initial = {name: "" if v is None else v for name, v in stock_fields(item).items()}
        super().__init__(data, initial=initial)
        if item is not None:
            del self.fields["there_are"]
        self.fields["gear_type"].choices = [  # type: ignore[attr-defined]
            ("", "None"),
            *((s, f"{kind_label(k)}: {m} {n}") for k, s, m, n in types_to_choose()),
        ]

    def entry(self) -> StockEntry:
        """What was typed, judged. Raises `Invalid`."""
        said = typed(self)
        said.pop("there_are", None)
        flags = {name: name in self.data for name in ("whole", "consumable")}
        return read_typed(StockEntry, {**said, **flags}, "The item")


class MovementForm(forms.Form):
    """Something changed how many there are."""

    kind = forms.ChoiceField(
        label="What happened", choices=[(k.value, k.label) for k in StockMovement.Kind if k != "correction"]
    )
    quantity = forms.CharField(max_length=20, label="How many", widget=_DECIMAL)
    effective_at = forms.CharField(
        required=False,
        label="From when",
        widget=forms.TextInput(attrs={"type": "datetime-local"}),
        help_text="Empty: now. What was ordered: when it will be there.",
    )
    note = forms.CharField(required=False, max_length=300)


class CountForm(forms.Form):
    """Somebody counted."""

    counted = forms.CharField(
        max_length=20, label="There are in all", widget=_DECIMAL, help_text="Those that are out included."
    )
    note = forms.CharField(required=False, max_length=300)
