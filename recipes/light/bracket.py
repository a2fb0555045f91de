"""When does a curve lie inside a bracket?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from recipes.light.sun import unix_seconds
from recipes.quantity import Array, finite

__all__ = ["Interval", "intervals_inside"]


@dataclass(frozen=True)
class Interval:
    """From one instant to another, both included."""

    start: datetime
    end: datetime


def intervals_inside(
    instants: Sequence[datetime], values: Array, low: float, high: float
) -> tuple[Interval, ...]:
    """When a curve stays within ``[low, high]``, with straight lines between its points.

    Raises ValueError when instants do not ascend, lengths differ or ``low`` is above ``high``.
    """
    seconds = unix_seconds(instants)
    numbers = finite("values", values)
    if numbers.shape != seconds.shape or np.any(np.diff(seconds) <= 0):
        raise ValueError("give one value for each instant, with the instants in ascending order.")
    if low > high:
        raise ValueError(f"the bracket runs from {low:g} to {high:g}; give the lower end first.")
    spans: list[tuple[float, float]] = []
    for i in range(len(seconds)):
        last = i == len(seconds) - 1
        step = 0.0 if last else seconds[i + 1] - seconds[i]
        rise = 0.0 if last else numbers[i + 1] - numbers[i]
        entry, leave = _part_inside(float(numbers[i]), float(rise), low, high)
        if entry <= leave:
            spans.append((float(seconds[i] + entry * step), float(seconds[i] + leave * step)))
    merged: list[tuple[float, float]] = []
    for begin, end in spans:
        if merged and begin <= merged[-1][1] + 1e-6:
            merged[-1] = (merged[-1][0], max(end, merged[-1][1]))
        else:
            merged.append((begin, end))
    zone = instants[0].tzinfo if instants else None
    return tuple(
        Interval(datetime.fromtimestamp(round(begin, 3), zone), datetime.fromtimestamp(round(end, 3), zone))
        for begin, end in merged
    )


def _part_inside(start: float, rise: float, low: float, high: float) -> tuple[float, float]:
    """The part of a step, 0 to 1, on which a straight line lies in the bracket; (1, 0) for none."""
    if rise == 0:
        return (0.0, 1.0) if low <= start <= high else (1.0, 0.0)
    first, second = sorted(((low - start) / rise, (high - start) / rise))
    return max(0.0, first), min(1.0, second)
