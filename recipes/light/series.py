"""What does an engraved number mean exactly?

Cameras count in whole, half or third stops from f/1, 1 s and ISO 100, and engrave rounded numbers. Keep the stop and
the series; the engraving is for people. f/1.2, f/13, 1/20, 1/10, 1/6, 6 s, 10 s and 20 s stand in the half and in the
third series and mean different exposures there, a sixth of a stop apart.

Source: ISO 517 (apertures marked on the series ``2**(n/2)``), ISO 516 (times on ``2**n``), ISO 12232 (speeds). The
half- and third-stop engravings are common practice of camera makers.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from math import log2
from typing import Literal

__all__ = [
    "Mark",
    "Quantity",
    "Series",
    "marks",
    "nearest_aperture",
    "nearest_iso",
    "nearest_shutter",
    "parse_aperture",
    "parse_iso",
    "parse_shutter",
    "steps_between",
]

Series = Literal["full", "half", "third"]
Quantity = Literal["aperture", "shutter", "iso"]

_PER_STOP: dict[Series, int] = {"full": 1, "half": 2, "third": 3}

_ENGRAVED: dict[tuple[Quantity, Series], str] = {
    ("aperture", "full"): "0.5 0.7 1 1.4 2 2.8 4 5.6 8 11 16 22 32 45 64 90 128",
    ("aperture", "half"): (
        "0.5 0.6 0.7 0.85 1 1.2 1.4 1.7 2 2.4 2.8 3.3 4 4.8 5.6 6.7 8 9.5 11 13 16 19 22 27 32 38 45 54 "
        "64 76 90 108 128"
    ),
    ("aperture", "third"): (
        "0.5 0.56 0.63 0.7 0.8 0.9 1 1.1 1.2 1.4 1.6 1.8 2 2.2 2.5 2.8 3.2 3.5 4 4.5 5 5.6 6.3 7.1 8 9 "
        "10 11 13 14 16 18 20 22 25 29 32 36 40 45 51 57 64 72 80 90 102 114 128"
    ),
    ("shutter", "full"): (
        "1/32000 1/16000 1/8000 1/4000 1/2000 1/1000 1/500 1/250 1/125 1/60 1/30 1/15 1/8 1/4 1/2 1 2 4 "
        "8 15 30 60"
    ),
    ("shutter", "half"): (
        "1/32000 1/24000 1/16000 1/12000 1/8000 1/6000 1/4000 1/3000 1/2000 1/1500 1/1000 1/750 1/500 "
        "1/350 1/250 1/180 1/125 1/90 1/60 1/45 1/30 1/20 1/15 1/10 1/8 1/6 1/4 1/3 1/2 0.7 1 1.5 2 3 4 "
        "6 8 10 15 20 30 45 60"
    ),
    ("shutter", "third"): (
        "1/32000 1/25000 1/20000 1/16000 1/13000 1/10000 1/8000 1/6400 1/5000 1/4000 1/3200 1/2500 "
        "1/2000 1/1600 1/1250 1/1000 1/800 1/640 1/500 1/400 1/320 1/250 1/200 1/160 1/125 1/100 1/80 "
        "1/60 1/50 1/40 1/30 1/25 1/20 1/15 1/13 1/10 1/8 1/6 1/5 1/4 0.3 0.4 1/2 0.6 0.8 1 1.3 1.6 2 "
        "2.5 3.2 4 5 6 8 10 13 15 20 25 30 40 50 60"
    ),
    ("iso", "full"): "6 12 25 50 100 200 400 800 1600 3200 6400 12800 25600 51200 102400 204800 409600",
    ("iso", "half"): (
        "6 9 12 18 25 36 50 70 100 140 200 280 400 560 800 1100 1600 2200 3200 4500 6400 9000 12800 "
        "18000 25600 36000 51200 72000 102400 144000 204800 288000 409600"
    ),
    ("iso", "third"): (
        "6 8 10 12 16 20 25 32 40 50 64 80 100 125 160 200 250 320 400 500 640 800 1000 1250 1600 2000 "
        "2500 3200 4000 5000 6400 8000 10000 12800 16000 20000 25600 32000 40000 51200 64000 80000 "
        "102400 128000 160000 204800 256000 320000 409600"
    ),
}


@dataclass(frozen=True)
class Mark:
    """One engraved number.

    ``index`` counts steps of the series from f/1, 1 s or ISO 100 upwards in the engraved quantity; ``value`` is exact:
    an f-number, seconds, or an ISO speed.
    """

    engraved: str
    index: int
    series: Series
    value: float
    quantity: Quantity

    @property
    def label(self) -> str:
        """As people write it: f/5.6, 1/200 s, ISO 400."""
        return {
            "aperture": f"f/{self.engraved}",
            "shutter": f"{self.engraved} s",
            "iso": f"ISO {self.engraved}",
        }[self.quantity]

    @property
    def stops(self) -> float:
        """Stops from f/1, 1 s or ISO 100, upwards in the engraved quantity."""
        return self.index / _PER_STOP[self.series]

    @property
    def engraving_error_stops(self) -> float:
        """What reckoning with the engraved number would add to the exact value, in stops of the same quantity.

        Positive: the engraved number is the larger one.
        """
        factor = 2.0 if self.quantity == "aperture" else 1.0
        return factor * log2(_number(self.engraved) / self.value)

    def moved(self, steps: int) -> Mark:
        """The mark so many steps of its series up (negative: down). Raises ValueError past the ends of the series."""
        table = _TABLES[self.quantity, self.series]
        at = self.index - table[0].index + steps
        if not 0 <= at < len(table):
            raise ValueError(
                f"{self.label} moved by {steps:+d} leaves the {self.series}-stop series, which runs from "
                f"{table[0].label} to {table[-1].label}."
            )
        return table[at]


def marks(quantity: Quantity, series: Series = "third") -> tuple[Mark, ...]:
    """Every mark of a series, the smallest number first."""
    return _TABLES[quantity, series]


def parse_aperture(text: str, series: Series = "third") -> Mark:
    """An f-number of a series from "f/5.6", "F5.6" or "5.6". Raises ValueError naming the nearest marks."""
    cleaned = text.strip().lower().removeprefix("f").lstrip("/").strip()
    return _look_up(cleaned, text, "aperture", series)


def parse_shutter(text: str, series: Series = "third") -> Mark:
    """A shutter time of a series from "1/200", "0.6", "2 s" or '2"'. Raises ValueError naming the nearest marks."""
    cleaned = text.strip().lower().removesuffix("s").rstrip("\"' ").replace(" ", "")
    return _look_up(cleaned, text, "shutter", series)


def parse_iso(text: str | int, series: Series = "third") -> Mark:
    """An ISO speed of a series from "400", 400 or "ISO 400". Raises ValueError naming the nearest marks."""
    cleaned = str(text).strip().lower().removeprefix("iso").strip()
    return _look_up(cleaned, str(text), "iso", series)


def nearest_aperture(f_number: float, series: Series = "third") -> Mark:
    """The mark nearest in stops to an exact f-number. Raises ValueError unless above 0."""
    return _nearest(f_number, "aperture", series)


def nearest_shutter(time_s: float, series: Series = "third") -> Mark:
    """The mark nearest in stops to an exact time in seconds. Raises ValueError unless above 0."""
    return _nearest(time_s, "shutter", series)


def nearest_iso(speed: float, series: Series = "third") -> Mark:
    """The mark nearest in stops to an exact ISO speed. Raises ValueError unless above 0."""
    return _nearest(speed, "iso", series)


def steps_between(first: Mark, second: Mark) -> float:
    """Stops from the first mark to the second on their own scale: a factor of sqrt(2) in f-number, of 2 in time or
    speed. Positive towards larger engraved quantities (smaller openings, longer times, higher speeds)."""
    return second.stops - first.stops


_NAMES: dict[Quantity, str] = {"aperture": "an aperture", "shutter": "a time", "iso": "an ISO speed"}
_EXAMPLES: dict[Quantity, str] = {"aperture": "f/5.6", "shutter": "1/125", "iso": "400"}


def _look_up(cleaned: str, text: str, quantity: Quantity, series: Series) -> Mark:
    what = f"{_NAMES[quantity]} of the {series}-stop series"
    try:
        value = _number(cleaned)
    except (ValueError, ZeroDivisionError):
        value = 0.0
    if not 0 < value < float("inf"):
        raise ValueError(f"{text!r} is not {what}; write it like {_EXAMPLES[quantity]}")
    table = _TABLES[quantity, series]
    numbers = _NUMBERS[quantity, series]
    at = bisect_left(numbers, value * (1 - 1e-9))
    if at < len(table) and abs(numbers[at] / value - 1.0) < 1e-9:
        return table[at]
    beside = [
        mark.label if quantity == "aperture" else mark.engraved for mark in table[max(at - 1, 0) : at + 1]
    ]
    near = f"the nearest {'are' if len(beside) == 2 else 'is'} {' and '.join(beside)}"
    raise ValueError(f"{text!r} is not {what}; {near}{_elsewhere(value, quantity, series)}")


def _elsewhere(value: float, quantity: Quantity, series: Series) -> str:
    """Where the number does stand, when it belongs to another series."""
    for other in _PER_STOP:
        if other != series and any(
            abs(_number(mark.engraved) / value - 1.0) < 1e-9 for mark in _TABLES[quantity, other]
        ):
            return f" (it stands in the {other}-stop series)"
    return ""


def _number(text: str) -> float:
    over, _, under = text.partition("/")
    return float(over) / float(under or 1)


def _nearest(value: float, quantity: Quantity, series: Series) -> Mark:
    if not 0 < value < float("inf"):
        raise ValueError(f"{value!r} has no nearest mark; give a number above 0")
    return min(_TABLES[quantity, series], key=lambda mark: abs(log2(mark.value / value)))


def _table(quantity: Quantity, series: Series, engraved: str) -> tuple[Mark, ...]:
    texts = engraved.split()
    zero = texts.index("100" if quantity == "iso" else "1")
    unit = 100.0 if quantity == "iso" else 1.0
    stops_a_doubling = 2 if quantity == "aperture" else 1
    return tuple(
        Mark(
            text,
            place - zero,
            series,
            float(unit * 2.0 ** ((place - zero) / _PER_STOP[series] / stops_a_doubling)),
            quantity,
        )
        for place, text in enumerate(texts)
    )


_TABLES = {key: _table(*key, engraved) for key, engraved in _ENGRAVED.items()}
_NUMBERS = {key: [_number(mark.engraved) for mark in table] for key, table in _TABLES.items()}
