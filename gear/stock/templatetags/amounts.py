"""Quantities in pages: ``{{ promise.quantity|amount_of }}``."""

from __future__ import annotations

from decimal import Decimal

from django import template

from gear.stock.rules import said

register = template.Library()


@register.filter
def amount_of(number: Decimal | None) -> str:
    """``4``, ``1.5``, ``−2``; a dash for none."""
    return "–" if number is None else said(Decimal(number))


@register.filter
def signed_amount_of(number: Decimal) -> str:
    """``+4``, ``−2``."""
    return f"+{said(number)}" if number > 0 else said(number)
