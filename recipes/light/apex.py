"""How do exposure values, camera settings and meter readings relate?

Additive values of the APEX system, in stops: ``Av + Tv = Ev = Bv + Sv``. A meter is two constants, C for what
falls on it and K for what it looks at, and they belong to the meter: a dome reads about 0.4 stop from a flat
receptor. Readings in stops of the same meter cancel them; figures in lux do not.

The constant tells a dome from a flat receptor for light from straight ahead only. A dome also sees what comes from
aside (`recipes.light.dome`): of a lamp 60 degrees off it shows 0.6 stop more.

Source: ASA PH2.5-1960 (APEX), ISO 2720:1974 (meters), ISO 10157:1991 (flash meters).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from recipes.quantity import N, Numbers, above_zero, at_least_zero, finite, plain

__all__ = [
    "C_DOME_RANGE",
    "C_FLAT_RANGE",
    "K_RANGE",
    "Exposure",
    "MeterProfile",
    "Receptor",
    "aperture_value",
    "ev100",
    "f_number",
    "iso_speed",
    "speed_value",
    "time_s",
    "time_value",
]

K_RANGE = (10.6, 13.4)
"""ISO 2720:1974, reflected-light constant K in cd·s·ISO/m²."""

C_FLAT_RANGE = (240.0, 400.0)
"""ISO 2720:1974, incident-light constant C in lx·s·ISO for a flat (cosine) receptor."""

C_DOME_RANGE = (320.0, 540.0)
"""ISO 2720:1974, the same for a hemispherical receptor."""

Receptor = Literal["flat", "dome"]
"""A flat receptor answers with the cosine of the angle, a dome with ``(1 + cos) / 2``."""


def aperture_value(f_number: N) -> N:
    """Av of an f-number: ``2 log2 N``."""
    return plain(2.0 * np.log2(above_zero("f_number", f_number)))


def f_number(aperture_value: N) -> N:
    """The exact f-number of an Av: ``2 ** (Av / 2)``."""
    return plain(np.exp2(finite("aperture_value", aperture_value) / 2.0))


def time_value(time_s: N) -> N:
    """Tv of a shutter time in s: ``-log2 t``."""
    return plain(0.0 - np.log2(above_zero("time_s", time_s)))


def time_s(time_value: N) -> N:
    """The exact shutter time of a Tv, in s: ``2 ** -Tv``."""
    return plain(np.exp2(-finite("time_value", time_value)))


def speed_value(iso: N) -> N:
    """Sv of an ISO speed: ``log2(S / 3.125)``, so that ISO 100 is 5."""
    return plain(np.log2(above_zero("iso", iso) / 3.125))


def iso_speed(speed_value: N) -> N:
    """The exact ISO speed of an Sv."""
    return plain(3.125 * np.exp2(finite("speed_value", speed_value)))


def ev100(f_number: N, time_s: N, iso: N = 100.0) -> N:
    """Exposure value at ISO 100 of a setting: ``log2(N² / t) - log2(S / 100)``."""
    return plain(
        2.0 * np.log2(above_zero("f_number", f_number))
        - np.log2(above_zero("time_s", time_s))
        - np.log2(above_zero("iso", iso) / 100.0)
    )


@dataclass(frozen=True)
class Exposure:
    """A camera setting in exact values; ``nd_stops`` on the lens dims ambient and flash alike.

    Each field is a number or an array; arrays broadcast against each other.
    """

    f_number: Numbers
    time_s: Numbers
    iso: Numbers
    nd_stops: Numbers = 0.0

    def __post_init__(self) -> None:
        above_zero("f_number", self.f_number)
        above_zero("time_s", self.time_s)
        above_zero("iso", self.iso)
        at_least_zero("nd_stops", self.nd_stops)

    @property
    def ev100(self) -> Numbers:
        """Exposure value at ISO 100 of aperture, time and speed; the filter is not in it."""
        return ev100(self.f_number, self.time_s, self.iso)

    @property
    def gain(self) -> Numbers:
        """``S · 2^-nd / N²``: what a lux-second is multiplied with before it is held against C or K."""
        return plain(
            np.asarray(self.iso) * np.exp2(-np.asarray(self.nd_stops)) / np.asarray(self.f_number) ** 2
        )


@dataclass(frozen=True)
class MeterProfile:
    """The constants of a meter, or of the studio that trusts it.

    ``c_incident`` in lx·s·ISO, ``k_reflected`` in cd·s·ISO/m². `beyond_iso_2720` says when one lies outside the
    standard's range; that is not refused, since meters with K = 14 are in use.
    """

    c_incident: float = 250.0
    k_reflected: float = 12.5
    receptor: Receptor = "flat"

    def __post_init__(self) -> None:
        above_zero("c_incident", self.c_incident)
        above_zero("k_reflected", self.k_reflected)
        if self.receptor not in ("flat", "dome"):
            raise ValueError(f"receptor is {self.receptor!r}; give 'flat' or 'dome'.")

    @property
    def beyond_iso_2720(self) -> tuple[str, ...]:
        """A sentence for each constant outside the range of ISO 2720:1974; empty when both lie inside."""
        low_c, high_c = C_FLAT_RANGE if self.receptor == "flat" else C_DOME_RANGE
        low_k, high_k = K_RANGE
        found = []
        if not low_c <= self.c_incident <= high_c:
            found.append(
                f"C {self.c_incident:g} lies outside {low_c:g} to {high_c:g}, the range of ISO 2720 for a "
                f"{self.receptor} receptor; check the meter's sheet."
            )
        if not low_k <= self.k_reflected <= high_k:
            found.append(
                f"K {self.k_reflected:g} lies outside {low_k:g} to {high_k:g}, the range of ISO 2720; check the "
                "meter's sheet."
            )
        return tuple(found)

    @property
    def implied_reflectance(self) -> float:
        """The reflectance of the matt surface on which both readings agree: ``pi K / C``. It is not 18 %."""
        return float(np.pi * self.k_reflected / self.c_incident)

    def lux(self, ev100: N) -> N:
        """Illuminance of an incident reading, in lux: ``C / 100 · 2^EV``."""
        return plain(self.c_incident / 100.0 * np.exp2(finite("ev100", ev100)))

    def ev100_of_lux(self, illuminance_lux: N) -> N:
        """Incident reading of an illuminance, as EV at ISO 100."""
        return plain(np.log2(above_zero("illuminance_lux", illuminance_lux) * 100.0 / self.c_incident))

    def cd_m2(self, ev100: N) -> N:
        """Luminance of a spot reading, in cd/m²: ``K / 100 · 2^EV``."""
        return plain(self.k_reflected / 100.0 * np.exp2(finite("ev100", ev100)))

    def ev100_of_cd_m2(self, luminance_cd_m2: N) -> N:
        """Spot reading of a luminance, as EV at ISO 100."""
        return plain(np.log2(above_zero("luminance_cd_m2", luminance_cd_m2) * 100.0 / self.k_reflected))

    def lux_of_triple(self, f_number: N, time_s: N, iso: N) -> N:
        """Illuminance that an incident reading of aperture, time and ISO states, in lux: ``C N² / (S t)``."""
        return self.lux(ev100(f_number, time_s, iso))

    def cd_m2_of_triple(self, f_number: N, time_s: N, iso: N) -> N:
        """Luminance that a spot reading of aperture, time and ISO states, in cd/m²: ``K N² / (S t)``."""
        return self.cd_m2(ev100(f_number, time_s, iso))

    def lxs_of_flash(self, f_number: N, iso: N = 100.0) -> N:
        """Exposure that a flash reading states, in lx·s: ``C N² / S``."""
        return plain(self.c_incident * above_zero("f_number", f_number) ** 2 / above_zero("iso", iso))

    def flash_f_number(self, exposure_lxs: N, iso: N = 100.0) -> N:
        """Exact f-number a flash meter shows for an exposure in lx·s: ``sqrt(H S / C)``."""
        return plain(
            np.sqrt(above_zero("exposure_lxs", exposure_lxs) * above_zero("iso", iso) / self.c_incident)
        )
