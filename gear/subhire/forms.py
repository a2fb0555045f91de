"""What the pages of borrowed units ask."""

from __future__ import annotations

from decimal import Decimal, InvalidOperation
from typing import Any

from django import forms

from gear.booking.interval import period
from gear.errors import FieldProblem, Invalid
from gear.form_problems import typed
from gear.inventory.entry import UnitEntry, read_typed
from gear.inventory.queries import types_to_choose
from gear.specs import kind_label
from gear.subhire.services import Terms

__all__ = ["BorrowForm", "price_of"]

_TIME = forms.TextInput(attrs={"type": "datetime-local"})
_WHOLE = forms.TextInput(attrs={"inputmode": "numeric"})


class BorrowForm(forms.Form):
    """A unit from outside."""

    use_required_attribute = False

    gear_type = forms.ChoiceField()
    tag = forms.CharField(max_length=20, help_text="A tag of ours for the time it is here, for example S-01.")
    owner = forms.CharField(max_length=120, label="Whose it is")
    contact = forms.CharField(required=False, max_length=200)
    starts = forms.CharField(label="Can be fetched from", widget=_TIME)
    ends = forms.CharField(label="Must be back there by", widget=_TIME)
    travel_in_minutes = forms.CharField(required=False, label="Way here (min)", widget=_WHOLE)
    travel_out_minutes = forms.CharField(required=False, label="Way back (min)", widget=_WHOLE)
    price = forms.CharField(
        required=False,
        label="Price for the whole time",
        widget=forms.TextInput(attrs={"inputmode": "decimal"}),
    )
    note = forms.CharField(required=False, max_length=300)

    def __init__(self, data: Any = None, *, type_slug: str = "") -> None:
        super().__init__(data, initial={"gear_type": type_slug})
        self.fields["gear_type"].choices = [  # type: ignore[attr-defined]
            ("", "Choose a gear type"),
            *((s, f"{kind_label(k)}: {m} {n}") for k, s, m, n in types_to_choose()),
        ]

    def entry(self) -> UnitEntry:
        """The unit. Raises `Invalid`."""
        said = typed(self)
        return read_typed(UnitEntry, {k: said[k] for k in ("tag", "gear_type") if k in said}, "The unit")

    def terms(self, zone: str) -> Terms:
        """What was agreed. Raises `Invalid`."""
        said = typed(self)
        return Terms(
            owner=said.get("owner", ""),
            contact=said.get("contact", ""),
            period=period(said.get("starts", ""), said.get("ends", ""), zone),
            travel_in_minutes=_minutes(said.get("travel_in_minutes", "0"), "travel_in_minutes"),
            travel_out_minutes=_minutes(said.get("travel_out_minutes", "0"), "travel_out_minutes"),
            price=price_of(said.get("price", "")),
            note=said.get("note", ""),
        )


def price_of(text: str) -> Decimal | None:
    """A price, or None for an empty text. Raises `Invalid`."""
    if not text.strip():
        return None
    try:
        price = Decimal(text.strip().replace(",", "."))
        fits = price.is_finite() and 0 <= price < 10**8 and price == price.quantize(Decimal("0.01"))
    except InvalidOperation:
        fits = False
    if not fits:
        raise Invalid(
            f"{text[:20]!r} is not a price.", (FieldProblem("price", "a number, for example 45.00"),)
        )
    return price


def _minutes(text: str, where: str) -> int:
    if text.isascii() and text.isdigit() and int(text) <= 60 * 24 * 30:
        return int(text)
    raise Invalid(f"{text[:20]!r} is not a number of minutes.", (FieldProblem(where, "whole minutes"),))
