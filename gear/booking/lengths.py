"""How long is a period: in days on the wall, and in hours that really pass? Over a change of the clocks they differ.

A day is 24 hours on the wall clock, from noon to noon; one that has begun counts as a whole one. Pure.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from gear.booking.wall_time import OPEN_END, zone_of

__all__ = ["Length", "length_of"]


@dataclass(frozen=True)
class Length:
    """``days`` by the wall, begun ones included; ``hours`` and ``minutes`` that pass."""

    days: int
    hours: int
    minutes: int

    @property
    def words(self) -> str:
        """``1 day, 23 h``; ``4 h 30 min``."""
        passed = f"{self.hours} h" if self.hours else ""
        if self.minutes:
            passed = f"{passed} {self.minutes} min".strip()
        return f"{self.days} day{'s' if self.days > 1 else ''}, {passed}" if self.hours >= 23 else passed


def length_of(starts_at: datetime, ends_at: datetime, zone: str) -> Length | None:
    """The length of a period in a zone; None without a return date."""
    if ends_at >= OPEN_END:
        return None
    place = zone_of(zone)
    walls = ends_at.astimezone(place).replace(tzinfo=None) - starts_at.astimezone(place).replace(tzinfo=None)
    minutes = int((ends_at - starts_at) // timedelta(minutes=1))
    days = max(1, -(-walls // timedelta(days=1)))
    return Length(days, *divmod(minutes, 60))
