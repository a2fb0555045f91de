"""How far does the subject move on the sensor while the light is on?

For the flash the time is t0.1, for ambient light the shutter time. `recipes.light.pulse.FlashDuration` keeps
t0.5 from slipping in: it understates the blur up to 3.3 times.

Equation: ``blur = v t m sin(angle to the lens axis)``; pixels: blur over pitch.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from recipes.light.pulse import FlashDuration
from recipes.quantity import Array, N, above_zero, at_least_zero, finite, plain, within

__all__ = [
    "FreezeMargin",
    "MixedBlur",
    "ambient_share",
    "blur_mm",
    "blur_px",
    "freeze_margin",
    "longest_time_s",
    "mixed_blur",
]


def blur_mm(speed_m_per_s: N, time_s: N, magnification: N, angle_to_axis_deg: N = 90.0) -> N:
    """Length of the smear on the sensor, in mm.

    Parameters: speed in m/s; how long the light is on, in s; magnification (`framing.magnification`); angle
    between movement and lens axis in degrees, 90 across the picture, 0 straight at the camera.
    """
    speed = at_least_zero("speed_m_per_s", speed_m_per_s)
    time = at_least_zero("time_s", time_s)
    ratio = above_zero("magnification", magnification)
    across = np.sin(np.radians(within("angle_to_axis_deg", angle_to_axis_deg, 0.0, 180.0)))
    return plain(speed * time * ratio * across * 1000.0)


def blur_px(blur_on_sensor_mm: N, pixel_pitch_mm: N) -> N:
    """The same smear in pixels."""
    return plain(
        at_least_zero("blur_on_sensor_mm", blur_on_sensor_mm) / above_zero("pixel_pitch_mm", pixel_pitch_mm)
    )


def longest_time_s(allowed_blur_mm: N, speed_m_per_s: N, magnification: N, angle_to_axis_deg: N = 90.0) -> N:
    """The longest time the light may be on for a smear of ``allowed_blur_mm``, in s; infinite at rest."""
    allowed = above_zero("allowed_blur_mm", allowed_blur_mm)
    per_second = np.asarray(blur_mm(speed_m_per_s, 1.0, magnification, angle_to_axis_deg))
    # Sine of 180 degrees is dust, not movement across the picture.
    still = per_second <= 1e-12
    return plain(np.where(still, np.inf, allowed / np.where(still, 1.0, per_second)))


@dataclass(frozen=True)
class FreezeMargin:
    """Whether a flash is short enough: margin in stops of time, positive when it is.

    ``estimated`` is True when t0.1 had to be guessed from t0.5; then ``worst_margin_stops`` is the margin at
    the long end of its band.
    """

    t01_s: float
    longest_s: float
    margin_stops: float
    worst_margin_stops: float
    estimated: bool

    @property
    def freezes(self) -> bool:
        return self.worst_margin_stops >= -1e-9


def freeze_margin(duration: FlashDuration, longest_s: float, cut_at: float | None = None) -> FreezeMargin:
    """Does this flash freeze a movement that allows at most ``longest_s``? ``cut_at`` as in `FlashDuration.as_t01`."""
    longest = np.asarray(longest_s, dtype=np.float64)
    if not longest > 0:
        raise ValueError(f"longest_s is {longest_s:g}; give the longest time the blur allows, above 0.")
    t01 = duration.as_t01(cut_at)
    return FreezeMargin(
        t01_s=t01.likely_s,
        longest_s=float(longest),
        margin_stops=float(np.log2(longest / t01.likely_s)),
        worst_margin_stops=float(np.log2(longest / t01.longest_s)),
        estimated=t01.estimated,
    )


def ambient_share(ambient_over_flash_stops: N) -> N:
    """Share of the exposure that is ambient, 0 to 1.

    ``ambient_over_flash_stops`` is ambient against flash, negative when it lies under the flash.

    Equation: ``1 / (1 + 2^-x)``.
    """
    return plain(np.exp2(-_over_ambient_stops(ambient_over_flash_stops)))


def _over_ambient_stops(ambient_over_flash_stops: N) -> Array:
    """How far flash and ambient together lie over the ambient alone: ``log2(1 + 2^-x)``, also of hardly any ambient."""
    return np.logaddexp2(0.0, -finite("ambient_over_flash_stops", ambient_over_flash_stops))


@dataclass(frozen=True)
class MixedBlur:
    """A sharp flash image with an ambient smear around it.

    ``weighted_mm`` weighs each smear by its share of the exposure. ``picture_over_smear_stops`` is how far the whole
    picture lies over the ambient smear: the more, the less the smear shows.
    """

    flash_mm: float
    ambient_mm: float
    ambient_share: float
    weighted_mm: float
    picture_over_smear_stops: float


def mixed_blur(
    speed_m_per_s: float,
    t01_s: float,
    shutter_s: float,
    magnification: float,
    ambient_over_flash_stops: float,
    angle_to_axis_deg: float = 90.0,
) -> MixedBlur:
    """How much smear the flash leaves, how much the ambient light adds, and how much the latter weighs."""
    flash_s, open_s = float(at_least_zero("t01_s", t01_s)), float(at_least_zero("shutter_s", shutter_s))
    by_flash = blur_mm(speed_m_per_s, flash_s, magnification, angle_to_axis_deg)
    by_ambient = blur_mm(speed_m_per_s, open_s, magnification, angle_to_axis_deg)
    weight = ambient_share(ambient_over_flash_stops)
    return MixedBlur(
        flash_mm=by_flash,
        ambient_mm=by_ambient,
        ambient_share=weight,
        weighted_mm=(1.0 - weight) * by_flash + weight * by_ambient,
        picture_over_smear_stops=float(_over_ambient_stops(ambient_over_flash_stops)),
    )
