"""What colour is the mixture of several lights at a zone, and how far do zones lie apart?

Lights add as XYZ, each weighted by its share of the luminance at that zone (after gels and losses). Averages of
kelvin are wrong by hundreds of kelvin and averages of mired by up to ten mired, so neither is used. The answer is the
correlated colour temperature and Duv, the distance from the Planckian locus in CIE 1960 (positive to green, negative
to magenta).

A source with a stated CCT lies on the Planckian locus, a daylight of 4000 K or more on the CIE daylight locus; a
flash lies where its sheet says, Planckian with its Duv if one is stated.

Sources: CIE 15; ISO/CIE 11664; Y. Ohno, "Practical use and calculation of CCT and Duv", *LEUKOS* 10(1), 2014 (the
same quantity; here the nearest point of the locus is found exactly instead of by his table).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np
from scipy.interpolate import CubicSpline

from recipes.light.gels import shifted_cct_k
from recipes.light.observer import planck_spectrum, xyz_of_spectrum
from recipes.quantity import Array, Numbers, at_least_zero, finite, within

__all__ = [
    "Colours",
    "SourceKind",
    "cct_and_duv",
    "daylight_xy",
    "mired_spread",
    "mix_xy",
    "planck_xy",
    "source_xy",
    "uv_to_xy",
    "xy_at",
    "xy_to_uv",
]

SourceKind = Literal["lamp", "daylight", "flash"]

LOWEST_CCT_K = 1000.0
HIGHEST_CCT_K = 100_000.0
LOWEST_DAYLIGHT_K = 4000.0
HIGHEST_DAYLIGHT_K = 25_000.0

WIDEST_DUV = 0.05
"""CIE 15: beyond this distance from the locus a correlated colour temperature has no meaning."""


@dataclass(frozen=True)
class Colours:
    """Correlated colour temperature (K) and Duv, one a zone; CCT is NaN where it has no meaning."""

    cct_k: Array
    duv: Array

    @property
    def mired(self) -> Array:
        return 1e6 / self.cct_k


def planck_xy(cct_k: Numbers) -> Array:
    """CIE 1931 chromaticity (..., 2) of a black body, 1000 to 100 000 K."""
    return _xy_of_xyz(xyz_of_spectrum(planck_spectrum(within("cct_k", cct_k, LOWEST_CCT_K, HIGHEST_CCT_K))))


def daylight_xy(cct_k: Numbers) -> Array:
    """CIE 1931 chromaticity (..., 2) on the CIE daylight locus, 4000 to 25 000 K. Source: CIE 15.

    Raises ValueError outside that range: there is no daylight locus there.
    """
    t = within("cct_k", cct_k, LOWEST_DAYLIGHT_K, HIGHEST_DAYLIGHT_K)
    warm = 0.244063 + 0.09911e3 / t + 2.9678e6 / t**2 - 4.6070e9 / t**3
    cool = 0.237040 + 0.24748e3 / t + 1.9018e6 / t**2 - 2.0064e9 / t**3
    x = np.where(t <= 7000, warm, cool)
    return np.stack([x, -3.0 * x**2 + 2.870 * x - 0.275], axis=-1)


def source_xy(cct_k: float, kind: SourceKind, duv: float = 0.0, shift_mired: float = 0.0) -> Array:
    """Chromaticity (2,) of a source known by its sheet or its meter reading: CCT and, if stated, Duv.

    A daylight without a stated Duv lies on the daylight locus from 4000 to 25 000 K; everything else on the
    Planckian locus, shifted by Duv. ``shift_mired`` is that of the gels before it, which leave Duv as it was: real
    ones do so only roughly, and their sheets seldom say.
    Raises ValueError for a colour that no light has.
    """
    on_daylight_locus = kind == "daylight" and duv == 0 and LOWEST_DAYLIGHT_K <= cct_k <= HIGHEST_DAYLIGHT_K
    bare = daylight_xy(cct_k) if on_daylight_locus else xy_at(cct_k, duv)
    if shift_mired == 0:
        return bare
    stated = cct_and_duv(bare)
    return xy_at(shifted_cct_k(float(stated.cct_k), shift_mired), stated.duv)


def xy_at(cct_k: Numbers, duv: Numbers) -> Array:
    """Chromaticity (..., 2) at a correlated colour temperature and Duv: across the Planckian locus in CIE 1960."""
    mired = 1e6 / within("cct_k", cct_k, LOWEST_CCT_K, HIGHEST_CCT_K)
    locus = _locus()
    slope = np.asarray(locus(mired, 1), dtype=np.float64)
    # Towards higher mired u grows; turned by a right angle that points to greater v, which is green.
    across = np.stack([-slope[..., 1], slope[..., 0]], axis=-1) / np.linalg.norm(
        slope, axis=-1, keepdims=True
    )
    offset = within("duv", duv, -WIDEST_DUV, WIDEST_DUV)[..., None] * across
    return uv_to_xy(np.asarray(locus(mired), dtype=np.float64) + offset)


def mix_xy(xy: Array, luminance: Array) -> Array:
    """Chromaticity (..., 2) of lights that add up.

    Parameters: ``xy`` (..., lights, 2); ``luminance`` (..., lights), what each gives at that zone in any unit
    proportional to light (lux, lux seconds, share). NaN where all of them are 0.
    Raises ValueError for negative light.
    """
    chroma = finite("xy", xy)
    weight = at_least_zero("luminance", luminance)
    over_y = weight / chroma[..., 1]
    x_sum = np.sum(over_y * chroma[..., 0], axis=-1)
    y_sum = np.sum(weight, axis=-1)
    total = np.sum(over_y, axis=-1)
    total = np.where(total > 0, total, np.nan)
    return np.stack([x_sum / total, y_sum / total], axis=-1)


def cct_and_duv(xy: Array) -> Colours:
    """CCT and Duv of chromaticities (..., 2).

    CCT is NaN beyond 0.05 from the locus, and outside 1000 to 100 000 K; both are NaN where xy is.
    """
    uv = xy_to_uv(np.asarray(xy, dtype=np.float64))
    known = np.isfinite(uv[..., 0] + uv[..., 1])
    sought = np.where(known[..., None], uv, 0.0)
    nodes, table = _locus_table()
    gaps = sought[..., None, :] - table
    mired = nodes[np.argmin(np.sum(gaps**2, axis=-1), axis=-1)]
    locus = _locus()
    for _ in range(4):
        gap = np.asarray(locus(mired), dtype=np.float64) - sought
        first = np.asarray(locus(mired, 1), dtype=np.float64)
        second = np.asarray(locus(mired, 2), dtype=np.float64)
        curvature = np.sum(first**2, axis=-1) + np.sum(gap * second, axis=-1)
        # Far from the locus the curvature may vanish; there no CCT is given anyway.
        step = np.sum(gap * first, axis=-1) / np.where(curvature > 0, curvature, np.inf)
        mired = np.clip(mired - step, nodes[0], nodes[-1])
    gap = sought - np.asarray(locus(mired), dtype=np.float64)
    duv = np.copysign(np.linalg.norm(gap, axis=-1), gap[..., 1])
    inside = (mired > nodes[0]) & (mired < nodes[-1]) & (np.abs(duv) <= WIDEST_DUV)
    return Colours(
        cct_k=np.where(known & inside, 1e6 / mired, np.nan),
        duv=np.where(known, duv, np.nan),
    )


def mired_spread(cct_k: Array) -> float:
    """How far apart the zones are: largest minus smallest mired, 0 for a single zone.

    Raises ValueError when a zone has no colour temperature.
    """
    mired = 1e6 / within("cct_k", cct_k, LOWEST_CCT_K, HIGHEST_CCT_K)
    return float(np.ptp(mired))


def xy_to_uv(xy: Array) -> Array:
    """CIE 1931 xy as CIE 1960 uv, (..., 2)."""
    x, y = xy[..., 0], xy[..., 1]
    scale = -2 * x + 12 * y + 3
    return np.stack([4 * x / scale, 6 * y / scale], axis=-1)


def uv_to_xy(uv: Array) -> Array:
    """CIE 1960 uv as CIE 1931 xy, (..., 2)."""
    u, v = uv[..., 0], uv[..., 1]
    scale = 2 * u - 8 * v + 4
    return np.stack([3 * u / scale, 2 * v / scale], axis=-1)


def _xy_of_xyz(xyz: Array) -> Array:
    return np.asarray(xyz[..., :2] / xyz.sum(axis=-1, keepdims=True), dtype=np.float64)


@lru_cache(maxsize=1)
def _locus_table() -> tuple[Array, Array]:
    """Points of the Planckian locus in CIE 1960, evenly spaced in mired, where it is nearly evenly spaced itself."""
    mired = np.linspace(1e6 / HIGHEST_CCT_K, 1e6 / LOWEST_CCT_K, 496)
    return mired, xy_to_uv(planck_xy(np.clip(1e6 / mired, LOWEST_CCT_K, HIGHEST_CCT_K)))


@lru_cache(maxsize=1)
def _locus() -> CubicSpline:
    return CubicSpline(*_locus_table())
