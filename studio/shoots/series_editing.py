"""Changing several shoots of a series at once: this and the following, or all that have not begun.

What is over stays as it was. What somebody changed of one shoot alone stays its own, and is said. A day on which the
change cannot be made is a clash: nothing at all is changed then, unless the person said to leave such days as they are.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Any, Literal, get_args

from gear.booking import services as booking
from gear.booking.companions import companions
from gear.booking.locks import locked_units
from gear.booking.models import Booking, Occurrence, Series
from gear.booking.rules import now
from gear.booking.series import locked_series
from gear.booking.series_times import Times
from gear.booking.transactions import in_one_transaction
from gear.errors import Conflict, FieldProblem, Invalid
from gear.kits.promising import release_kit
from gear.kits.queries import units_from_kits
from gear.stock.promising import set_stock
from studio.shoots.changes import Asked, Changes, asked_of, move, say, way_to
from studio.shoots.locks import changed, locked
from studio.shoots.models import SeriesPattern, Shoot
from studio.shoots.rules import require_right
from studio.shoots.series_clashes import Clash, SeriesClashes, attempt, day_said
from studio.shoots.series_pattern import (
    CONTENT,
    Pattern,
    content_of,
    fill,
    keep,
    lock_things,
    pattern_for,
)

__all__ = ["Edited", "Firmly", "Which", "edit_series", "firm_series", "refuse_strange_reach", "take_over"]

Which = Literal["one", "following", "all"]
Firmly = Literal["hold", "confirm", "cancel"]
State = Booking.State

_COLUMNS = {"room": "room_id", "photographer": "photographer_id", "assistant": "assistant_id"}


@dataclass(frozen=True)
class Edited:
    """What became of a change: how many shoots it reached, what was kept, and where it was not possible."""

    reached: int
    kept: tuple[str, ...] = ()
    clashes: tuple[Clash, ...] = ()


@dataclass(frozen=True)
class _Scope:
    """A locked series and the locked shoots that a change reaches, by day; ``since`` is the first of them."""

    series: Series
    patterns: tuple[SeriesPattern, ...]
    shoots: tuple[tuple[date, Shoot], ...]
    here: date

    @property
    def since(self) -> date:
        return min([self.here, *(day for day, _ in self.shoots)])

    def pattern(self, day: date) -> Pattern:
        return pattern_for(self.patterns, day)

    def say_from_now_on(self, change: Callable[[Pattern], Pattern]) -> None:
        """The pattern of the first day reached, and every later one, changed; what was before keeps its own."""
        keep(self.series, self.since, change(self.pattern(self.since)))
        for row in self.patterns:
            if row.since > self.since:
                keep(self.series, row.since, change(Pattern.read(row.document)))


@in_one_transaction
def edit_series(
    shoot: Shoot,
    changes: Changes,
    by: Any,
    which: Which,
    *,
    version: int | None = None,
    leave_out: bool = False,
) -> Edited:
    """Say of this shoot and the following, or of all, what these changes say of this one. Times are told from each
    shoot's own day: an hour later is an hour later on every day, on the wall.

    Raises `SeriesClashes` when a day is in the way, `StaleEdit` for this shoot, `Invalid`, `NotAllowed`.
    """
    scope = _scope(shoot, by, "change", which, version)
    this = next(one for day, one in scope.shoots if day == scope.here)
    asked = asked_of(this, changes, by)
    if asked.nothing:
        return Edited(0)
    columns = {_COLUMNS.get(name, name): getattr(value, "pk", value) for name, value in asked.words.items()}
    times = None
    if asked.period is not None:
        times = Times.of(asked.period, scope.here, take_next=scope.pattern(scope.here).times.take_next)
    kept: list[str] = []
    clashes: list[Clash] = []
    steps: list[tuple[date, Shoot, Asked]] = []
    for day, one in scope.shoots:
        pattern = scope.pattern(day)
        own = [] if one.pk == this.pk else [n for n in columns if getattr(one, n) != getattr(pattern, n)]
        kept += [f"{day_said(day)} keeps its own {_NAMES[name]}." for name in own]
        words = {name: v for name, v in asked.words.items() if _COLUMNS.get(name, name) not in own}
        period = None
        if times is not None and (one.pk == this.pk or _at_its_time(one, pattern, day)):
            period = attempt(day, lambda day=day: times.on(day))
        elif times is not None:
            kept.append(f"{day_said(day)} keeps its own time.")
        if isinstance(period, Clash):
            clashes.append(period)
        else:
            steps.append((day, one, Asked(words, period, way_to(one, words.get("room", one.room), changes))))
    clashes += _take(steps, scope, by)
    if clashes and not leave_out:
        raise SeriesClashes(sorted(clashes, key=_of_day), len(scope.shoots), "changed")
    scope.say_from_now_on(lambda said: replace(said, **columns, **({"times": times} if times else {})))
    done = sum(not one.nothing for _, _, one in steps) - len(clashes)
    return Edited(done, tuple(kept), tuple(sorted(clashes, key=_of_day)))


@in_one_transaction
def take_over(
    shoot: Shoot, by: Any, which: Which, *, version: int | None = None, leave_out: bool = False
) -> Edited:
    """Give the recipes, units with their jobs, counted things and kits of this shoot to the following, or to all.

    A shoot on which somebody put something else keeps it. Raises as `edit_series`.
    """
    scope = _scope(shoot, by, "change", which, version)
    this = next(one for day, one in scope.shoots if day == scope.here)
    wanted = content_of(this)
    present = {
        pk for _, one in scope.shoots for pk in one.booking.allocations.values_list("unit_id", flat=True)
    }
    _lock_stock(scope)
    lock_things(scope.pattern(scope.here).with_content_of(this), present)
    kept, clashes, reached = [], [], 0
    for day, one in scope.shoots:
        pattern, has = scope.pattern(day), content_of(one)
        if one.pk == this.pk or has == wanted:
            continue
        if has != {name: getattr(pattern, name) for name in CONTENT}:
            kept.append(f"{day_said(day)} keeps what was put on it alone.")
            continue
        done = attempt(day, lambda one=one, pattern=pattern: _replace(one, replace(pattern, **wanted), by))
        if isinstance(done, Clash):
            clashes.append(done)
        else:
            reached += 1
    if clashes and not leave_out:
        raise SeriesClashes(clashes, len(scope.shoots), "changed")
    scope.say_from_now_on(lambda said: replace(said, **wanted))
    return Edited(reached, tuple(kept), tuple(clashes))


@in_one_transaction
def firm_series(
    shoot: Shoot,
    act: Firmly,
    by: Any,
    which: Which,
    *,
    until: datetime | None = None,
    version: int | None = None,
    leave_out: bool = False,
) -> Edited:
    """Hold, confirm or cancel this shoot and the following, or all. Holding leaves what is confirmed confirmed;
    cancelling ends the series before them, and repeating that changes nothing.

    Raises `SeriesClashes` when an ended hold lost its units, `NotAllowed`.
    """
    if act not in get_args(Firmly):
        raise Invalid(
            f"{act!r} is nothing that becomes of a series.", (FieldProblem("act", "hold, confirm, cancel"),)
        )
    scope = _scope(shoot, by, "confirm" if act == "confirm" else "change", which, version)
    verbs: dict[str, Callable[[Booking], Booking]] = {
        "hold": lambda held: booking.hold(held, by, until),
        "confirm": lambda held: booking.confirm(held, by),
        "cancel": lambda held: booking.cancel(held, by),
    }
    _lock_stock(scope)
    locked_units(
        {pk for _, one in scope.shoots for pk in one.booking.allocations.values_list("unit_id", flat=True)}
    )
    clashes, reached = [], 0
    for day, one in scope.shoots:
        if act == "hold" and one.booking.state == State.CONFIRMED:
            continue
        before = one.booking.version
        done = attempt(day, lambda one=one: verbs[act](one.booking))
        if isinstance(done, Clash):
            clashes.append(done)
        elif done.version != before:
            one.booking = done
            changed(one)
            reached += 1
    if clashes and not leave_out:
        raise SeriesClashes(clashes, len(scope.shoots), {"hold": "held", "confirm": "confirmed"}[act])
    if act == "cancel":
        _end_before(scope.series, scope.since)
    return Edited(reached, (), tuple(clashes))


def refuse_strange_reach(which: str) -> Which:
    """One, following or all. Raises `Invalid`."""
    if which not in get_args(Which):
        raise Invalid(
            f"{which[:20]!r} is no part of a series. Say one, following or all.",
            (FieldProblem("which", "one, following or all"),),
        )
    return which  # type: ignore[return-value]


_NAMES = {
    "title": "title",
    "notes": "notes",
    "room_id": "room",
    "photographer_id": "photographer",
    "assistant_id": "assistant",
    "travels_by_air": "way of travelling",
    "travellers": "number of travellers",
}


def _scope(shoot: Shoot, by: Any, action: str, which: Which, version: int | None) -> _Scope:
    """Lock the series, its shoots, then their bookings, each by id, for somebody who may do that with all of them."""
    there = Occurrence.objects.filter(booking=shoot.booking_id).first()
    if there is None:
        raise Conflict(f"“{shoot.title}” is one shoot, not one of a series.", code="no-series")
    series = locked_series(there.series_id)
    reach = Occurrence.objects.filter(series=series, booking__isnull=False)
    if which == "following":
        reach = reach.filter(day__gte=there.day)
    elif which == "one":
        reach = reach.filter(pk=there.pk)
    coming = reach.filter(booking__starts_at__gt=now()).exclude(
        booking__state__in=[State.CANCELLED, State.CLOSED]
    )
    days = {one.booking_id: one.day for one in coming} | {there.booking_id: there.day}
    found = list(
        Shoot.objects.select_for_update(no_key=True, of=("self",))
        .select_related("room__place", "photographer", "assistant")
        .filter(booking__in=days)
        .order_by("pk")
    )
    bookings = {
        held.pk: held
        for held in Booking.objects.select_for_update(no_key=True).filter(pk__in=days).order_by("pk")
    }
    for one in found:
        one.booking = bookings[one.booking_id]
        require_right(by, action, one)
    locked(shoot.pk, by, action, version)
    by_day = sorted(((days[one.booking_id], one) for one in found), key=_by_day)
    return _Scope(series, tuple(series.patterns.all()), tuple(by_day), there.day)


def _of_day(clash: Clash) -> date:
    return clash.day


def _by_day(pair: tuple[date, Shoot]) -> date:
    return pair[0]


def _at_its_time(shoot: Shoot, pattern: Pattern, day: date) -> bool:
    period = attempt(day, lambda: pattern.times.on(day))
    held = shoot.booking
    if isinstance(period, Clash):
        return False
    return (period.interval.starts_at, period.interval.ends_at) == (held.starts_at, held.ends_at)


def _take(steps: Sequence[tuple[date, Shoot, Asked]], scope: _Scope, by: Any) -> list[Clash]:
    """Each shoot as it is asked, whole or not at all. Going later the last goes first: each finds its neighbour's old
    time left."""
    _lock_stock(scope)
    locked_units(
        {pk for _, one in scope.shoots for pk in one.booking.allocations.values_list("unit_id", flat=True)}
    )
    later = any(
        asked.period is not None and asked.period.interval.starts_at > one.booking.starts_at
        for _, one, asked in steps
    )
    clashes = []
    for day, one, asked in reversed(steps) if later else steps:
        if asked.nothing:
            continue
        done = attempt(day, lambda one=one, asked=asked: _take_one(one, asked, by), asked.period)
        if isinstance(done, Clash):
            clashes.append(done)
    return clashes


def _take_one(shoot: Shoot, asked: Asked, by: Any) -> None:
    say(shoot, asked.words)
    shoot.booking = move(shoot.booking, asked, by)
    changed(shoot)


def _replace(shoot: Shoot, pattern: Pattern, by: Any) -> None:
    """Take off a shoot what is on it, as far as the pattern does not have it, and put the pattern's onto it."""
    held = shoot.booking
    shoot.recipes.all().delete()
    for promise in held.kits.select_related("booking", "kit"):
        release_kit(promise, by)
    for line in held.stock_promises.filter(source=""):
        set_stock(held, line.item_id, 0, by)
    brought = units_from_kits(held)
    there = set(held.allocations.values_list("unit_id", flat=True))
    booking.release_units(held, there - brought - pattern.all_units, by)
    fill(shoot, pattern, by)
    changed(shoot)


def _lock_stock(scope: _Scope) -> None:
    for companion in companions():
        companion.lock([one.booking_id for _, one in scope.shoots])


def _end_before(series: Series, day: date) -> None:
    last = day - timedelta(days=1)
    if series.until is None or series.until > last:
        Series.objects.filter(pk=series.pk).update(until=last, count=None, version=series.version + 1)
