"""How does a series get its shoots? All of them in one transaction; what clashes is listed, and left out only when a
person said so."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, TypeVar

from django.db import transaction

from gear.booking.interval import Period
from gear.booking.locks import locked as booking_locked
from gear.booking.models import Booking, Occurrence, Series
from gear.booking.rules import now, refuse_ended, refuse_lapsed, use_of
from gear.booking.series import (
    days_to_make,
    horizon,
    locked_series,
    new_series,
    refuse_overlapping_days,
    refuse_own_series,
)
from gear.booking.series_rule import Rule
from gear.booking.transactions import in_one_transaction
from gear.changes import announce
from gear.errors import Conflict, FieldProblem, Gone, Invalid
from studio.people.policy import may
from studio.shoots.changes import period_of
from studio.shoots.locks import changed, locked
from studio.shoots.models import Shoot
from studio.shoots.queries import in_the_room
from studio.shoots.series_clashes import Clash, SeriesClashes, attempt
from studio.shoots.series_pattern import Pattern, keep, lock_things, make_shoot, pattern_for

__all__ = ["Booked", "Line", "book_days", "plan_series", "rehearsed", "repeat_shoot", "try_again"]

T = TypeVar("T")
State = Booking.State


@dataclass(frozen=True)
class Line:
    """A day of a series as it was asked: its period, what stands in the way (None: nothing), other shoots in the same
    room then, and wall times of it that the clocks repeat."""

    day: date
    period: Period | None
    clash: Clash | None = None
    beside: tuple[str, ...] = ()
    twice: tuple[str, ...] = ()


@dataclass(frozen=True)
class Booked:
    """A series and what became of the days that were asked, in order."""

    series: Series
    lines: tuple[Line, ...]

    @property
    def clashes(self) -> tuple[Clash, ...]:
        """What stands in the way, by day."""
        return tuple(line.clash for line in self.lines if line.clash)


@in_one_transaction
def plan_series(
    plan: Callable[[], Shoot],
    rule: Rule,
    by: Any,
    *,
    leave_out: bool = False,
    take_next: bool = False,
) -> Booked:
    """Plan a shoot and repeat it, or nothing of both. Raises as planning and `repeat_shoot` do."""
    return repeat_shoot(plan(), rule, by, leave_out=leave_out, take_next=take_next)


@in_one_transaction
def repeat_shoot(
    shoot: Shoot,
    rule: Rule,
    by: Any,
    *,
    leave_out: bool = False,
    take_next: bool = False,
    version: int | None = None,
) -> Booked:
    """Make a shoot the first of a series: its people, recipes, units with their jobs, kits and counted things are
    promised on every day of the rule up to `MADE_AHEAD`, or nothing is.

    With ``leave_out`` the days that clash are recorded with the reason instead. ``take_next`` reads a time that the
    clocks jump over as the next one. What a photographer repeats of a confirmed shoot is put on hold. Raises
    `SeriesClashes` with every clash, `Invalid`, `Conflict`, `NotAllowed`, `StaleEdit`.
    """
    shoot = locked(shoot.pk, by, "change", version)
    held = booking_locked(shoot.booking)
    refuse_ended(held)
    refuse_lapsed(held)
    _refuse_twice(held)
    if use_of(held).open_ended:
        raise Conflict(
            f"“{held.title}” has no return date, so it cannot repeat. Give it one first.", code="no-end"
        )
    first = date.fromisoformat(held.starts_wall[:10])
    pattern = Pattern.of(shoot, first, take_next=take_next)
    made_to = horizon(now(), held.zone)
    found = days_to_make(rule, first, None, made_to)
    if len(found) < 2:
        raise Invalid(
            "That is one shoot, nothing repeats. Let it happen at least twice, within the next eighteen months.",
            (FieldProblem("count", "at least 2"),),
        )
    refuse_overlapping_days(pattern.times, found)
    series = new_series(rule, first, pattern.times, shoot.uid, made_to, shoot.photographer or by)
    keep(series, first, pattern)
    Occurrence.objects.create(series=series, day=first, booking=held)
    changed(shoot)
    firm = held.state == State.CONFIRMED
    state = State.HOLD if firm and not may(by, "shoot", "confirm") else held.state
    rest = book_days(series, pattern, found[1:], by, state=state, hold_until=held.hold_until)
    own = Line(first, period_of(held), twice=pattern.times.repeats(first), beside=_beside(shoot))
    booked = Booked(series, (own, *rest))
    if booked.clashes and not leave_out:
        raise SeriesClashes(booked.clashes, len(booked.lines))
    return booked


def book_days(
    series: Series,
    pattern: Pattern,
    found: Sequence[date],
    by: Any,
    *,
    state: str,
    hold_until: datetime | None = None,
    unfit_too: bool = False,
) -> tuple[Line, ...]:
    """A shoot for each of these days that has none yet; a day that clashes is left out with the reason. Inside a
    transaction, for a caller that may book. ``unfit_too`` makes a unit in repair a clash instead of a refusal."""
    lock_things(pattern)
    known = set(series.occurrences.filter(day__in=found).values_list("day", flat=True))
    return tuple(
        _book_day(series, pattern, day, by, state=state, hold_until=hold_until, unfit_too=unfit_too)
        for day in found
        if day not in known
    )


@in_one_transaction
def try_again(series_id: int, day: date, by: Any) -> Shoot:
    """Book a day that was left out, by a fresh check. Raises `Conflict` with what is still in the way, `Gone`."""
    series = locked_series(series_id)
    there = series.occurrences.filter(day=day).first()
    if there is None:
        raise Gone(f"{day.isoformat()} is no day of this series.")
    nearest = _neighbour(series, day)
    shoot = locked(nearest.pk, by, "change")
    if there.booking is not None:
        raise Conflict(f"The {day.isoformat()} of this series is booked already.", code="booked")
    pattern = pattern_for(series.patterns.all(), day)
    lock_things(pattern)
    period = pattern.times.on(day)
    firm = shoot.booking.state == State.CONFIRMED and may(by, "shoot", "confirm")
    state = State.CONFIRMED if firm else State.HOLD
    made = make_shoot(pattern, period, series.asked_by, by, state=state, hold_until=None)
    there.booking, there.left_out, there.left_out_at = made.booking, "", None
    there.save()
    refuse_own_series([made.booking])
    announce("shoot", [made.pk])
    return made


def rehearsed(act: Callable[[], T]) -> T:
    """What an act would come to, by doing it and undoing all of it: the same checks, nothing kept."""

    @in_one_transaction
    def undone() -> T:
        result = act()
        transaction.set_rollback(True)
        return result

    return undone()


def _book_day(
    series: Series,
    pattern: Pattern,
    day: date,
    by: Any,
    *,
    state: str,
    hold_until: datetime | None,
    unfit_too: bool,
) -> Line:
    period = attempt(day, lambda: pattern.times.on(day))
    if isinstance(period, Clash):
        return _left_out(series, Line(day, None, period))
    asked = period

    def book() -> Line:
        ends = hold_until if hold_until and hold_until > now() else None
        made = make_shoot(pattern, asked, series.asked_by, by, state=state, hold_until=ends)
        Occurrence.objects.create(series=series, day=day, booking=made.booking)
        refuse_own_series([made.booking])
        announce("shoot", [made.pk])
        return Line(day, asked, beside=_beside(made), twice=pattern.times.repeats(day))

    line = attempt(day, book, asked, unfit_too=unfit_too)
    return _left_out(series, Line(day, asked, line)) if isinstance(line, Clash) else line


def _left_out(series: Series, line: Line) -> Line:
    assert line.clash is not None
    Occurrence.objects.create(series=series, day=line.day, left_out=line.clash.sentence, left_out_at=now())
    return line


def _refuse_twice(held: Booking) -> None:
    there = Occurrence.objects.filter(booking=held).first()
    if there is not None:
        raise Conflict(
            f"“{held.title}” is one of a series already. Change that series, or plan another shoot to repeat.",
            code="in-a-series",
        )


def _beside(shoot: Shoot) -> tuple[str, ...]:
    return tuple(other.title for other in in_the_room(shoot))


def _neighbour(series: Series, day: date) -> Shoot:
    """A shoot of the series, the one before that day if there is one: its rights and firmness hold for the day too."""
    shoots = Shoot.objects.filter(booking__occurrence__series=series).select_related("booking")
    before = shoots.filter(booking__occurrence__day__lt=day).order_by("-booking__occurrence__day").first()
    found = before or shoots.order_by("booking__occurrence__day").first()
    if found is None:
        raise Gone("Nothing of this series is booked.")
    return found
