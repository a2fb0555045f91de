"""At which points of a plan must the light be worked out, and what is it between them?

Light is smooth but for the edges of shadows. Values are asked for on a coarse grid, and the cubic through every second
of them (Lagrange, four points a side) shows by how much it misses the others. Where it misses by more than the
tolerance the next finer points are asked for too, and so on down to the grid itself; elsewhere the cubic is taken,
whose error there falls by 16 with each halving.

What lies between the coarse points altogether, the shadow of something narrow, would not be missed. Places that are
known to have one (`recipes.light.edges`) are therefore asked for in any case.

Source: A. Harten, *Multiresolution representation of data* (1996); Abramowitz & Stegun 25.2 (Lagrange).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from recipes.quantity import Array

__all__ = ["Asked", "Mask", "Misses", "Plan", "refined"]

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


Misses = Callable[[Plan, Array], Array]
"""By how many stops (ny, nx) a cubic may miss on a plan that has so much light, (ny, nx)."""


def refined(
    plan: Plan,
    ask: Asked,
    apart_m: float,
    beside: Array | None = None,
    edges: Mask | None = None,
    misses_stops: float | Misses = MISSES_STOPS,
) -> Array:
    """Light over a plan, (ny, nx), asked for where it must be.

    Parameters: ``apart_m`` how far apart points may be where the light turns out smooth; ``beside`` (ny, nx), the
    light that is there besides and that errors are measured against; ``edges`` (ny, nx) marks points next to an edge;
    ``misses_stops`` as in `MISSES_STOPS`, or what it is where there is so much light.
    """
    around = np.zeros(plan.shape) if beside is None else beside
    stride = plan.stride(apart_m)
    at = _Grid(plan, stride)
    values = at.asked(ask, np.ones(at.shape, dtype=np.bool_))
    if stride == 1:
        return values
    coarse = _Grid(plan, 2 * stride)
    guess = coarse.carried_to(at, values[at.holding(coarse)])
    rough = _missed(at, values, guess, around, misses_stops)
    while stride > 1:
        stride //= 2
        finer = _Grid(plan, stride)
        wanted = _spread_to(rough, at, finer)
        if edges is not None:
            wanted |= _near(edges, finer)
        wanted[finer.holding(at)] = False
        guess = at.carried_to(finer, values)
        found = np.maximum(guess, 0.0)
        found[finer.holding(at)] = values
        found[wanted] = finer.asked(ask, wanted)[wanted]
        # A cubic that swings below nothing at the foot of a peak swings above it next to there: that is a miss too.
        rough = wanted & _missed(finer, found, guess, around, misses_stops)
        at, values = finer, found
    return values


@dataclass(frozen=True, eq=False)
class _Grid:
    """Every so many of a plan's rows and columns, and the last ones."""

    plan: Plan
    stride: int

    @cached_property
    def rows(self) -> Places:
        return _every(len(self.plan.y_m), self.stride)

    @cached_property
    def columns(self) -> Places:
        return _every(len(self.plan.x_m), self.stride)

    @property
    def shape(self) -> tuple[int, int]:
        return len(self.rows), len(self.columns)

    @property
    def points(self) -> Plan:
        """Its points as a plan of their own."""
        return Plan(self.plan.x_m[self.columns], self.plan.y_m[self.rows])

    @property
    def own(self) -> tuple[Places, ...]:
        """Its points among all of the plan."""
        return np.ix_(self.rows, self.columns)

    def holding(self, coarser: _Grid) -> tuple[Places, ...]:
        """The points of a coarser one among its own."""
        return np.ix_(
            np.searchsorted(self.rows, coarser.rows), np.searchsorted(self.columns, coarser.columns)
        )

    def asked(self, ask: Asked, wanted: Mask) -> Array:
        """Light at the wanted points, nothing at the others."""
        found = np.zeros(self.shape)
        row, column = np.nonzero(wanted)
        if len(row):
            found[row, column] = ask(self.plan.x_m[self.columns[column]], self.plan.y_m[self.rows[row]])
        return found

    def carried_to(self, finer: _Grid, values: Array) -> Array:
        """Its values, as a cubic carries them to the points of a finer one."""
        down = _cubic(self.plan.y_m, self.rows, finer.rows, values)
        return _cubic(self.plan.x_m, self.columns, finer.columns, down.T).T


def _missed(at: _Grid, found: Array, guess: Array, around: Array, misses_stops: float | Misses) -> Mask:
    """Where a guess is off by too much of all the light there is."""
    whole = found + around[at.own]
    enough = np.maximum(whole, DARK * whole.max(initial=0.0))
    may = misses_stops if isinstance(misses_stops, float) else misses_stops(at.points, enough)
    return np.asarray(np.abs(found - guess) > (2.0**may - 1.0) * enough)


def _every(count: int, stride: int) -> Places:
    """Every so many of ``count`` places, and the last one."""
    return np.unique(np.append(np.arange(0, count, stride), count - 1))


def _cubic(axis: Array, few: Places, many: Places, values: Array) -> Array:
    """Values (few, k) at a few places of an axis as (many, k), by the cubic through the four nearest."""
    known, wanted = axis[few], axis[many]
    size = min(4, len(few))
    first = np.clip(np.searchsorted(known, wanted) - 2, 0, len(few) - size)
    near = [known[first + one] for one in range(size)]
    found = np.zeros((len(many), values.shape[1]))
    for one in range(size):
        weight = np.ones(len(many))
        for other in range(size):
            if other != one:
                weight *= (wanted - near[other]) / (near[one] - near[other])
        found += weight[:, None] * values[first + one]
    return found


def _spread_to(rough: Mask, at: _Grid, finer: _Grid) -> Mask:
    """Which finer points lie next to a coarse point that was missed, or are guessed from it."""
    wide = np.pad(rough, 1)
    wide = wide[:-2] | wide[1:-1] | wide[2:]
    wide = _to_the_ends(wide[:, :-2] | wide[:, 1:-1] | wide[:, 2:])
    wide = _either(wide, at.rows, finer.rows)
    return np.asarray(_either(wide.T, at.columns, finer.columns).T)


def _to_the_ends(wide: Mask) -> Mask:
    """At the ends of a plan the cubic reaches three places inwards: what was missed there reaches as far out."""
    for mask in (wide, wide.T):
        mask[:2] |= mask[:4].any(axis=0)
        mask[-2:] |= mask[-4:].any(axis=0)
    return wide


def _either(wide: Mask, places: Places, finer: Places) -> Mask:
    """A mask (places, k) as (finer, k): of the two places that a finer one lies between, either."""
    above, below = np.searchsorted(places, finer), np.searchsorted(places, finer, side="right") - 1
    return np.asarray(wide[above] | wide[below])


def _near(edges: Mask, grid: _Grid) -> Mask:
    """Which points of a grid have an edge within a step of theirs."""
    along = np.logical_or.reduceat(edges, grid.rows, axis=0)
    both = np.logical_or.reduceat(along, grid.columns, axis=1)
    down = np.pad(both, ((1, 0), (1, 0)))
    return np.asarray(down[1:, 1:] | down[:-1, 1:] | down[1:, :-1] | down[:-1, :-1])
