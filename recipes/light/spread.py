"""How far off may a predicted tone be, when every figure that made it has a spread?

A spread is one standard deviation in stops. To first order in light, a sum of lights shifts by each light's share of
it times that light's own shift. Independent shifts add by their squares, one that all have in common (the meter) shifts
the sum as it is.

Source: propagation of uncertainty, JCGM 100:2008 (GUM), 5.1 and 5.2, on log2 of the sum.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from recipes.quantity import Numbers, at_least_zero, finite, plain

__all__ = ["combined_stops", "decides", "difference_spread_stops", "sum_spread_stops"]


def combined_stops(*spreads_stops: Numbers) -> Numbers:
    """The spread of one light whose factors are off independently: ``sqrt(sum s²)``; 0 for none."""
    total = np.zeros(())
    for spread in spreads_stops:
        total = total + at_least_zero("a spread", spread) ** 2
    return plain(np.sqrt(total))


def sum_spread_stops(
    amounts: ArrayLike, spreads_stops: ArrayLike, shared_stops: Numbers = 0.0, axis: int = 0
) -> Numbers:
    """The spread in stops of a sum of lights.

    Parameters: amounts of light along ``axis``, in any one unit; each one's own spread, that broadcasts against them;
    ``shared_stops`` is off for all of them together. Where there is no light only the shared part is left.
    """
    light = at_least_zero("amounts", np.asarray(amounts, dtype=np.float64))
    own = at_least_zero("spreads_stops", np.asarray(spreads_stops, dtype=np.float64))
    total = light.sum(axis=axis, keepdims=True)
    share = light / np.where(total > 0, total, 1.0)
    return combined_stops(np.sqrt(((share * own) ** 2).sum(axis=axis)), shared_stops)


def difference_spread_stops(
    shares: ArrayLike, other_shares: ArrayLike, spreads_stops: ArrayLike, axis: int = 0
) -> Numbers:
    """The spread in stops of the difference between two sums of light that hang on the same figures.

    Parameters: which share of each sum hangs on each figure, along ``axis``; each figure's spread, that broadcasts
    against them. What makes up the same share of both cancels: ``sqrt(sum ((a - b) s)²)``.
    """
    here = at_least_zero("shares", np.asarray(shares, dtype=np.float64))
    there = at_least_zero("other_shares", np.asarray(other_shares, dtype=np.float64))
    own = at_least_zero("spreads_stops", np.asarray(spreads_stops, dtype=np.float64))
    return plain(np.sqrt((((here - there) * own) ** 2).sum(axis=axis)))


def decides(margin_stops: float, spread_stops: float) -> bool:
    """Whether a margin is wider than the spread of the figures behind it; if not, it is tight either way."""
    return bool(abs(finite("margin_stops", margin_stops)) >= at_least_zero("spread_stops", spread_stops))
