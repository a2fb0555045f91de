"""How does a series go on? Every night the days that have come into sight are booked as its latest shoot stands.

Only what is confirmed is carried on: a hold that nobody confirmed, and an enquiry, are not promised further by a clock.
Whatever cannot be booked is a day with a reason, and its owner is told once, in the mail that is written down with it.
Doing it twice, or in two processes at once, books nothing twice.
"""

from __future__ import annotations

import logging
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import F
from django.template.loader import render_to_string

from gear.booking.models import Booking, Occurrence, Series
from gear.booking.rules import now
from gear.booking.series import MADE_AHEAD, days_to_make, horizon, locked_series
from gear.booking.series_rule import in_words
from gear.booking.transactions import in_one_transaction
from gear.errors import Conflict, FieldProblem, Invalid, Refusal
from studio.outbox.mail import TOPIC as MAIL
from studio.outbox.mail import body_of
from studio.outbox.services import put
from studio.people.models import Person, Role
from studio.shoots.locks import locked
from studio.shoots.models import Shoot
from studio.shoots.series_booking import Line, book_days
from studio.shoots.series_clashes import Clash, SeriesClashes
from studio.shoots.series_pattern import pattern_for

__all__ = ["change_end", "extend_all", "extend_series"]

log = logging.getLogger(__name__)
State = Booking.State
_TOO_LATE = "It was not booked before this day came."


def extend_all(at: datetime | None = None) -> int:
    """Extend every series that goes on; returns how many shoots were booked. One that fails keeps no other from it."""
    at = at or now()
    booked = 0
    anywhere = (at + timedelta(days=1)).date() + MADE_AHEAD
    going_on = Series.objects.filter(made_to__lt=anywhere).exclude(until__lte=F("made_to")).order_by("pk")
    for pk in list(going_on.values_list("pk", flat=True)):
        try:
            booked += sum(line.clash is None for line in extend_series(pk, at))
        except Refusal:
            log.exception("series %d could not be extended", pk)
    return booked


@in_one_transaction
def extend_series(pk: int, at: datetime | None = None) -> tuple[Line, ...]:
    """Book the days that have come into sight since the last time; what clashes is left out and its owner told."""
    series = locked_series(pk)
    to = horizon(at or now(), series.zone)
    if series.made_to >= to:
        return ()
    found = days_to_make(series.rule, series.first, series.made_to, to)
    latest = _latest(series)
    if found and (latest is None or latest.booking.state != State.CONFIRMED):
        return ()
    lines = _carry_on(series, found, at or now()) if found else ()
    Series.objects.filter(pk=pk).update(made_to=to)
    clashes = [line.clash for line in lines if line.clash]
    if clashes and latest is not None:
        _tell(series, latest, clashes)
    return lines


@in_one_transaction
def change_end(
    shoot: Shoot,
    by: Any,
    *,
    count: int | None = None,
    until: date | None = None,
    version: int | None = None,
    leave_out: bool = False,
) -> tuple[Line, ...]:
    """Let the series of a shoot go on longer: so many times in all, to a last day, or without end. The new days are
    booked at once. Raises `SeriesClashes`, `Invalid` for an end before days that are booked."""
    there = Occurrence.objects.filter(booking=shoot.booking_id).first()
    if there is None:
        raise Conflict(f"“{shoot.title}” is one shoot, not one of a series.", code="no-series")
    series = locked_series(there.series_id)
    locked(shoot.pk, by, "change", version)
    series.count, series.until = count, until
    made_to = horizon(now(), series.zone)
    found = days_to_make(series.rule, series.first, None, made_to)
    booked = series.occurrences.filter(booking__isnull=False).exclude(booking__state=State.CANCELLED)
    beyond = booked.exclude(day__in=found).filter(booking__starts_at__gt=now()).order_by("day").first()
    if beyond is not None:
        raise Invalid(
            f"{beyond.day.isoformat()} is booked and would lie beyond the end. "
            f"Cancel that one and the following instead.",
            (FieldProblem("until", "a day that is not before what is booked"),),
        )
    latest = _latest(series)
    known = set(series.occurrences.values_list("day", flat=True))
    today = now().astimezone(ZoneInfo(series.zone)).date()
    new = [day for day in found if day not in known and day >= today]
    series.made_to = made_to
    series.version += 1
    series.save(update_fields=["count", "until", "made_to", "version"])
    if not new or latest is None:
        return ()
    lines = _carry_on(series, new, now(), state=latest.booking.state, by=by)
    clashes = [line.clash for line in lines if line.clash]
    if clashes and not leave_out:
        raise SeriesClashes(clashes, len(lines))
    return lines


def _carry_on(
    series: Series, found: list[date], at: datetime, *, state: str = State.CONFIRMED, by: Any = None
) -> tuple[Line, ...]:
    today = at.astimezone(ZoneInfo(series.zone)).date()
    gone = [Line(day, None, Clash(day, _TOO_LATE)) for day in found if day <= today]
    for line in gone:
        Occurrence.objects.create(series=series, day=line.day, left_out=_TOO_LATE, left_out_at=at)
    patterns = list(series.patterns.all())
    booked: list[Line] = []
    for row, stretch in _stretches([row.since for row in patterns], [day for day in found if day > today]):
        pattern = pattern_for(patterns, row)
        booked += book_days(series, pattern, stretch, by, state=state, unfit_too=by is None)
    return (*gone, *booked)


def _stretches(since: list[date], found: list[date]) -> list[tuple[date, list[date]]]:
    """The days by the pattern that holds for them."""
    stretches: dict[date, list[date]] = {}
    for day in found:
        stretches.setdefault(max(start for start in since if start <= day), []).append(day)
    return list(stretches.items())


def _latest(series: Series) -> Shoot | None:
    """Its latest shoot that stands: how it stands, the next ones will."""
    shoots = Shoot.objects.filter(booking__occurrence__series=series).select_related(
        "booking", "photographer"
    )
    return shoots.exclude(booking__state=State.CANCELLED).order_by("-booking__occurrence__day").first()


def _tell(series: Series, latest: Shoot, clashes: list[Clash]) -> None:
    """One mail to its owner; to the studio managers when the owner has no address any more."""
    owner = latest.photographer or series.asked_by
    to = {owner.email} if owner is not None and owner.is_active and owner.email else set()
    to = to or {p.email for p in Person.objects.filter(role=Role.MANAGER, is_active=True) if p.email}
    if not to:
        log.warning(
            "series %d: %d days could not be booked, and nobody has an address", series.pk, len(clashes)
        )
        return
    body = render_to_string(
        "shoots/series_mail.txt",
        {"series": series, "latest": latest, "clashes": clashes, "rule": in_words(series.rule, series.first)},
    )
    put(MAIL, body_of(f"{latest.title}: {len(clashes)} of the series could not be booked", body, to))
