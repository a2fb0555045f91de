"""Do the light and its modifier fit under the ceiling, and does the stand reach that height?"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from recipes.quantity import N, above_zero, at_least_zero, plain, within

__all__ = [
    "HeightMargin",
    "StandReach",
    "ceiling_margin",
    "highest_head_m",
    "modifier_above_head_m",
    "modifier_below_head_m",
    "stand_reach",
]


def modifier_above_head_m(modifier_height_m: N, depth_m: N = 0.0, tilt_deg: N = 0.0) -> N:
    """How far the top of a modifier stands above the head it is on, in m.

    Parameters: height of its face; how far the face is in front of the head; tilt of the head, positive downwards.
    Tilted down, half the face swings forward and the head's back end is left out; tilted up, the face climbs by its
    depth.

    Equation: ``h/2 cos(tilt) - depth sin(tilt)``, never under 0: the head itself is there.
    """
    tilt = np.radians(within("tilt_deg", tilt_deg, -90.0, 90.0))
    half_face = at_least_zero("modifier_height_m", modifier_height_m) / 2.0
    return plain(np.maximum(0.0, half_face * np.cos(tilt) - at_least_zero("depth_m", depth_m) * np.sin(tilt)))


def modifier_below_head_m(modifier_height_m: N, depth_m: N = 0.0, tilt_deg: N = 0.0) -> N:
    """How far the bottom of a modifier hangs below the head it is on, in m; what people knock into."""
    return modifier_above_head_m(modifier_height_m, depth_m, -tilt_deg)


@dataclass(frozen=True)
class HeightMargin:
    """Top of the rig against the lowest thing over it, in m; margin positive when there is air between."""

    top_m: float
    limit_m: float
    margin_m: float
    limited_by: str


def ceiling_margin(
    head_height_m: float,
    above_head_m: float,
    ceiling_m: float,
    beam_m: float | None = None,
    clearance_m: float = 0.0,
) -> HeightMargin:
    """Does the rig stay under the ceiling, or under the beam if one runs over it, with this much air?

    ``clearance_m`` keeps hot heads off the ceiling; the maker's sheet states it.
    """
    ceiling = float(above_zero("ceiling_m", ceiling_m))
    lowest, name = ceiling, "ceiling"
    if beam_m is not None and float(above_zero("beam_m", beam_m)) < ceiling:
        lowest, name = float(beam_m), "beam"
    limit = lowest - float(at_least_zero("clearance_m", clearance_m))
    top = float(at_least_zero("head_height_m", head_height_m)) + float(
        at_least_zero("above_head_m", above_head_m)
    )
    return HeightMargin(top, limit, limit - top, name)


def highest_head_m(ceiling_m: N, above_head_m: N, clearance_m: N = 0.0) -> N:
    """The greatest head height that fits under a ceiling or beam, in m; not under 0."""
    left = (
        above_zero("ceiling_m", ceiling_m)
        - at_least_zero("above_head_m", above_head_m)
        - at_least_zero("clearance_m", clearance_m)
    )
    return plain(np.maximum(0.0, left))


@dataclass(frozen=True)
class StandReach:
    """A wanted height against a stand's range, in m.

    ``margin_m`` is the distance to the nearer end, negative by as much as the height lies outside; ``nearest_m`` is the
    height the stand can give instead.
    """

    wanted_m: float
    margin_m: float
    nearest_m: float

    @property
    def reaches(self) -> bool:
        return self.margin_m >= -1e-9


def stand_reach(wanted_m: float, lowest_m: float, highest_m: float) -> StandReach:
    """Does the stand reach this height?"""
    wanted = float(at_least_zero("wanted_m", wanted_m))
    lowest = float(above_zero("lowest_m", lowest_m))
    highest = float(above_zero("highest_m", highest_m))
    if highest < lowest:
        raise ValueError(f"highest_m is {highest:g}, under lowest_m {lowest:g}; swap them.")
    return StandReach(wanted, min(wanted - lowest, highest - wanted), min(max(wanted, lowest), highest))
