"""From where to where is the picture sharp, and when does a smaller stop stop helping?

Distances are from the front principal plane of a thin lens; `recipes.light.framing.distance_from_lens_m`
carries a distance that was measured from the sensor. F-numbers are exact (f/5.657, not the engraved 5.6).

Equations: ``H = f^2 / (N c) + f``; ``near = s (H - f) / (H + s - 2f)``; ``far = s (H - f) / (H - s)``, no limit
from ``s = H`` on. Source: Ray, *Applied Photographic Optics*; Greenleaf, *Photographic Optics*.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from recipes.light.framing import magnification
from recipes.quantity import Array, N, above_zero, at_least_zero, plain

__all__ = [
    "COC_DIVISOR",
    "DIFFRACTION_WAVELENGTH_NM",
    "Sharp",
    "airy_disc_mm",
    "circle_of_confusion_mm",
    "defocus_blur_mm",
    "depth_of_field",
    "diffraction_f_number",
    "f_number_for_depth",
    "far_limit_m",
    "hyperfocal_m",
    "near_limit_m",
]

COC_DIVISOR = 1442.0
"""Sensor diagonal over this is the circle of confusion: 0.030 mm for 36x24 mm. Convention."""

DIFFRACTION_WAVELENGTH_NM = 550.0
"""Green, where the eye is most sensitive. Convention."""


def circle_of_confusion_mm(sensor_width_mm: N, sensor_height_mm: N, divisor: N = COC_DIVISOR) -> N:
    """The largest blur that still passes for a point, on the sensor, in mm: its diagonal over ``divisor``."""
    width = above_zero("sensor_width_mm", sensor_width_mm)
    height = above_zero("sensor_height_mm", sensor_height_mm)
    return plain(np.hypot(width, height) / above_zero("divisor", divisor))


def _hyperfocal_mm(focal_mm: N, f_number: N, coc_mm: N) -> tuple[Array, Array]:
    focal = above_zero("focal_mm", focal_mm)
    return focal, focal**2 / (above_zero("f_number", f_number) * above_zero("coc_mm", coc_mm)) + focal


def hyperfocal_m(focal_mm: N, f_number: N, coc_mm: N) -> N:
    """The nearest focus at which far away is still sharp, in m: ``f^2 / (N c) + f``."""
    return plain(_hyperfocal_mm(focal_mm, f_number, coc_mm)[1] / 1000.0)


def _focus_mm(focal: Array, focus_m: N) -> Array:
    focus = above_zero("focus_m", focus_m) * 1000.0
    if np.any(focus <= focal):
        raise ValueError("focus_m is not beyond the focal length; give the focus distance in metres.")
    return focus


def near_limit_m(focal_mm: N, f_number: N, coc_mm: N, focus_m: N) -> N:
    """The nearest distance that is sharp, in m."""
    focal, hyperfocal = _hyperfocal_mm(focal_mm, f_number, coc_mm)
    focus = _focus_mm(focal, focus_m)
    return plain(focus * (hyperfocal - focal) / (hyperfocal + focus - 2.0 * focal) / 1000.0)


def far_limit_m(focal_mm: N, f_number: N, coc_mm: N, focus_m: N) -> N:
    """The farthest distance that is sharp, in m; infinity from the hyperfocal distance on."""
    focal, hyperfocal = _hyperfocal_mm(focal_mm, f_number, coc_mm)
    focus, limit = np.broadcast_arrays(_focus_mm(focal, focus_m), hyperfocal)
    beyond = focus >= limit
    short = np.where(beyond, 1.0, limit - focus)
    return plain(np.where(beyond, np.inf, focus * (limit - focal) / short / 1000.0))


@dataclass(frozen=True)
class Sharp:
    """The sharp range, in m from the lens. ``far_m`` and ``depth_m`` may be infinite."""

    near_m: float
    far_m: float

    @property
    def depth_m(self) -> float:
        return self.far_m - self.near_m

    def margin_m(self, front_m: float, back_m: float) -> float:
        """How much of the sharp range is left beyond a subject from ``front_m`` to ``back_m``, on its poorer
        side; negative by as much as the subject sticks out of it."""
        if back_m < front_m:
            raise ValueError("back_m is nearer than front_m; give the front of the subject first.")
        return min(front_m - self.near_m, self.far_m - back_m)


def depth_of_field(focal_mm: float, f_number: float, coc_mm: float, focus_m: float) -> Sharp:
    """The sharp range around a focus distance."""
    return Sharp(
        near_limit_m(focal_mm, f_number, coc_mm, focus_m),
        far_limit_m(focal_mm, f_number, coc_mm, focus_m),
    )


def defocus_blur_mm(focal_mm: N, f_number: N, focus_m: N, distance_m: N) -> N:
    """Diameter on the sensor of the disc that a point at ``distance_m`` becomes, in mm.

    Equation: ``(f / N) m |x - s| / x``, thin lens.
    """
    focal = above_zero("focal_mm", focal_mm)
    distance = above_zero("distance_m", distance_m)
    focus = above_zero("focus_m", focus_m)
    pupil = focal / above_zero("f_number", f_number)
    return plain(pupil * magnification(focal_mm, focus_m) * np.abs(distance - focus) / distance)


def f_number_for_depth(focal_mm: N, coc_mm: N, focus_m: N, front_m: N, back_m: N) -> N:
    """The smallest f-number at which everything from ``front_m`` to ``back_m`` is sharp, focus staying put.

    Equation: the blur of each end at f/1, over ``c``; the worse end decides. Exact, to be rounded up to a stop
    that the lens has; compare it with `diffraction_f_number` before believing it.
    """
    wide_open = above_zero("coc_mm", coc_mm)
    front = defocus_blur_mm(focal_mm, 1.0, focus_m, plain(above_zero("front_m", front_m)))
    back = defocus_blur_mm(focal_mm, 1.0, focus_m, plain(above_zero("back_m", back_m)))
    return plain(np.maximum(front, back) / wide_open)


def airy_disc_mm(
    f_number: N, magnification_ratio: N = 0.0, wavelength_nm: N = DIFFRACTION_WAVELENGTH_NM
) -> N:
    """Diameter of the disc that diffraction makes of a point, on the sensor, in mm.

    Equation: ``2.44 lambda N (1 + m)``; ``m`` is the magnification, 0 far away; pupils of one size. Source: physical
    optics.
    """
    effective = above_zero("f_number", f_number) * (
        1.0 + at_least_zero("magnification_ratio", magnification_ratio)
    )
    return plain(2.44 * above_zero("wavelength_nm", wavelength_nm) * 1e-6 * effective)


def diffraction_f_number(
    coc_mm: N, magnification_ratio: N = 0.0, wavelength_nm: N = DIFFRACTION_WAVELENGTH_NM
) -> N:
    """The f-number at which the Airy disc fills the circle of confusion: stopping down further blurs."""
    per_stop = airy_disc_mm(1.0, magnification_ratio, wavelength_nm)
    return plain(above_zero("coc_mm", coc_mm) / np.asarray(per_stop))
