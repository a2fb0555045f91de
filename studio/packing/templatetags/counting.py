"""The counted things of a shoot, where its packing list shows them."""

from __future__ import annotations

from django import template

from gear.stock.models import StockPromise
from studio.packing.stock import state_of, stock_lines
from studio.shoots.models import Shoot

register = template.Library()


@register.simple_tag
def counted_things(shoot: Shoot) -> list[StockPromise]:
    """Its lines, by name."""
    return stock_lines(shoot)


@register.filter
def counted_state(line: StockPromise) -> str:
    """What a form about this line was made from."""
    return state_of(line)
