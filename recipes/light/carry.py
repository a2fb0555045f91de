"""What does a reading taken at one hour become at another, and how far off may that be?

It is carried by the ratio of a model,

    reading(to) = reading(at) · model(to) / model(at)

which cancels what the model does not know: the level of that day, the dirt on the glass, the house across the street as
long as it shades alike. What different models that might all be true make of it tells how far off it may be.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime

import numpy as np

from recipes.quantity import Array, at_least_zero

__all__ = ["Curve", "carried_share", "carry_reading", "carry_spread_stops", "spread_of_carried"]

Curve = Callable[[Sequence[datetime]], Array]
"""What a model says at each instant."""


def carry_reading(reading: float, at: datetime, to: Sequence[datetime], curve: Curve) -> Array:
    """What a reading taken at one instant becomes at others: one for each of ``to``, in the reading's own unit.

    Parameters: ``reading`` in any unit proportional to light (lux or cd/m2, never EV); ``curve`` is the model,
    from `window_curve` or `pane_curve`.
    Raises ValueError when the model has no light at the time of the reading: then there is nothing to scale.
    Equation: ``reading * curve(to) / curve(at)``.
    """
    value = float(at_least_zero("reading", reading))
    modelled = np.asarray(curve([at, *to]), dtype=np.float64)
    return np.asarray(value * carried_share(at, modelled[0], modelled[1:]), dtype=np.float64)


def carried_share(at: datetime, modelled_at: Array, modelled: Array) -> Array:
    """What one unit of a reading becomes, (..., n), where models say ``modelled_at`` (...) for the instant it was taken
    and ``modelled`` (..., n) for others. Raises ValueError when a model has no light at the time of the reading."""
    if not np.all(modelled_at > 0):
        raise ValueError(
            f"the model has no daylight at {at.isoformat()}, when the reading was taken; take one by day, or check "
            f"the place, the time zone and the window."
        )
    return np.asarray(modelled / modelled_at[..., None], dtype=np.float64)


def carry_spread_stops(at: datetime, to: Sequence[datetime], curves: Sequence[Curve]) -> Array:
    """How much of a carried reading hangs on the choice of the model: half the range in stops, one for each of ``to``.

    Parameters: ``curves`` are models that might all be true, such as the same window with a cleaner and a hazier
    sky. Infinite where one of them has light and another has none.
    Raises ValueError when a model has no daylight at the time of the reading.
    """
    return spread_of_carried(np.array([carry_reading(1.0, at, to, curve) for curve in curves]))


def spread_of_carried(carried: Array) -> Array:
    """Half the range in stops, (n,), of what models (models, n) that might all be true make of one reading."""
    dark = carried <= 0
    with np.errstate(divide="ignore"):
        stops = np.log2(np.where(dark.all(axis=0), 1.0, carried))
    return np.asarray((stops.max(axis=0) - stops.min(axis=0)) / 2, dtype=np.float64)
