"""Which thing fills which place of a kit? All places or none; a thing fills one place.

Pure. The search is bounded: when it gives up it refuses, so that it never accepts falsely.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal

from gear.kits.contents import Choice, Part

__all__ = ["Free", "Taken", "choose", "impossible"]

MOST_STEPS = 50_000


@dataclass(frozen=True)
class Free:
    """What is free for the whole time: units by id, counted things by id with how many."""

    units: frozenset[int]
    items: Mapping[int, Decimal]


@dataclass(frozen=True)
class Taken:
    """One thing for one place. ``part`` leads through the kits: ``Grip bag: clamp``."""

    part_id: int
    part: str
    name: str
    unit_id: int | None
    item_id: int | None
    quantity: Decimal


def choose(parts: Iterable[Part], free: Free) -> tuple[Taken, ...] | None:
    """What fills every place, earlier choices first where there is a choice; None when nothing does."""
    left = sorted(parts, key=lambda part: len(part.choices))
    return _Search(free).fill(left, frozenset(), {})


def impossible(parts: Iterable[Part], free: Free) -> tuple[Part, ...]:
    """The places that nothing fills even if each were the only one."""
    return tuple(part for part in parts if choose([part], free) is None)


class _Search:
    def __init__(self, free: Free) -> None:
        self.free, self.steps = free, 0

    def fill(
        self, parts: list[Part], units: frozenset[int], items: Mapping[int, Decimal]
    ) -> tuple[Taken, ...] | None:
        if not parts:
            return ()
        self.steps += 1
        if self.steps > MOST_STEPS:
            return None
        part, rest = parts[0], parts[1:]
        for choice in part.choices:
            found = self._with(part, choice, rest, units, items)
            if found is not None:
                return found
        return None

    def _with(
        self,
        part: Part,
        choice: Choice,
        rest: list[Part],
        units: frozenset[int],
        items: Mapping[int, Decimal],
    ) -> tuple[Taken, ...] | None:
        if choice.kit is not None:
            inner = [replace(p, name=f"{choice.name}: {p.name}") for p in choice.kit.parts]
            return self.fill(inner + rest, units, items)
        if choice.unit_id is not None:
            if choice.unit_id not in self.free.units or choice.unit_id in units:
                return None
            more = self.fill(rest, units | {choice.unit_id}, items)
            quantity = Decimal(1)
        else:
            item, quantity = choice.item_id or 0, part.quantity
            used = items.get(item, Decimal(0)) + quantity
            if used > self.free.items.get(item, Decimal(0)):
                return None
            more = self.fill(rest, units, {**items, item: used})
        if more is None:
            return None
        return (Taken(part.id, part.name, choice.name, choice.unit_id, choice.item_id, quantity), *more)
