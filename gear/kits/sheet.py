"""A kit as people write it: one part a line.

``K-03`` is a unit, ``8 x Sandbag 10 kg`` a counted thing, ``Grip bag`` a kit; ``K-03 | K-04`` is one of these, and
``Key head: K-03 | K-04`` says what the part is for.
"""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any

from gear.errors import FieldProblem, Invalid
from gear.inventory.models import Unit
from gear.kits.models import Kit
from gear.stock.models import StockItem
from gear.stock.rules import said

__all__ = ["read_sheet", "write_sheet"]

_COUNTED = re.compile(r"^(\d+(?:[.,]\d+)?)\s*[x×]\s*(.+)$", re.IGNORECASE)


def read_sheet(text: str) -> list[dict[str, Any]]:
    """The parts in the form of `KitEntry`. Raises `Invalid` that names every line with something unknown in it."""
    lines = [(number, line.strip()) for number, line in enumerate(text.splitlines(), start=1) if line.strip()]
    parts, problems = [], []
    for number, line in lines[:200]:
        try:
            parts.append(_part(line))
        except LookupError as unknown:
            problems.append(f"line {number}: there is no unit, stock item or kit “{str(unknown)[:60]}”")
    if problems:
        raise Invalid(
            f"The kit cannot be kept like this: {problems[0]}.",
            (FieldProblem("parts", "; ".join(problems[:5])),),
        )
    return parts


def write_sheet(kit: Kit) -> str:
    """The parts of a stored kit, as `read_sheet` reads them."""
    lines = []
    for part in kit.parts.prefetch_related("options__unit", "options__item", "options__sub_kit"):
        options = " | ".join(str(option) for option in part.options.all())
        counted = f"{said(part.quantity)} x " if any(option.item_id for option in part.options.all()) else ""
        lines.append(f"{part.name}: {counted}{options}" if part.name else f"{counted}{options}")
    return "\n".join(lines)


def _part(line: str) -> dict[str, Any]:
    name, rest = "", line
    if ": " in line:
        before, after = line.split(": ", 1)
        try:
            return _with(line, "")
        except LookupError:
            name, rest = before.strip(), after.strip()
    return _with(rest, name)


def _with(text: str, name: str) -> dict[str, Any]:
    counted = _COUNTED.match(text)
    quantity = Decimal(1)
    if counted and not _found(text.split("|")[0].strip()):
        quantity, text = Decimal(counted[1].replace(",", ".")), counted[2]
    options = []
    for word in (word.strip() for word in text.split("|")):
        option = _found(word)
        if option is None:
            raise LookupError(word)
        options.append(option)
    return {"name": name, "quantity": quantity, "options": options}


def _found(word: str) -> dict[str, Any] | None:
    unit = Unit.objects.filter(tag=word.upper()).values_list("tag", flat=True).first()
    if unit:
        return {"unit": unit}
    item = StockItem.objects.filter(name__iexact=word).values_list("pk", flat=True).first()
    if item:
        return {"item": item}
    kit = Kit.objects.filter(name__iexact=word).values_list("pk", flat=True).first()
    return {"kit": kit} if kit else None
