"""Where is the sun, and when does it rise and set?

The solar position algorithm of NREL (SPA), as pvlib computes it. Times are instants: an aware `datetime` of any zone
is taken for what it is, so a day on which the clocks change is a day like another. Two elevations come back: the
true one, and the apparent one that refraction lifts (by half a degree at the horizon, 0.16 degrees at 5). Sun
patches and light follow the apparent one.

Source: I. Reda, A. Andreas, *Solar Position Algorithm for Solar Radiation Applications*, NREL/TP-560-34302.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta, tzinfo

import numpy as np
from numpy.typing import NDArray

from recipes.quantity import Array, finite, within

__all__ = ["Site", "SunPath", "SunTimes", "instants_through", "sun_path", "sun_times", "unix_seconds"]

REFRACTION_AT_HORIZON_DEG = 0.5667
YEARLY_MEAN_TEMPERATURE_C = 12.0
UPPER_EDGE_DEG = -0.8333 - 8.794 / 3600
"""True elevation of the centre when the upper edge is seen on the horizon: refraction and the sun's radius, which the
source counts from the earth's centre, less the parallax of a place on the ground."""


@dataclass(frozen=True)
class Site:
    """A place on earth: degrees north and east (south and west negative), metres above the sea.

    Raises ValueError when a coordinate is not on the globe.
    """

    latitude_deg: float
    longitude_deg: float
    altitude_m: float = 0.0

    def __post_init__(self) -> None:
        within("latitude_deg", self.latitude_deg, -90, 90)
        within("longitude_deg", self.longitude_deg, -180, 180)
        within("altitude_m", self.altitude_m, -450, 9000)

    @property
    def pressure_hpa(self) -> float:
        """The standard atmosphere's pressure at this altitude."""
        from pvlib.atmosphere import alt2pres

        return float(alt2pres(self.altitude_m)) / 100


@dataclass(frozen=True)
class SunPath:
    """The sun at one or many instants; every array has one entry an instant.

    ``elevation_deg`` is the true elevation, ``apparent_elevation_deg`` the one with refraction;
    ``azimuth_deg`` is counted from north, clockwise. Near the zenith the azimuth is ill-conditioned.
    Pressure and temperature are those that made the refraction.
    """

    instants: tuple[datetime, ...]
    elevation_deg: Array
    apparent_elevation_deg: Array
    azimuth_deg: Array
    pressure_hpa: float
    temperature_c: float

    @property
    def direction(self) -> Array:
        """Unit vectors towards the apparent sun, (instants, 3): east, north, up."""
        return _towards(self.apparent_elevation_deg, self.azimuth_deg)

    def some(self, first: int, last: int) -> SunPath:
        """The instants from ``first`` up to, without, ``last``."""
        these = slice(first, last)
        return replace(
            self,
            instants=self.instants[these],
            elevation_deg=self.elevation_deg[these],
            apparent_elevation_deg=self.apparent_elevation_deg[these],
            azimuth_deg=self.azimuth_deg[these],
        )

    def between(self, instants: Sequence[datetime]) -> SunPath:
        """The sun at other instants, inside the span of its own, which must ascend and be four at least.

        The true direction runs as a cubic through the four nearest instants; refraction comes on top. With ten minutes
        between them it is good to a thousandth of a degree, and a hundred times as quick as the algorithm itself.
        """
        from pvlib import spa

        own, wanted = unix_seconds(self.instants), unix_seconds(instants)
        first = np.clip(np.searchsorted(own, wanted) - 2, 0, len(own) - 4)
        four = first[:, None] + np.arange(4)
        away = wanted[:, None] - own[four]
        apart = own[four][:, :, None] - own[four][:, None, :]
        weights = np.stack(
            [np.prod(np.delete(away, n, 1) / np.delete(apart[:, n], n, 1), axis=1) for n in range(4)], axis=1
        )
        east, north, up = np.einsum(
            "nk,nki->in", weights, _towards(self.elevation_deg, self.azimuth_deg)[four]
        )
        true = np.degrees(np.arctan2(up, np.hypot(east, north)))
        lifted = spa.atmospheric_refraction_correction(
            self.pressure_hpa, self.temperature_c, true, REFRACTION_AT_HORIZON_DEG
        )
        return replace(
            self,
            instants=tuple(instants),
            elevation_deg=true,
            apparent_elevation_deg=true + lifted,
            azimuth_deg=np.degrees(np.arctan2(east, north)) % 360.0,
        )

    @property
    def day_of_year(self) -> NDArray[np.int64]:
        """1 for the first of January, counted in UTC."""
        return np.array([at.astimezone(UTC).timetuple().tm_yday for at in self.instants], dtype=np.int64)


@dataclass(frozen=True)
class SunTimes:
    """Rise and set within one local day, in that day's zone; None where there is none.

    With both None the sun stays up all day (``up_all_day``) or below the horizon all day. ``noon`` is the transit.
    """

    rise: datetime | None
    set: datetime | None
    noon: datetime
    up_all_day: bool


def instants_through(start: datetime, end: datetime, step_s: float = 300.0) -> tuple[datetime, ...]:
    """Instants from ``start`` up to, and never past, ``end``, ``step_s`` seconds apart, in UTC.

    Raises ValueError when an instant has no zone, the step is not above 0 or the end lies before the start.
    """
    first, last = unix_seconds([start, end])
    if last < first:
        raise ValueError(
            f"the end, {end.isoformat()}, lies before the start, {start.isoformat()}; swap them."
        )
    if not step_s > 0:
        raise ValueError(f"step_s is {step_s:g}; give a number of seconds above 0.")
    steps = int((last - first) // step_s)
    begin = start.astimezone(UTC)
    return tuple(begin + timedelta(seconds=step_s * i) for i in range(steps + 1))


def unix_seconds(instants: Sequence[datetime]) -> Array:
    """Seconds since 1970-01-01 00:00 UTC. Raises ValueError for a time without a zone."""
    for at in instants:
        if at.utcoffset() is None:
            raise ValueError(
                f"{at.isoformat()} has no time zone; give an aware time, such as {at.isoformat()}+00:00 for UTC."
            )
    return np.array([at.timestamp() for at in instants], dtype=np.float64)


def sun_path(
    site: Site,
    instants: Sequence[datetime],
    *,
    pressure_hpa: float | None = None,
    temperature_c: float = YEARLY_MEAN_TEMPERATURE_C,
    delta_t_s: float | None = None,
) -> SunPath:
    """The sun's elevation and azimuth at each instant, in degrees.

    Parameters: ``instants`` are aware times. Pressure (hPa) and temperature (deg C) only move the refraction;
    pressure follows from the altitude when left out. ``delta_t_s`` is the difference between terrestrial and
    universal time; when left out it is estimated for the month.
    Raises ValueError for times without a zone.
    Source: NREL/TP-560-34302 through pvlib.
    """
    seconds = unix_seconds(instants)
    pressure = site.pressure_hpa if pressure_hpa is None else float(finite("pressure_hpa", pressure_hpa))
    temperature = float(finite("temperature_c", temperature_c))
    true, apparent, azimuth = _position(site, seconds, pressure, temperature, delta_t_s)
    return SunPath(tuple(instants), true, apparent, azimuth, pressure, temperature)


def sun_times(site: Site, day: date, zone: tzinfo, *, delta_t_s: float | None = None) -> SunTimes:
    """When the sun's upper edge rises and sets on a local day (from midnight to midnight in ``zone``).

    The first rise and the last set of the day. At polar day and polar night both are None; on the first and last
    days of such a period one of them may be missing, or the set come before the rise, shortly after midnight.
    Source: NREL/TP-560-34302, A.2 (upper edge at -0.8333 degrees), by bisection.
    """
    from pvlib import spa

    first, last = unix_seconds(
        [datetime.combine(day, time(), zone), datetime.combine(day + timedelta(days=1), time(), zone)]
    )
    utc_midnights = np.array(
        [datetime.combine(day + timedelta(days=n), time(), UTC).timestamp() for n in (-1, 0, 1)],
        dtype=np.float64,
    )
    delta_t = _delta_t_s(utc_midnights) if delta_t_s is None else delta_t_s
    noons, _, _ = spa.transit_sunrise_sunset(
        utc_midnights, site.latitude_deg, site.longitude_deg, delta_t, numthreads=1
    )

    def above(seconds: Array) -> NDArray[np.bool_]:
        true, _, _ = _position(site, seconds, site.pressure_hpa, YEARLY_MEAN_TEMPERATURE_C, delta_t)
        return np.asarray(true > UPPER_EDGE_DEG, dtype=np.bool_)

    # With its highest and lowest points among them, no visit of the sun falls between two samples.
    marks = np.concatenate([np.linspace(first, last, 49), noons, noons - 43_200])
    samples = np.unique(np.clip(marks, first, last))
    up = above(samples)
    changes = np.flatnonzero(up[1:] != up[:-1])
    before, after = samples[changes], samples[changes + 1]
    for _ in range(16):
        middle = (before + after) / 2
        same = above(middle) == up[changes]
        before, after = np.where(same, middle, before), np.where(same, after, middle)
    edges = [datetime.fromtimestamp(float(at), zone) for at in (before + after) / 2]
    rises = [at for at, was_up in zip(edges, up[changes], strict=True) if not was_up]
    sets = [at for at, was_up in zip(edges, up[changes], strict=True) if was_up]
    noon = float(noons[np.argmin(np.abs(noons - (first + last) / 2))])
    return SunTimes(
        rise=rises[0] if rises else None,
        set=sets[-1] if sets else None,
        noon=datetime.fromtimestamp(noon, zone),
        up_all_day=bool(up.all()),
    )


def _towards(elevation_deg: Array, azimuth_deg: Array) -> Array:
    elevation, azimuth = np.radians(elevation_deg), np.radians(azimuth_deg)
    level = np.cos(elevation)
    return np.stack([level * np.sin(azimuth), level * np.cos(azimuth), np.sin(elevation)], axis=1)


def _position(
    site: Site, seconds: Array, pressure_hpa: float, temperature_c: float, delta_t_s: float | None
) -> tuple[Array, Array, Array]:
    """True elevation, apparent elevation and azimuth in degrees."""
    from pvlib import spa

    _, _, apparent, true, azimuth, _ = spa.solar_position(
        seconds,
        site.latitude_deg,
        site.longitude_deg,
        site.altitude_m,
        pressure_hpa,
        temperature_c,
        _delta_t_s(seconds) if delta_t_s is None else delta_t_s,
        REFRACTION_AT_HORIZON_DEG,
        numthreads=1,
    )
    return (
        np.asarray(true, dtype=np.float64),
        np.asarray(apparent, dtype=np.float64),
        np.asarray(azimuth, dtype=np.float64),
    )


def _delta_t_s(seconds: Array) -> float:
    """Terrestrial minus universal time; it moves by less than a second a year."""
    from pvlib import spa

    if seconds.size == 0:
        return 0.0
    middle = datetime.fromtimestamp(float(seconds.mean()), UTC)
    return float(spa.calculate_deltat(middle.year, middle.month))
