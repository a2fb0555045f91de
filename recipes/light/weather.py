"""What light do sun and sky give at a place and an hour, in this weather?

A clear sky: irradiance by Ineichen and Perez for a stated haze (Linke turbidity), times Perez's luminous efficacy. An
overcast or an even white sky: horizontal illuminance from the sun's elevation. Both are levels to expect, not
readings; a reading carried by the model's ratio (see `daylight`) is better than the level itself. Where two bins of
Perez's table meet, light steps: by under 0.1 stop in clean air (Linke 3), in other air the sun's by up to 0.26 and
the sky's by up to 0.16, and by more with the sun lower than five degrees. There a clear sky reads too dark as well.
Twilight is not modelled.

Sources: P. Ineichen, R. Perez, *Solar Energy* 73, 151-157, 2002, through pvlib; Perez 1990 (see `efficacy`); overcast
level of the IESNA *Lighting Handbook*, 8th edition, chapter on daylighting: ``0.3 + 21 sin(elevation)`` klx (the
figure read in public programs, not in the handbook itself).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

import numpy as np

from recipes.light.efficacy import SOLAR_CONSTANT_W_M2, daylight_efficacy
from recipes.light.sky import CLEAR, OVERCAST, UNIFORM, Sky
from recipes.light.sun import Site, SunPath, sun_path
from recipes.quantity import Array, Numbers, above_zero, part, within

__all__ = [
    "ClearSkyLight",
    "Weather",
    "clear_sky_light",
    "overcast_horizontal_lux",
    "sky_through",
    "sky_under",
]

Kind = Literal["clear", "overcast", "uniform"]

SKY_TYPE: dict[Kind, int] = {"clear": CLEAR, "overcast": OVERCAST, "uniform": UNIFORM}

INEICHEN_EXTRATERRESTRIAL_W_M2 = 1364.0


@dataclass(frozen=True)
class Weather:
    """The sky to reckon with.

    ``linke_turbidity``: 2 very clean and cold, 3 clean, 5 and more hazy summer air. ``ground_reflectance`` is the
    albedo outside. ``precipitable_water_cm`` moves the efficacy a little. ``sky_type`` overrides the distribution
    with another CIE type (13 for a clear sky over a city, for instance).
    """

    kind: Kind = "clear"
    linke_turbidity: float = 3.0
    ground_reflectance: float = 0.2
    precipitable_water_cm: float = 2.0
    sky_type: int | None = None

    def __post_init__(self) -> None:
        if self.kind not in SKY_TYPE:
            raise ValueError(f"the weather is {self.kind!r}; give one of {', '.join(SKY_TYPE)}.")
        within("linke_turbidity", self.linke_turbidity, 1, 12)
        part("ground_reflectance", self.ground_reflectance)
        above_zero("precipitable_water_cm", self.precipitable_water_cm)


@dataclass(frozen=True)
class ClearSkyLight:
    """Irradiance (W/m2) and illuminance (lux) under a clear sky; arrays of the inputs' shape, 0 without sun."""

    global_w_m2: Array
    diffuse_w_m2: Array
    direct_normal_w_m2: Array
    global_lux: Array
    diffuse_lux: Array
    direct_normal_lux: Array


def clear_sky_light(
    apparent_elevation_deg: Numbers,
    *,
    linke_turbidity: float = 3.0,
    altitude_m: float = 0.0,
    precipitable_water_cm: float = 2.0,
    eccentricity: Numbers = 1.0,
) -> ClearSkyLight:
    """Clear-sky irradiance and illuminance for the sun's apparent elevation.

    Parameters: elevation in degrees; altitude in m; ``eccentricity`` is the squared ratio of mean to actual
    distance of the sun, 0.967 to 1.033 through the year.
    Source: Ineichen and Perez 2002; Perez 1990.
    """
    from pvlib import atmosphere, clearsky

    elevation = within("apparent_elevation_deg", apparent_elevation_deg, -90, 90)
    turbidity = float(above_zero("linke_turbidity", linke_turbidity))
    height_m = float(within("altitude_m", altitude_m, -450, 9000))
    nearness = above_zero("eccentricity", eccentricity)
    zenith = 90 - elevation
    relative = atmosphere.get_relative_airmass(np.where(elevation > 0, zenith, np.nan), "kastenyoung1989")
    absolute = atmosphere.get_absolute_airmass(relative, atmosphere.alt2pres(height_m))
    # With the sun at or below the horizon the model divides by a cosine of 0, and then clips to 0 itself.
    with np.errstate(divide="ignore", invalid="ignore"):
        irradiance = clearsky.ineichen(
            zenith,
            absolute,
            turbidity,
            altitude=height_m,
            dni_extra=INEICHEN_EXTRATERRESTRIAL_W_M2 * nearness,
        )
    ghi, dhi, dni = (np.maximum(irradiance[key], 0.0) for key in ("ghi", "dhi", "dni"))
    efficacy = daylight_efficacy(
        zenith,
        dni,
        dhi,
        precipitable_water_cm=precipitable_water_cm,
        extraterrestrial_w_m2=SOLAR_CONSTANT_W_M2 * nearness,
    )
    return ClearSkyLight(
        global_w_m2=ghi,
        diffuse_w_m2=dhi,
        direct_normal_w_m2=dni,
        global_lux=ghi * efficacy.global_lm_w,
        diffuse_lux=dhi * efficacy.diffuse_lm_w,
        direct_normal_lux=dni * efficacy.direct_lm_w,
    )


def overcast_horizontal_lux(apparent_elevation_deg: Numbers) -> Array:
    """Horizontal illuminance under a closed cloud cover, in lux; 0 with the sun below the horizon.

    Equation: ``300 + 21000 sin(elevation)``. Source: see the module. Real covers lie a factor of two either way.
    """
    elevation = within("apparent_elevation_deg", apparent_elevation_deg, -90, 90)
    return np.where(elevation > 0, 300 + 21000 * np.sin(np.radians(elevation)), 0.0)


def sky_through(site: Site, instants: Sequence[datetime], weather: Weather) -> Sky:
    """The sky over a place at each instant."""
    return sky_under(sun_path(site, instants), weather, altitude_m=site.altitude_m)


def sky_under(sun: SunPath, weather: Weather, *, altitude_m: float = 0.0) -> Sky:
    """The sky that this weather makes under this sun."""
    elevation = sun.apparent_elevation_deg
    if weather.kind == "clear":
        light = clear_sky_light(
            elevation,
            linke_turbidity=weather.linke_turbidity,
            altitude_m=altitude_m,
            precipitable_water_cm=weather.precipitable_water_cm,
            eccentricity=_eccentricity(sun),
        )
        diffuse, direct = light.diffuse_lux, light.direct_normal_lux
    else:
        diffuse = overcast_horizontal_lux(elevation)
        direct = np.zeros_like(diffuse)
    return Sky(
        sky_type=weather.sky_type or SKY_TYPE[weather.kind],
        sun_direction=sun.direction,
        diffuse_horizontal_lux=diffuse,
        direct_normal_lux=direct,
        ground_reflectance=weather.ground_reflectance,
    )


def _eccentricity(sun: SunPath) -> Array:
    from pvlib.irradiance import get_extra_radiation

    extra = get_extra_radiation(sun.day_of_year, solar_constant=1.0, method="spencer")
    return np.asarray(extra, dtype=np.float64)
