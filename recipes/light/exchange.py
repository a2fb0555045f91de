"""What do boards and scrims send to each other before it comes to the subject?

A lamp off a board and through a scrim, two boards that stand as a corner, a white board that catches what a scrim lets
through: light that leaves one of them falls on the points of the others and leaves those again. Each round is one more
leg, for boards side by side a fifth of the one before at most, for white ones that face each other a quarter of their
side apart more than half. After a few rounds each is very nearly a fixed part of the one before, and what is left is
summed as a geometric series.

Source: R. Siegel, J. R. Howell, *Thermal Radiation Heat Transfer* (radiosity), by its series.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from recipes.light.bounce import LitSurfaces
from recipes.light.obstruction import Blocker
from recipes.quantity import Array

__all__ = ["ROUNDS", "exchanged", "taking_normals"]

ROUNDS = 3
_NOTHING = 1e-4
_MOST_KEPT = 0.95
"""No round keeps more of the one before: boards are not whiter."""


def taking_normals(lit: LitSurfaces) -> Array:
    """The side of each node that takes the light in, as unit normals (n, 3)."""
    return np.stack([surface.taking.normal for surface in lit.surfaces])[lit.nodes.faces]


def exchanged(
    lit: LitSurfaces, panels: NDArray[np.int64], blockers: Sequence[Blocker], extra: Array | None = None
) -> LitSurfaces:
    """The surfaces with what they send each other added.

    Parameters: the surfaces as the lamps light them; which board or scrim (surfaces,) each is a side of; what stands in
    the way; light (sources, nodes) that falls on the nodes besides that of the lamps, in lux.
    """
    gains = np.array([surface.reflectance for surface in lit.surfaces])[lit.nodes.faces]
    normals = taking_normals(lit)
    total = lit.exitance if extra is None else lit.exitance + gains * extra
    sent, kept = total, np.zeros(len(total))
    for _ in range(ROUNDS if len(set(panels.tolist())) > 1 else 0):
        arriving = np.zeros_like(total)
        for row in range(len(lit.surfaces)):
            own = lit.nodes.on(row)
            if not sent[:, own].any():
                continue
            one = LitSurfaces(lit.surfaces, lit.nodes, sent).some(row, row + 1)
            others = np.flatnonzero(panels[lit.nodes.faces] != panels[row])
            points = lit.nodes.points[others]
            arriving[:, others] += one.light_at(points, normals[others], blockers)[0]
        before, sent = sent @ lit.nodes.areas_m2, gains * arriving
        kept = np.clip(sent @ lit.nodes.areas_m2 / np.where(before > 0, before, 1.0), 0.0, _MOST_KEPT)
        total = total + sent
        if sent.max(initial=0.0) <= _NOTHING * total.max(initial=0.0):
            break
    return LitSurfaces(lit.surfaces, lit.nodes, total + sent * (kept / (1.0 - kept))[:, None])
