"""Where does a tone lie: how many stops above or below what a meter would give?

Ambient grows with the shutter time, flash does not; both pass the same aperture, speed and filter:

    incident zone    P = log2( S (E t + H) / (C N²) )        E lux,   H lx·s
    luminance zone   P = log2( S (L t + J) / (K N²) )        L cd/m², J cd·s/m²

Lights add as light, so stops are added through their powers of two.

Source: ISO 2720:1974 (both equations), ISO 10157:1991 (flash).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from recipes.light.apex import Exposure, MeterProfile
from recipes.quantity import Array, N, Numbers, at_least_zero, finite, plain

__all__ = [
    "add_stops",
    "ambient_share",
    "incident_placement",
    "key_and_fill_ratio",
    "lift_stops",
    "light_for_lift",
    "luminance_placement",
]


def incident_placement(
    ambient_lux: Numbers, flash_lxs: Numbers, exposure: Exposure, meter: MeterProfile
) -> Numbers:
    """Placement of a zone metered at the subject, in stops; minus infinity in the dark.

    Parameters: steady illuminance in lux, flash exposure in lx·s (the sum of all), numbers or arrays.
    """
    return _placement(
        at_least_zero("ambient_lux", ambient_lux),
        at_least_zero("flash_lxs", flash_lxs),
        exposure,
        meter.c_incident,
    )


def luminance_placement(
    ambient_cd_m2: Numbers, flash_cds_m2: Numbers, exposure: Exposure, meter: MeterProfile
) -> Numbers:
    """Placement of a zone metered from the camera, in stops; minus infinity in the dark.

    Parameters: steady luminance in cd/m², what the flash gives the surface in cd·s/m², numbers or arrays.
    """
    return _placement(
        at_least_zero("ambient_cd_m2", ambient_cd_m2),
        at_least_zero("flash_cds_m2", flash_cds_m2),
        exposure,
        meter.k_reflected,
    )


def _placement(steady: Array, flash: Array, exposure: Exposure, constant: float) -> Numbers:
    with np.errstate(divide="ignore"):
        return plain(
            np.log2((steady * np.asarray(exposure.time_s) + flash) * np.asarray(exposure.gain) / constant)
        )


def ambient_share(ambient: Numbers, flash: Numbers, time_s: Numbers) -> Numbers:
    """The part of a zone's light that is ambient, 0 to 1; nan where there is no light at all.

    Parameters: illuminance in lux and lx·s, or luminance in cd/m² and cd·s/m²; shutter time in s.
    """
    steady = at_least_zero("ambient", ambient) * at_least_zero("time_s", time_s)
    total = steady + at_least_zero("flash", flash)
    with np.errstate(invalid="ignore", divide="ignore"):
        return plain(steady / total)


def add_stops(stops: ArrayLike, axis: int = -1) -> Numbers:
    """Several lights on one zone, each given in stops, as one: ``log2(sum 2^s)``.

    Minus infinity stands for a light that is off. Sums over ``axis``.
    """
    values = np.asarray(stops, dtype=np.float64)
    if np.any(np.isnan(values)):
        raise ValueError(
            "one of the stops is not a number; give each light in stops, -inf for one that is off."
        )
    return plain(np.asarray(np.logaddexp2.reduce(values, axis=axis)))


def lift_stops(over_stops: N) -> N:
    """How much a zone rises when a light is added that lies ``over_stops`` above what is there.

    Equal light lifts by 1; a light 2 stops under lifts by 0.322.
    """
    return plain(np.logaddexp2(0.0, finite("over_stops", over_stops)))


def light_for_lift(lift_stops: N) -> N:
    """How far above what is there an added light must lie to lift the zone by so much, in stops.

    The inverse of `lift_stops`: ``log2(2^lift - 1)``. Raises ValueError at a lift of 0 or less.
    """
    wanted = finite("lift_stops", lift_stops)
    if np.any(wanted <= 0):
        raise ValueError(f"lift_stops is {np.min(wanted):g}; added light only lifts, give a number above 0.")
    return plain(np.log2(np.expm1(wanted * np.log(2.0))))


def key_and_fill_ratio(key_over_fill_stops: N) -> N:
    """Lit side against shadow side when the fill reaches both: ``(key + fill) : fill``.

    This is the ratio a meter reads off the face. Key 1 stop over fill is 3:1, though key to fill is 2:1.
    """
    return plain(1.0 + np.exp2(finite("key_over_fill_stops", key_over_fill_stops)))
