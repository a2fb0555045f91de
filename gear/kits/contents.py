"""What is in a kit, down through the kits in it: plain values that need no database."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal

__all__ = ["Choice", "KitContents", "Part", "loop_through"]


@dataclass(frozen=True)
class Choice:
    """One thing that may fill a place: exactly one of ``unit_id``, ``item_id`` and ``kit``."""

    name: str
    unit_id: int | None = None
    item_id: int | None = None
    kit: KitContents | None = None


@dataclass(frozen=True)
class Part:
    """A place in a kit; any one of ``choices`` fills it. ``quantity`` counts of a counted thing."""

    id: int
    name: str
    quantity: Decimal
    choices: tuple[Choice, ...]


@dataclass(frozen=True)
class KitContents:
    """A kit with all its places."""

    id: int
    name: str
    version: int
    parts: tuple[Part, ...]

    def everything(self) -> Iterator[tuple[Part, Choice]]:
        """Every choice of every place, down through the kits in it."""
        for part in self.parts:
            for choice in part.choices:
                yield part, choice
                if choice.kit:
                    yield from choice.kit.everything()

    @property
    def unit_ids(self) -> set[int]:
        """Every unit that may be in it."""
        return {choice.unit_id for _, choice in self.everything() if choice.unit_id}

    @property
    def item_ids(self) -> set[int]:
        """Every counted thing that may be in it."""
        return {choice.item_id for _, choice in self.everything() if choice.item_id}


def loop_through(start: int, inside: Mapping[int, set[int]]) -> tuple[int, ...]:
    """The way from a kit back to itself through the kits in it, empty when there is none. ``inside`` is kit → kits."""
    way, seen = [start], set()

    def follow(kit: int) -> bool:
        for inner in sorted(inside.get(kit, ())):
            if inner == start:
                way.append(inner)
                return True
            if inner not in seen:
                seen.add(inner)
                way.append(inner)
                if follow(inner):
                    return True
                way.pop()
        return False

    return tuple(way) if follow(start) else ()
