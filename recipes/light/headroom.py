"""How far below clipping does a tone lie?

ISO 12232 ties the saturation speed to the exposure that just does not clip, 78/S lx s, which puts it half a stop above
a white of 100 %. What is left above white after a reading follows from the meter's constant: the higher C (a dome), the
less. Placements are stops from the metered tone.

    H = q L t / N^2            focal-plane exposure, lx s
    S H / 78                   fraction of saturation
    clip reflectance after an incident reading   78 pi / (q C)
    clip above the metered tone, spot reading    log2(78 / (q K))

Sources: ISO 12232; ISO 2720 for C and K. A maker's speed may leave more: a measured clip point goes first.
"""

from __future__ import annotations

import math

import numpy as np

from recipes.quantity import N, Numbers, above_zero, at_least_zero, finite, plain, share

__all__ = [
    "HEADROOM_OVER_WHITE_STOPS",
    "LENS_FACTOR",
    "MID_TONE_UNDER_CLIP_STOPS",
    "clip_placement_incident_stops",
    "clip_placement_spot_stops",
    "clip_reflectance",
    "dynamic_range_stops",
    "exposure_index",
    "focal_plane_exposure_lxs",
    "fraction_of_saturation",
    "lens_factor",
    "stops_to_clip",
]

SATURATION_LXS = 78.0
"""H_sat times S."""

MID_TONE_LXS = 10.0
"""H_mid times S."""

MID_TONE_UNDER_CLIP_STOPS = math.log2(SATURATION_LXS / MID_TONE_LXS)
"""2.963 stops from the exposure that defines the index to clipping."""

HEADROOM_OVER_WHITE_STOPS = 0.5
"""The saturation speed leaves a factor of the square root of two above a white of 100 %."""


def lens_factor(transmittance: N = 0.9, vignetting: N = 0.98, off_axis_deg: N = 10.0) -> N:
    """The factor q between the scene's luminance and the exposure on the sensor; 0.6516 as ISO 12232 has it.

    Equation: ``q = (pi/4) T f_v cos^4(theta)``.
    """
    through = share("transmittance", transmittance) * share("vignetting", vignetting)
    return plain(np.pi / 4 * through * np.cos(np.radians(finite("off_axis_deg", off_axis_deg))) ** 4)


LENS_FACTOR = float(lens_factor())


def focal_plane_exposure_lxs(
    luminance_cd_m2: N, f_number: N, shutter_s: N, *, q: float = LENS_FACTOR, flare_lxs: float = 0.0
) -> N:
    """Exposure on the sensor in lx s, focused at infinity: ``q L t / N^2`` plus flare."""
    light = at_least_zero("luminance_cd_m2", luminance_cd_m2) * above_zero("shutter_s", shutter_s)
    return plain(
        float(above_zero("q", q)) * light / above_zero("f_number", f_number) ** 2
        + float(at_least_zero("flare_lxs", flare_lxs))
    )


def exposure_index(exposure_lxs: N) -> N:
    """The index at which this exposure is the mid tone: ``10 / H``."""
    return plain(MID_TONE_LXS / above_zero("exposure_lxs", exposure_lxs))


def fraction_of_saturation(exposure_lxs: N, iso: N) -> N:
    """How full the sensor is, 1 at clipping: ``S H / 78``."""
    return plain(at_least_zero("exposure_lxs", exposure_lxs) * above_zero("iso", iso) / SATURATION_LXS)


def clip_reflectance(c_lxs: N, *, q: float = LENS_FACTOR) -> N:
    """The reflectance that just clips after an incident reading, 1 for a perfect white: ``78 pi / (q C)``.

    Parameters: the meter's incident constant C in lx s ISO (250 flat receptor, 330 to 340 dome).
    """
    return plain(SATURATION_LXS * np.pi / (float(above_zero("q", q)) * above_zero("c_lxs", c_lxs)))


def clip_placement_incident_stops(reflectance: Numbers, c_lxs: float, *, q: float = LENS_FACTOR) -> Numbers:
    """The incident placement at which a surface of this reflectance clips, in stops.

    At placement 0 a white of 100 % has 0.589 stop left with C 250, 0.146 with C 340.
    """
    return plain(np.log2(float(clip_reflectance(c_lxs, q=q)) / share("reflectance", reflectance)))


def clip_placement_spot_stops(k: N, *, q: float = LENS_FACTOR) -> N:
    """The luminance placement that clips, in stops above the metered tone: ``log2(78 / (q K))``; 3.260 with K 12.5.

    Parameters: the meter's reflected constant K in cd s ISO / m2.
    """
    return plain(np.log2(SATURATION_LXS / (float(above_zero("q", q)) * above_zero("k", k))))


def stops_to_clip(placement_stops: N, clip_placement_stops: N) -> N:
    """What a tone has left before it clips, in stops; negative when it clips by as much."""
    return plain(
        finite("clip_placement_stops", clip_placement_stops) - finite("placement_stops", placement_stops)
    )


def dynamic_range_stops(full_well_e: N, read_noise_e: N) -> N:
    """Engineering dynamic range: full well over read noise, in stops. ISO 15739 asks for more signal and gives less."""
    return plain(np.log2(above_zero("full_well_e", full_well_e) / above_zero("read_noise_e", read_noise_e)))
