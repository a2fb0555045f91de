"""What does a lit room send to receivers, by one bounce and by more?

Both leave the walls at the same points, so both are asked for at once: nearly all of the time goes into how these
points are seen, and past what. Boards and scrims send on what the walls send them; that has two bounces or more.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from recipes.light.bounce import LitSurfaces
from recipes.light.obstruction import Blocker
from recipes.quantity import Array

__all__ = ["LitRoom"]


@dataclass(frozen=True, eq=False)
class LitRoom:
    """``surfaces`` are the walls, then boards and scrims as the walls light them: of each source what leaves them after
    one bounce, and in the second half of the rows (2 sources, nodes) after more. ``between`` is what stands in the
    room."""

    surfaces: LitSurfaces
    between: tuple[Blocker, ...]

    @classmethod
    def of_walls(cls, first: LitSurfaces, later: LitSurfaces, between: Sequence[Blocker]) -> LitRoom:
        """The walls alone, with what leaves them after one bounce and after more."""
        both = np.concatenate([first.exitance, later.exitance])
        return cls(replace(first, exitance=both), tuple(between))

    def with_boards(self, boards: LitSurfaces) -> LitRoom:
        """With boards and scrims as the walls light them."""
        by_more = np.concatenate([np.zeros(boards.exitance.shape), boards.exitance])
        return LitRoom(self.surfaces.and_then(replace(boards, exitance=by_more)), self.between)

    def light_at(self, points: Array, normals: Array) -> Array:
        """What receivers (r, 3) looking along unit normals (r, 3) get by one bounce and by more, (sources, 2, r)."""
        light = self.surfaces.light_at(points, normals, self.between).sum(axis=0)
        return np.asarray(light.reshape(2, -1, len(points)).swapaxes(0, 1))
