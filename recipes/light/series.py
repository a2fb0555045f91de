"""What does an engraved number mean exactly?

Cameras count in whole, half or third stops from f/1, 1 s and ISO 100, and engrave rounded numbers. Keep the stop and
the series; the engraving is for people. f/13, f/1.2, 1/10 and 1/20 stand in the half and in the third series and mean
different exposures there.

Source: ISO 517 (apertures marked on the series ``2**(n/2)``), ISO 516 (times on ``2**n``), ISO 12232 (speeds).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import log2
from typing import Literal

__all__ = [
    "Mark",
    "Series",
    "nearest_aperture",
    "nearest_iso",
    "nearest_shutter",
    "parse_aperture",
    "parse_iso",
    "parse_shutter",
    "steps_between",
]

Series = Literal["full", "half", "third"]
_PER_STOP: dict[Series, int] = {"full": 1, "half": 2, "third": 3}

_FULL_APERTURES = "0.5 0.7 1 1.4 2 2.8 4 5.6 8 11 16 22 32 45 64 90 128".split()
_HALF_APERTURES = "0.6 0.85 1.2 1.7 2.4 3.3 4.8 6.7 9.5 13 19 27 38 54 76 108".split()
_THIRD_APERTURES = (
    "0.56 0.63 0.8 0.9 1.1 1.2 1.6 1.8 2.2 2.5 3.2 3.5 4.5 5 6.3 7.1 9 10 13 14 18 20 25 29 36 40 51 57 72 80 102 114"
).split()
_FULL_TIMES = (
    "1/32000 1/16000 1/8000 1/4000 1/2000 1/1000 1/500 1/250 1/125 1/60 1/30 1/15 1/8 1/4 1/2 1 2 4 8 15 30 60"
).split()
_HALF_TIMES = (
    "1/24000 1/12000 1/6000 1/3000 1/1500 1/750 1/350 1/180 1/90 1/45 1/20 1/10 1/6 0.3 0.7 1.5 3 6 10 20 45"
).split()
_THIRD_TIMES = (
    "1/25000 1/20000 1/13000 1/10000 1/6400 1/5000 1/3200 1/2500 1/1600 1/1250 1/800 1/640 1/400 1/320 1/200 1/160 "
    "1/100 1/80 1/50 1/40 1/25 1/20 1/13 1/10 1/6 1/5 0.3 0.4 0.6 0.8 1.3 1.6 2.5 3.2 5 6 10 13 20 25 40 50"
).split()
_FULL_SPEEDS = "6 12 25 50 100 200 400 800 1600 3200 6400 12800 25600 51200 102400 204800 409600".split()
_HALF_SPEEDS = "9 18 36 70 140 280 560 1100 2200 4500 9000 18000 36000 72000 144000 288000".split()
_THIRD_SPEEDS = (
    "8 10 16 20 32 40 64 80 125 160 250 320 500 640 1000 1250 2000 2500 4000 5000 8000 10000 16000 20000 "
    "32000 40000 64000 80000 128000 160000 256000 320000"
).split()


@dataclass(frozen=True)
class Mark:
    """One engraved number. ``index`` counts steps of the series from f/1, 1 s or ISO 100 upwards in the engraved
    quantity; ``value`` is exact: an f-number, seconds, or an ISO speed."""

    engraved: str
    index: int
    series: Series
    value: float


def parse_aperture(text: str, series: Series = "third") -> Mark:
    """An f-number of a series from "f/5.6", "F5.6" or "5.6". Raises ValueError naming the nearest marks."""
    cleaned = text.strip().lower().removeprefix("f").lstrip("/").strip()
    return _look_up(cleaned, _APERTURES[series], text, "f/", f"an aperture of the {series}-stop series")


def parse_shutter(text: str, series: Series = "third") -> Mark:
    """A shutter time of a series from "1/200", "0.6", "2 s" or '2"'. Raises ValueError naming the nearest marks."""
    cleaned = text.strip().lower().removesuffix("s").rstrip("\"' ").replace(" ", "")
    return _look_up(cleaned, _TIMES[series], text, "", f"a time of the {series}-stop series")


def parse_iso(text: str | int, series: Series = "third") -> Mark:
    """An ISO speed of a series from "400", 400 or "ISO 400". Raises ValueError naming the nearest marks."""
    cleaned = str(text).strip().lower().removeprefix("iso").strip()
    return _look_up(cleaned, _SPEEDS[series], str(text), "", f"an ISO speed of the {series}-stop series")


def nearest_aperture(f_number: float, series: Series = "third") -> Mark:
    """The mark nearest in stops to an exact f-number. Raises ValueError unless above 0."""
    return _nearest(f_number, _APERTURES[series])


def nearest_shutter(time_s: float, series: Series = "third") -> Mark:
    """The mark nearest in stops to an exact time in seconds. Raises ValueError unless above 0."""
    return _nearest(time_s, _TIMES[series])


def nearest_iso(speed: float, series: Series = "third") -> Mark:
    """The mark nearest in stops to an exact ISO speed. Raises ValueError unless above 0."""
    return _nearest(speed, _SPEEDS[series])


def steps_between(first: Mark, second: Mark) -> float:
    """Stops from the first mark to the second on their own scale: a factor of sqrt(2) in f-number, of 2 in time or
    speed. Positive towards larger engraved quantities (smaller openings, longer times, higher speeds)."""
    return second.index / _PER_STOP[second.series] - first.index / _PER_STOP[first.series]


def _table(marks: dict[int, str], series: Series, base: float, root: float) -> dict[str, Mark]:
    per_stop = _PER_STOP[series]
    return {
        engraved: Mark(engraved, index, series, base * root ** (index / per_stop))
        for index, engraved in sorted(marks.items())
    }


def _interleave(series: Series, full: list[str], between: list[str], first_full: int) -> dict[int, str]:
    """Index → engraving: the full stops at multiples of the step, the others between them in rising order."""
    per_stop = _PER_STOP[series]
    marks = {(first_full + n) * per_stop: text for n, text in enumerate(full)}
    if per_stop > 1:
        gaps = [i for i in range(first_full * per_stop, (first_full + len(full)) * per_stop) if i % per_stop]
        marks |= dict(zip(gaps, between, strict=False))
    return marks


_BETWEEN: dict[str, dict[Series, list[str]]] = {
    "aperture": {"full": [], "half": _HALF_APERTURES, "third": _THIRD_APERTURES},
    "time": {"full": [], "half": _HALF_TIMES, "third": _THIRD_TIMES},
    "speed": {"full": [], "half": _HALF_SPEEDS, "third": _THIRD_SPEEDS},
}
_APERTURES = {
    s: _table(_interleave(s, _FULL_APERTURES, _BETWEEN["aperture"][s], -2), s, 1.0, 2**0.5) for s in _PER_STOP
}
_TIMES = {s: _table(_interleave(s, _FULL_TIMES, _BETWEEN["time"][s], -15), s, 1.0, 2.0) for s in _PER_STOP}
_SPEEDS = {
    s: _table(_interleave(s, _FULL_SPEEDS, _BETWEEN["speed"][s], -4), s, 100.0, 2.0) for s in _PER_STOP
}


def _look_up(cleaned: str, table: dict[str, Mark], text: str, prefix: str, what: str) -> Mark:
    if cleaned in table:
        return table[cleaned]
    value = _number(cleaned)
    if value is None or value <= 0:
        example = f"{prefix}{list(table)[len(table) // 2]}"
        raise ValueError(f"{text!r} is not {what}; write it like {example}")
    same = [mark for mark in table.values() if abs((_number(mark.engraved) or 0) - value) < 1e-9]
    if same:
        return same[0]
    marks = list(table.values())
    below = [mark for mark in marks if (_number(mark.engraved) or 0) < value]
    above = [mark for mark in marks if (_number(mark.engraved) or 0) > value]
    near = " and ".join(f"{prefix}{m.engraved}" for m in (*below[-1:], *above[:1]))
    raise ValueError(f"{text!r} is not {what}; the nearest are {near}")


def _number(text: str) -> float | None:
    try:
        if "/" in text:
            over, under = text.split("/", 1)
            return float(over) / float(under)
        return float(text)
    except (ValueError, ZeroDivisionError):
        return None


def _nearest(value: float, table: dict[str, Mark]) -> Mark:
    if not 0 < value < float("inf"):
        raise ValueError(f"{value!r} has no nearest mark; give a number above 0")
    return min(table.values(), key=lambda mark: abs(log2(mark.value / value)))
