"""When is a place at work? Written as people say it, kept as a document, read as a `WorkingCalendar`.

A place where nobody has entered hours is taken to work from Monday to Friday, 09:00 to 18:00, with four working hours
to answer (common practice, no source).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, time, timedelta
from decimal import Decimal
from itertools import pairwise
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from gear.booking.working_time import WEEKDAYS, Hours, WorkingCalendar
from gear.errors import FieldProblem, Gone, Invalid, NotAllowed, StaleEdit
from studio.people.policy import may
from studio.places.models import Place, WorkingHours

__all__ = [
    "WorkingWeek",
    "answer_time",
    "calendar_of",
    "holidays_in_words",
    "hours_in_words",
    "read_holidays",
    "read_hours",
    "set_working_hours",
    "week_of",
]

_STRETCH = re.compile(r"(\d{1,2}):(\d{2})\s*(?:-|–|to)\s*(\d{1,2}):(\d{2})")
_MOST_HOLIDAYS = 400


@dataclass(frozen=True)
class WorkingWeek:
    """Hours by weekday (Monday is 0), holidays with their names, and how long somebody has to answer, in working
    hours."""

    hours: Mapping[int, Hours]
    holidays: Mapping[date, str]
    answer_hours: Decimal
    version: int = 0


_USUAL = WorkingWeek({day: ((time(9), time(18)),) for day in range(5)}, {}, Decimal(4))


def week_of(place: Place) -> WorkingWeek:
    """The working week of a place; the usual one where nobody has entered hours."""
    row = WorkingHours.objects.filter(place=place).first()
    if row is None:
        return _USUAL
    return WorkingWeek(
        {int(day): tuple((_clock(a), _clock(b)) for a, b in spans) for day, spans in row.hours.items()},
        {date.fromisoformat(day): name for day, name in row.holidays.items()},
        row.answer_hours,
        row.version,
    )


def calendar_of(place: Place) -> WorkingCalendar:
    """The same for reckoning."""
    week = week_of(place)
    return WorkingCalendar(place.zone, week.hours, frozenset(week.holidays))


def answer_time(place: Place) -> timedelta:
    """How much working time somebody has to answer."""
    return timedelta(hours=float(week_of(place).answer_hours))


@transaction.atomic
def set_working_hours(
    place: Place, week: WorkingWeek, by: Any, *, version: int | None = None
) -> WorkingHours:
    """Write a working week anew. Deadlines that were set stay as they are. Raises `Invalid`, `StaleEdit`, `NotAllowed`,
    `Gone`."""
    if not may(by, "place", "change"):
        raise NotAllowed("Only the studio manager sets working hours.")
    if not Place.objects.select_for_update().filter(pk=place.pk).exists():
        raise Gone("That place does not exist any more.")
    row = WorkingHours.objects.filter(place=place).first() or WorkingHours(place=place, version=0)
    if version is not None and version != row.version:
        raise StaleEdit(
            f"The working hours of {place} were changed by somebody else in the meantime; nothing was overwritten. "
            f"Look at what they are now, then make your change again."
        )
    if not any(week.hours.values()):
        raise Invalid(
            "Give hours on at least one day, or nobody could ever answer in time.",
            (FieldProblem("hours", "hours on at least one day of the week"),),
        )
    row.hours = {
        str(day): [[_said(a), _said(b)] for a, b in spans] for day, spans in week.hours.items() if spans
    }
    row.holidays = {day.isoformat(): name[:80] for day, name in sorted(week.holidays.items())}
    row.answer_hours = week.answer_hours
    row.version += 1
    try:
        row.clean_fields(exclude={"place", "hours", "holidays"})
    except ValidationError as error:
        raise Invalid(
            "Somebody must have between half an hour and 200 working hours to answer.",
            tuple(FieldProblem(name, "0.5 to 200") for name in error.message_dict),
        ) from None
    row.save()
    return row


def read_hours(text: str, where: str) -> Hours:
    """``09:00-12:30, 13:30-18:00``; an empty text is a day on which nobody works. Raises `Invalid`."""
    spans = []
    for part in filter(None, (part.strip() for part in text.split(","))):
        found = _STRETCH.fullmatch(part)
        if found is None:
            raise _unreadable(part, where)
        spans.append((_clock(f"{found[1]}:{found[2]}", where), _clock(f"{found[3]}:{found[4]}", where)))
    return ordered(spans, where)


def ordered(spans: Iterable[tuple[time, time]], where: str) -> Hours:
    """Stretches of one day in their order. Raises `Invalid` when one ends before it starts, or two overlap."""
    found = tuple(sorted(spans))
    for opens, closes in found:
        if closes <= opens:
            raise _invalid(f"{_said(opens)}-{_said(closes)} ends before it starts.", where)
    for (_, first_closes), (second_opens, _) in pairwise(found):
        if second_opens < first_closes:
            raise _invalid(f"Two stretches overlap at {_said(second_opens)}.", where)
    return found


def hours_in_words(hours: Hours) -> str:
    """As `read_hours` reads it."""
    return ", ".join(f"{_said(opens)}-{_said(closes)}" for opens, closes in hours)


def read_holidays(text: str) -> dict[date, str]:
    """One a line: ``2026-12-25 Christmas Day``. Raises `Invalid`."""
    found: dict[date, str] = {}
    for number, line in enumerate(text.splitlines(), start=1):
        day, _, name = line.strip().partition(" ")
        if not day:
            continue
        try:
            found[date.fromisoformat(day)] = name.strip()
        except ValueError:
            raise _invalid(
                f"Line {number}, {line.strip()[:40]!r}, does not begin with a date. Write for example "
                f"2026-12-25 Christmas Day.",
                "holidays",
            ) from None
    if len(found) > _MOST_HOLIDAYS:
        raise _invalid(f"More than {_MOST_HOLIDAYS} holidays. Leave out those that are over.", "holidays")
    return found


def holidays_in_words(holidays: Mapping[date, str]) -> str:
    """As `read_holidays` reads it."""
    return "\n".join(f"{day.isoformat()} {name}".strip() for day, name in sorted(holidays.items()))


def _clock(text: str, where: str = "hours") -> time:
    if text in ("24:00", "23:59:59.999999"):
        return time.max
    try:
        return time.fromisoformat(text.zfill(5))
    except ValueError:
        raise _unreadable(text, where) from None


def _said(clock: time) -> str:
    return "24:00" if clock == time.max else f"{clock:%H:%M}"


def _unreadable(text: str, where: str) -> Invalid:
    return _invalid(
        f"{text[:40]!r} are no hours. Write for example 09:00-18:00, or 09:00-12:30, 13:30-18:00.", where
    )


def _invalid(sentence: str, where: str) -> Invalid:
    day = f"{WEEKDAYS[int(where[3:])]}: " if where.startswith("day") and where[3:].isdigit() else ""
    return Invalid(f"{day}{sentence}", (FieldProblem(where, "hours as 09:00-18:00" if day else sentence),))
