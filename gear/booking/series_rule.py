"""On which days does something repeat?

Expansion is python-dateutil's (RFC 5545, 3.3.10). What it lacks is here: what becomes of a day that a month or a year
does not have (RFC 7529, 4.1: SKIP). OMIT leaves it out, BACKWARD takes the last day before it, FORWARD the first after
it. Days only: at what time on the wall, and which instant that is, `series_times` says. Pure.
"""

from __future__ import annotations

import calendar
import itertools
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Literal, get_args

from dateutil.rrule import DAILY, FR, MO, MONTHLY, SA, SU, TH, TU, WE, WEEKLY, YEARLY, rrule, weekday
from icalendar import vRecur

from gear.errors import FieldProblem, Invalid

__all__ = ["MOST_COUNTED", "WEEKDAYS", "Each", "MonthlyOn", "Rule", "Skip", "days", "in_words", "rrule_text"]

Each = Literal["day", "week", "month", "year"]
MonthlyOn = Literal["day", "weekday", "last-weekday"]
Skip = Literal["omit", "backward", "forward"]

WEEKDAYS = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
MOST_COUNTED = 600

_FREQUENCY = {"day": DAILY, "week": WEEKLY, "month": MONTHLY, "year": YEARLY}
_NAMES = {"day": "DAILY", "week": "WEEKLY", "month": "MONTHLY", "year": "YEARLY"}
_DATEUTIL = dict(zip(WEEKDAYS, (MO, TU, WE, TH, FR, SA, SU), strict=True))
_ORDINALS = ("", "first", "second", "third", "fourth")


@dataclass(frozen=True)
class Rule:
    """Every so many days, weeks, months or years.

    ``weekdays`` counts for weeks (empty: that of the first day), ``monthly_on`` for months, ``skip`` for months by
    their day and for years. ``count`` counts the first; ``until`` is a day, itself included; with neither it has no
    end. Raises `Invalid`.
    """

    each: Each
    interval: int = 1
    weekdays: tuple[str, ...] = ()
    monthly_on: MonthlyOn = "day"
    skip: Skip = "omit"
    count: int | None = None
    until: date | None = None

    def __post_init__(self) -> None:
        for where, value, allowed in (
            ("each", self.each, get_args(Each)),
            ("monthly_on", self.monthly_on, get_args(MonthlyOn)),
            ("skip", self.skip, get_args(Skip)),
        ):
            if value not in allowed:
                _refuse(where, f"one of {', '.join(allowed)}", f"{value!r} is no way to repeat.")
        if not 1 <= self.interval <= 99:
            _refuse("interval", "1 to 99", f"Every {self.interval} is no step. Give a number from 1 to 99.")
        if self.count is not None and not 1 <= self.count <= MOST_COUNTED:
            _refuse(
                "count", f"1 to {MOST_COUNTED}", f"It can happen 1 to {MOST_COUNTED} times, not {self.count}."
            )
        if self.count is not None and self.until is not None:
            _refuse(
                "until", "a last day or a number of times, not both", "Give a number of times or a last day."
            )
        strange = [day for day in self.weekdays if day not in WEEKDAYS]
        if strange:
            _refuse("weekdays", f"some of {', '.join(WEEKDAYS)}", f"{strange[0]!r} is no day of the week.")

    @property
    def endless(self) -> bool:
        """Whether it goes on until somebody ends it."""
        return self.count is None and self.until is None

    def ending(self, until: date) -> Rule:
        """The same with this last day."""
        return replace(self, count=None, until=until)


def days(rule: Rule, first: date) -> Iterator[date]:
    """The days of the rule from ``first`` on, in order; ``first`` is one of them. Raises `Invalid` when it cannot be.

    An endless rule yields without end; take what is needed.
    """
    if rule.each == "week" and rule.weekdays and WEEKDAYS[first.weekday()] not in rule.weekdays:
        _refuse(
            "weekdays",
            f"{first:%A} among them, or another first day",
            f"The first is on a {first:%A}, which is not among the days chosen. "
            f"Choose it too, or start on another day.",
        )
    found: Iterator[date] = _moved(rule, first) if _can_miss(rule, first) else _plain(rule, first)
    if rule.until is not None:
        until = rule.until
        found = itertools.takewhile(lambda day: day <= until, found)
    return itertools.islice(found, rule.count)


def rrule_text(rule: Rule, first: date) -> str:
    """The rule as the value of an RRULE (RFC 5545, 3.3.10; with RSCALE and SKIP of RFC 7529 where it matters)."""
    parts: dict[str, object] = {"FREQ": _NAMES[rule.each]}
    if rule.interval > 1:
        parts["INTERVAL"] = rule.interval
    if rule.count is not None:
        parts["COUNT"] = rule.count
    if rule.until is not None:
        parts["UNTIL"] = rule.until
    if rule.each == "week" and rule.weekdays:
        parts["BYDAY"] = [day for day in WEEKDAYS if day in rule.weekdays]
    if rule.each == "month" and rule.monthly_on != "day":
        parts["BYDAY"] = f"{_nth(rule, first)}{WEEKDAYS[first.weekday()]}"
    if _can_miss(rule, first) and rule.skip != "omit":
        parts |= {"RSCALE": "GREGORIAN", "SKIP": rule.skip.upper()}
    return vRecur(parts).to_ical().decode()


def in_words(rule: Rule, first: date) -> str:
    """The rule for people: ``every 2 weeks on Tuesday and Friday, 10 times``."""
    every = f"every {rule.each}" if rule.interval == 1 else f"every {rule.interval} {rule.each}s"
    on = ""
    if rule.each == "week":
        chosen = rule.weekdays or (WEEKDAYS[first.weekday()],)
        names = [calendar.day_name[index] for index, day in enumerate(WEEKDAYS) if day in chosen]
        on = " on " + " and ".join(", ".join(names).rsplit(", ", 1))
    elif rule.each == "month" and rule.monthly_on == "day":
        on = f" on day {first.day}{_skip_in_words(rule, first)}"
    elif rule.each == "month":
        which = "last" if _nth(rule, first) == -1 else _ORDINALS[_nth(rule, first)]
        on = f" on the {which} {first:%A}"
    elif rule.each == "year":
        on = f" on {first.day} {first:%B}{_skip_in_words(rule, first)}"
    if rule.count is not None:
        end = "once" if rule.count == 1 else f"{rule.count} times"
    elif rule.until is not None:
        end = f"until {rule.until.day} {rule.until:%b %Y}"
    else:
        end = "without end"
    return f"{every}{on}, {end}"


def _skip_in_words(rule: Rule, first: date) -> str:
    if not _can_miss(rule, first):
        return ""
    short = "a shorter month" if rule.each == "month" else "a year without it"
    return {
        "omit": f" ({short} is left out)",
        "backward": f" (in {short} the last day before it)",
        "forward": f" (in {short} the first day after it)",
    }[rule.skip]


def _can_miss(rule: Rule, first: date) -> bool:
    """Whether some month or year does not have the day."""
    by_day = rule.each == "month" and rule.monthly_on == "day" and first.day > 28
    return by_day or (rule.each == "year" and (first.month, first.day) == (2, 29))


def _plain(rule: Rule, first: date) -> Iterator[date]:
    by: dict[str, object] = {}
    if rule.each == "week" and rule.weekdays:
        by["byweekday"] = [_DATEUTIL[day] for day in rule.weekdays]
    if rule.each == "month" and rule.monthly_on != "day":
        by["byweekday"] = weekday(first.weekday(), _nth(rule, first))
    for at in rrule(_FREQUENCY[rule.each], _midnight(first), interval=rule.interval, wkst=MO, **by):
        yield at.date()


def _moved(rule: Rule, first: date) -> Iterator[date]:
    """Month by month, or year by year, with the days that do not exist resolved; counted and ended only afterwards."""
    months = rrule(_FREQUENCY[rule.each], _midnight(first.replace(day=1)), interval=rule.interval)
    for month in months:
        last = calendar.monthrange(month.year, month.month)[1]
        if first.day <= last:
            yield date(month.year, month.month, first.day)
        elif rule.skip == "backward":
            yield date(month.year, month.month, last)
        elif rule.skip == "forward":
            yield date(month.year, month.month, last) + timedelta(days=1)


def _nth(rule: Rule, first: date) -> int:
    """Which weekday of its month the first day is; −1 for the last."""
    last = (first + timedelta(days=7)).month != first.month
    if rule.monthly_on == "last-weekday":
        if not last:
            _refuse(
                "monthly_on",
                "weekday, or a first day in the last week of its month",
                f"{first.day} {first:%B} is not the last {first:%A} of its month. "
                f"Start on the last, or repeat by its place.",
            )
        return -1
    nth = (first.day + 6) // 7
    if nth == 5:
        _refuse(
            "monthly_on",
            "last-weekday",
            f"Not every month has a fifth {first:%A}. Repeat on the last {first:%A} instead.",
        )
    return nth


def _midnight(day: date) -> datetime:
    return datetime(day.year, day.month, day.day)


def _refuse(where: str, expected: str, sentence: str) -> None:
    raise Invalid(sentence, (FieldProblem(where, expected),))
