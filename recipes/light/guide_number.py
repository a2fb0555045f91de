"""What does a guide number say, and what comes of two of them?

``GN = f-number x distance`` at a stated ISO speed, measured from the flash, not from the camera. It grows with the
square root of light: 2 stops double it. Exposure from a point is ``H = I / d²`` and ``N² = H S / C``, so
``GN_m = sqrt(I S / C)`` with I in cd·s.

A published guide number may have been measured in a room that helped, or zoomed to its narrowest: then outdoors it is
less.

Source: ISO 1230:1992 (guide number), ISO 2720:1974 (C).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from recipes.light.apex import MeterProfile
from recipes.quantity import N, above_zero, at_least_zero, finite, plain

__all__ = [
    "FEET_PER_METRE",
    "aperture_at",
    "combined",
    "guide_number_m",
    "in_feet",
    "in_metres",
    "intensity_cds",
    "rescaled",
]

FEET_PER_METRE = 1.0 / 0.3048
"""The international foot is 0.3048 m. Taking feet for metres is 3.43 stops."""


def guide_number_m(intensity_cds: N, meter: MeterProfile, iso: N = 100.0) -> N:
    """Guide number in metres of a flash of this intensity on its axis, in cd·s: ``sqrt(I S / C)``."""
    light = above_zero("intensity_cds", intensity_cds) * above_zero("iso", iso)
    return plain(np.sqrt(light / meter.c_incident))


def intensity_cds(guide_number_m: N, meter: MeterProfile, iso: N = 100.0) -> N:
    """Intensity on the axis, in cd·s, of a flash with this guide number in metres: ``GN² C / S``."""
    return plain(
        above_zero("guide_number_m", guide_number_m) ** 2 * meter.c_incident / above_zero("iso", iso)
    )


def aperture_at(guide_number_m: N, distance_m: N) -> N:
    """Exact f-number at a distance from the flash: ``GN / d``."""
    return plain(above_zero("guide_number_m", guide_number_m) / above_zero("distance_m", distance_m))


def rescaled(guide_number: N, stops: N) -> N:
    """The guide number after so many stops more light or speed (negative for less): ``GN 2^(stops / 2)``."""
    return plain(above_zero("guide_number", guide_number) * np.exp2(finite("stops", stops) / 2.0))


def combined(guide_numbers: ArrayLike, axis: int = -1) -> N:  # type: ignore[type-var]
    """Several flashes from one place on one subject: light adds, so guide numbers add by their squares."""
    each = at_least_zero("a guide number", np.asarray(guide_numbers, dtype=np.float64))
    return plain(np.sqrt(np.sum(each**2, axis=axis)))


def in_feet(guide_number_m: N) -> N:
    """A guide number in metres, in feet."""
    return plain(above_zero("guide_number_m", guide_number_m) * FEET_PER_METRE)


def in_metres(guide_number_ft: N) -> N:
    """A guide number in feet, in metres."""
    return plain(above_zero("guide_number_ft", guide_number_ft) / FEET_PER_METRE)
