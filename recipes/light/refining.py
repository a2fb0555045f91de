"""At which points of a plan must the light be worked out, and what is it between them?

Light is smooth but for the edges of shadows. Values are asked for on a coarse grid, and on one with half of its steps,
where the cubic through the coarse ones (Lagrange, four points a side) shows by how much it misses. Where it misses by
more than the tolerance the next finer points are asked for too, and so on down to the grid itself; elsewhere the cubic
is taken, whose error there falls by 16 with each halving.

What lies between the coarse points altogether, the shadow of something narrow, would not be missed. Places that are
known to have one (`recipes.light.edges`) are therefore asked for in any case.

Source: A. Harten, *Multiresolution representation of data* (1996); Abramowitz & Stegun 25.2 (Lagrange).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from recipes.quantity import Array

__all__ = ["Asked", "Mask", "Plan", "refined"]

Mask = NDArray[np.bool_]
Places = NDArray[np.int64]

Asked = Callable[[Array, Array], Array]
"""Light (n,) at plan points x (n,) and y (n,)."""

MISSES_STOPS = 0.01
"""Where a cubic misses by less than this of all the light at a point, the next one over half the step will do."""

DARK = 2.0**-14
"""Light below this part of the brightest on the plan is told as exactly as this part itself."""


@dataclass(frozen=True, eq=False)
class Plan:
    """Columns ``x_m`` (nx,) and rows ``y_m`` (ny,) of a plan, in ascending order."""

    x_m: Array
    y_m: Array

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        return len(self.y_m), len(self.x_m)

    def stride(self, apart_m: float) -> int:
        """How many steps, a power of two, lie within so many metres; at least 1."""
        step = max(float(np.diff(self.x_m).max()), float(np.diff(self.y_m).max()))
        return int(2 ** max(0, np.floor(np.log2(apart_m / step + 1e-9))))


def refined(
    plan: Plan,
    ask: Asked,
    apart_m: float,
    beside: Array | None = None,
    edges: Mask | None = None,
    misses_stops: float = MISSES_STOPS,
) -> Array:
    """Light over a plan, (ny, nx), asked for where it must be.

    Parameters: ``apart_m`` how far apart points may be where the light turns out smooth; ``beside`` (ny, nx), the
    light that is there besides and that errors are measured against; ``edges`` (ny, nx) marks points next to an edge;
    ``misses_stops`` as in `MISSES_STOPS`.
    """
    around = np.zeros(plan.shape) if beside is None else beside
    stride = plan.stride(apart_m)
    rows, columns = _every(len(plan.y_m), 2 * stride), _every(len(plan.x_m), 2 * stride)
    values = _asked(plan, ask, *np.meshgrid(rows, columns, indexing="ij"))
    rough: Mask | None = None
    while stride:
        finer_rows, finer_columns = _every(len(plan.y_m), stride), _every(len(plan.x_m), stride)
        down, across = _cubic(plan.y_m, rows, finer_rows), _cubic(plan.x_m, columns, finer_columns)
        wanted = np.ones((len(finer_rows), len(finer_columns)), dtype=np.bool_)
        if rough is not None:
            wanted = _spread_to(rough, rows, columns, finer_rows, finer_columns)
            if edges is not None:
                wanted |= _near(edges, finer_rows, finer_columns)
        old = np.ix_(np.isin(finer_rows, rows), np.isin(finer_columns, columns))
        guess = down @ values @ across.T
        found = np.maximum(guess, 0.0)
        found[old] = values
        wanted[old] = False
        row, column = np.nonzero(wanted)
        # A cubic that swings below nothing at the foot of a peak swings above it next to there: that is a miss too.
        guessed = guess[row, column]
        found[row, column] = _asked(plan, ask, finer_rows[row], finer_columns[column])
        whole = found + around[np.ix_(finer_rows, finer_columns)]
        enough = np.maximum(whole[row, column], DARK * whole.max(initial=0.0))
        rough = np.zeros(wanted.shape, dtype=np.bool_)
        rough[row, column] = np.abs(found[row, column] - guessed) > (2.0**misses_stops - 1.0) * enough
        values, rows, columns, stride = found, finer_rows, finer_columns, stride // 2
    return values


def _asked(plan: Plan, ask: Asked, rows: Places, columns: Places) -> Array:
    if not rows.size:
        return np.zeros(rows.shape)
    return ask(plan.x_m[columns].ravel(), plan.y_m[rows].ravel()).reshape(rows.shape)


def _every(count: int, stride: int) -> Places:
    """Every so many of ``count`` places, and the last one."""
    return np.unique(np.append(np.arange(0, count, stride), count - 1))


def _cubic(axis: Array, few: Places, many: Places) -> Array:
    """The weights (many, few) of the cubic through the four nearest of a few places."""
    known, wanted = axis[few], axis[many]
    size = min(4, len(few))
    first = np.clip(np.searchsorted(known, wanted) - 2, 0, len(few) - size)
    rows = np.arange(len(many))
    weights = np.zeros((len(many), len(few)))
    for one in range(size):
        weight = np.ones(len(many))
        for other in range(size):
            if other != one:
                weight *= (wanted - known[first + other]) / (known[first + one] - known[first + other])
        weights[rows, first + one] = weight
    return weights


def _spread_to(rough: Mask, rows: Places, columns: Places, finer_rows: Places, finer_columns: Places) -> Mask:
    """Which finer points lie next to a coarse point that was missed."""
    wide = np.pad(rough, 1)
    wide = wide[:-2] | wide[1:-1] | wide[2:]
    wide = wide[:, :-2] | wide[:, 1:-1] | wide[:, 2:]
    below, left = np.searchsorted(rows, finer_rows), np.searchsorted(columns, finer_columns)
    above, right = (
        np.searchsorted(places, finer, side="right") - 1
        for places, finer in ((rows, finer_rows), (columns, finer_columns))
    )
    return np.asarray(
        wide[np.ix_(below, left)]
        | wide[np.ix_(above, left)]
        | wide[np.ix_(below, right)]
        | wide[np.ix_(above, right)]
    )


def _near(edges: Mask, rows: Places, columns: Places) -> Mask:
    """Which points of some rows and columns have an edge within a step of theirs."""
    along = np.logical_or.reduceat(edges, rows, axis=0)
    both = np.logical_or.reduceat(along, columns, axis=1)
    down = np.pad(both, ((1, 0), (1, 0)))
    return np.asarray(down[1:, 1:] | down[:-1, 1:] | down[1:, :-1] | down[:-1, :-1])
