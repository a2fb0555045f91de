"""A figure of a unit that was read again and again: how did it go, and how fast does it change?"""

from __future__ import annotations

import statistics
from dataclasses import dataclass
from datetime import date
from typing import Literal

__all__ = ["Point", "Reading", "Series"]

ENOUGH_READINGS, ENOUGH_DAYS = 3, 90
"""Below these a trend would be the scatter of the readings. Common practice, no source."""

_DAYS_A_YEAR = 365.25


@dataclass(frozen=True)
class Reading:
    """What was read on a day; ``anew``: the count began anew with this reading, in another tube."""

    day: date
    value: float
    anew: bool = False


@dataclass(frozen=True)
class Point:
    """A reading in a drawing 100 wide and 30 high: ``x`` from the left, ``y`` from above."""

    x: float
    y: float
    reading: Reading


@dataclass(frozen=True)
class Series:
    """Readings of one figure by day, oldest first, at least one."""

    of: Literal["health", "flash_count"]
    readings: tuple[Reading, ...]

    @property
    def current(self) -> tuple[Reading, ...]:
        """Those since the count began anew."""
        begun = max((at for at, reading in enumerate(self.readings) if reading.anew), default=0)
        return self.readings[begun:]

    @property
    def per_year(self) -> float | None:
        """Change a year, the straight line of least squares through the current readings; None while they are too few
        or too close together."""
        days = [reading.day.toordinal() for reading in self.current]
        if len(days) < ENOUGH_READINGS or days[-1] - days[0] < ENOUGH_DAYS:
            return None
        return statistics.linear_regression(days, [r.value for r in self.current]).slope * _DAYS_A_YEAR

    @property
    def lines(self) -> tuple[tuple[Point, ...], ...]:
        """The readings to draw, a line for each tube: from the first day to the last, from nothing to the most."""
        first, last = self.readings[0].day, self.readings[-1].day
        width = max((last - first).days, 1)
        top = max(max(reading.value for reading in self.readings), 1.0)
        lines: list[list[Point]] = [[]]
        for reading in self.readings:
            if reading.anew and lines[-1]:
                lines.append([])
            lines[-1].append(
                Point(100 * (reading.day - first).days / width, 30 - 30 * reading.value / top, reading)
            )
        return tuple(tuple(line) for line in lines)
