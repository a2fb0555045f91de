"""What does a gel do to a light's colour, which one fits, and what does it cost?

Colour temperature is shifted in mired (10^6 / K), never in kelvin: the same gel moves a daylight by thousands of
kelvin and a lamp by hundreds. Stacked gels multiply their transmittances and add their shifts.

Source: G. Wyszecki, W. S. Stiles, *Color Science*; the arithmetic is the definition of the mired.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from recipes.light.observer import WAVELENGTH_NM, V, planck_spectrum
from recipes.quantity import N, Numbers, above_zero, at_least_zero, finite, plain, share, whole

__all__ = [
    "GEL_SPREAD_STOPS",
    "GelMatch",
    "GelSheet",
    "closest_gel",
    "density_stops",
    "gel_matches",
    "ideal_transmittance",
    "mired",
    "shift_between_mired",
    "shifted_cct_k",
    "stack",
    "stops_lost",
]

GEL_SPREAD_STOPS = 0.1
"""What a gel lets through, as a sheet or a recipe states it: common practice, no source."""

LOWEST_MIRED = 10.0
"""100 000 K: bluer than any sky, and where the arithmetic of shifts has long lost its meaning."""


@dataclass(frozen=True)
class GelSheet:
    """A gel by its sheet: label, mired shift (positive to warm), luminous transmittance.

    Raises ValueError for a transmittance that is not above 0 and at most 1.
    """

    label: str
    mired_shift: float
    transmittance: float

    def __post_init__(self) -> None:
        finite("mired_shift", self.mired_shift)
        share("transmittance", self.transmittance)

    @property
    def loss_stops(self) -> float:
        """Light lost, in stops."""
        return float(stops_lost(self.transmittance))


@dataclass(frozen=True)
class GelMatch:
    """What a choice of gels gives: the colour it reaches, how far that is from the target, what it costs.

    ``off_mired`` is result minus target: positive is too warm. ``gels`` is empty for the bare source.
    """

    gels: tuple[GelSheet, ...]
    result_k: float
    off_mired: float
    loss_stops: float


def mired(cct_k: N) -> N:
    """Micro reciprocal degrees of a colour temperature in K: ``10^6 / T``."""
    return plain(1e6 / above_zero("cct_k", cct_k))


def shift_between_mired(from_k: N, to_k: N) -> N:
    """The shift that turns one colour temperature into another; positive to warm."""
    return plain(1e6 / above_zero("to_k", to_k) - 1e6 / above_zero("from_k", from_k))


def shifted_cct_k(cct_k: N, shift_mired: N) -> N:
    """The colour temperature behind a filter of this shift, in K.

    Raises ValueError when the shift would take the source beyond the bluest light there is.
    """
    result = 1e6 / above_zero("cct_k", cct_k) + finite("shift_mired", shift_mired)
    if np.any(result < LOWEST_MIRED):
        raise ValueError(
            f"a shift of {np.min(np.asarray(shift_mired)):+.0f} mired takes this source past "
            f"{1e6 / LOWEST_MIRED:.0f} K, which no light has; take a weaker blue gel."
        )
    return plain(1e6 / result)


def stack(gels: Sequence[GelSheet]) -> GelSheet:
    """Several gels one behind the other as one: transmittances multiply, shifts add. None at all changes nothing."""
    return GelSheet(
        label=" + ".join(gel.label for gel in gels),
        mired_shift=math.fsum(gel.mired_shift for gel in gels),
        transmittance=math.prod(gel.transmittance for gel in gels),
    )


def stops_lost(transmittance: N) -> N:
    """Light lost by a transmittance, in stops: ``-log2 tau``."""
    return plain(0.0 - np.log2(share("transmittance", transmittance)))


def density_stops(density: N) -> N:
    """Light lost by an optical density, in stops: ``D / log10 2``. A density of 0.3 is 0.9966 stop, not 1."""
    return plain(at_least_zero("density", density) / math.log10(2))


def gel_matches(
    source_k: float, target_k: float, gels: Sequence[GelSheet], *, layers: int = 1
) -> tuple[GelMatch, ...]:
    """Every choice of up to ``layers`` gels from the list, and none, nearest to the target first.

    Among choices equally near the one that costs less light goes first. Choices past the bluest light are left
    out. Each gel of the list is one sheet, and is in a stack once.
    """
    wanted = 1e6 / float(above_zero("target_k", target_k))
    start = 1e6 / float(above_zero("source_k", source_k))
    found = []
    for count in range(whole("layers", layers) + 1):
        for choice in combinations(gels, count):
            together = stack(choice)
            result = start + together.mired_shift
            if result >= LOWEST_MIRED:
                found.append(GelMatch(choice, 1e6 / result, result - wanted, together.loss_stops))
    return tuple(sorted(found, key=lambda match: (round(abs(match.off_mired), 6), match.loss_stops)))


def closest_gel(
    source_k: float,
    target_k: float,
    gels: Sequence[GelSheet],
    *,
    layers: int = 1,
    good_enough_mired: float = 0.0,
) -> GelMatch:
    """The choice that brings a source nearest to a target colour temperature; it may be no gel at all.

    With ``good_enough_mired`` any choice that near will do, and the one that costs the least light is taken.
    Raises ValueError when no choice is physical.
    """
    matches = gel_matches(source_k, target_k, gels, layers=layers)
    near = float(at_least_zero("good_enough_mired", good_enough_mired))
    good = [match for match in matches if abs(match.off_mired) <= near]
    if good:
        return min(good, key=lambda match: (match.loss_stops, abs(match.off_mired)))
    return matches[0]


def ideal_transmittance(
    source_k: Numbers, target_k: Numbers, lowest_nm: float = 400, highest_nm: float = 700
) -> float:
    """The most light that a filter can pass which turns one black body exactly into another.

    The filter's spectral transmittance is the ratio of the two spectra, scaled to 1 at its highest between
    ``lowest_nm`` and ``highest_nm``. A sheet that claims more than half a stop more is to be doubted.
    Equation: ``integral S tau V / integral S V``.
    """
    seen = (above_zero("lowest_nm", lowest_nm) <= WAVELENGTH_NM) & (
        above_zero("highest_nm", highest_nm) >= WAVELENGTH_NM
    )
    source = planck_spectrum(above_zero("source_k", source_k))[..., seen]
    ratio = planck_spectrum(above_zero("target_k", target_k))[..., seen] / source
    ratio = ratio / ratio.max()
    return float(np.sum(source * ratio * V[seen]) / np.sum(source * V[seen]))
