"""A series whole: every day of it, what is booked, what was changed of one alone, what was left out. Never writes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from django.db.models import Prefetch

from gear.booking.models import Booking, Occurrence, Series
from gear.booking.rules import has_lapsed, now
from gear.booking.series_rule import in_words, rrule_text
from gear.errors import Gone, Refusal
from gear.kits.models import KitPromise
from studio.shoots.models import Assignment, Shoot, ShootRecipe
from studio.shoots.series_pattern import CONTENT, WORDS, JobSaid, Pattern, pattern_for
from studio.shoots.standing import with_ranks

__all__ = ["SeriesPlace", "SeriesRow", "SeriesWhole", "place_in_series", "series_whole"]

_CALLED = {
    "title": "title",
    "notes": "notes",
    "room_id": "room",
    "photographer_id": "photographer",
    "assistant_id": "assistant",
    "travels_by_air": "travel",
    "travellers": "travellers",
    "recipes": "recipes",
    "jobs": "jobs",
    "units": "units",
    "stock": "stock",
    "kits": "kits",
}


@dataclass(frozen=True)
class SeriesRow:
    """A day of a series: its shoot, or why there is none. ``own`` names what differs from what the series says."""

    number: int
    day: date
    shoot: Shoot | None
    left_out: str = ""
    lapsed: bool = False
    own: tuple[str, ...] = ()
    may_be_tried: bool = False


@dataclass(frozen=True)
class SeriesWhole:
    """A series with all its days in order. ``here`` is the first shoot to come, on which a change of all is made."""

    series: Series
    title: str
    words: str
    rrule: str
    rows: tuple[SeriesRow, ...]
    here: Shoot | None

    @property
    def booked(self) -> int:
        """How many stand."""
        return sum(row.shoot is not None and row.shoot.booking.state != "cancelled" for row in self.rows)

    @property
    def unconfirmed(self) -> int:
        """How many are on hold or only asked for."""
        return sum(
            row.shoot is not None and row.shoot.booking.state in ("hold", "enquiry") for row in self.rows
        )

    @property
    def left_out(self) -> int:
        """How many days are not booked."""
        return sum(row.shoot is None for row in self.rows)


@dataclass(frozen=True)
class SeriesPlace:
    """Which of a series a shoot is."""

    series_id: int
    day: date
    number: int
    words: str


def series_whole(pk: int) -> SeriesWhole:
    """The series with all its days, in a fixed number of queries. Raises `Gone`."""
    series = Series.objects.filter(pk=pk).first()
    if series is None:
        raise Gone(f"There is no series {pk}. Look for one of its shoots in the list of shoots.")
    patterns = list(series.patterns.all())
    shoots = {shoot.booking_id: shoot for shoot in with_ranks(_shoots(series))}
    at = now()
    today = at.date()
    rows = []
    for number, one in enumerate(series.occurrences.all(), start=1):
        if one.booking_id is None:
            ended = series.until is not None and one.day > series.until
            rows.append(
                SeriesRow(number, one.day, None, one.left_out, may_be_tried=one.day >= today and not ended)
            )
            continue
        shoot = shoots[one.booking_id]
        own = tuple(_own(shoot, pattern_for(patterns, one.day), one.day))
        rows.append(SeriesRow(number, one.day, shoot, lapsed=has_lapsed(shoot.booking, at), own=own))
    coming = [
        row.shoot
        for row in rows
        if row.shoot
        and row.shoot.booking.starts_at > at
        and row.shoot.booking.state not in (Booking.State.CANCELLED, Booking.State.CLOSED)
    ]
    newest = Pattern.read(patterns[-1].document)
    return SeriesWhole(
        series,
        newest.title,
        in_words(series.rule, series.first),
        rrule_text(series.rule, series.first),
        tuple(rows),
        coming[0] if coming else None,
    )


def place_in_series(shoot: Shoot) -> SeriesPlace | None:
    """Which of its series a shoot is; None for a single one."""
    there: Occurrence | None = getattr(shoot.booking, "occurrence", None)
    if there is None:
        return None
    before = Occurrence.objects.filter(series=there.series_id, day__lte=there.day).count()
    return SeriesPlace(there.series_id, there.day, before, in_words(there.series.rule, there.series.first))


def _shoots(series: Series) -> Iterator[Shoot]:
    jobs = Assignment.objects.order_by("light", "job", "number")
    return iter(
        Shoot.objects.filter(booking__occurrence__series=series)
        .select_related("booking__occurrence", "room__place", "photographer", "assistant")
        .prefetch_related(
            Prefetch("recipes", ShootRecipe.objects.order_by("position", "pk")),
            Prefetch("recipes__assignments", jobs),
            "booking__allocations",
            "booking__stock_promises",
            Prefetch("booking__kits", KitPromise.objects.order_by("pk").prefetch_related("taken")),
        )
    )


def _own(shoot: Shoot, pattern: Pattern, day: date) -> Iterator[str]:
    if not _at_its_time(shoot, pattern, day):
        yield "time"
    for name in WORDS:
        if getattr(shoot, name) != getattr(pattern, name):
            yield _CALLED[name]
    has = _content(shoot)
    for name in CONTENT:
        if has[name] != getattr(pattern, name):
            yield _CALLED[name]


def _at_its_time(shoot: Shoot, pattern: Pattern, day: date) -> bool:
    try:
        period = pattern.times.on(day)
    except Refusal:
        return False
    held = shoot.booking
    return (period.interval.starts_at, period.interval.ends_at) == (held.starts_at, held.ends_at)


def _content(shoot: Shoot) -> dict[str, object]:
    """As `series_pattern.content_of`, from rows that were read together."""
    kits = list(shoot.booking.kits.all())
    brought = {taken.unit_id for kit in kits for taken in kit.taken.all() if not taken.was_there}
    recipes = list(shoot.recipes.all())
    lines = sorted((line for line in shoot.booking.stock_promises.all() if not line.source), key=_by_item)
    return {
        "recipes": tuple(recipe.revision_id for recipe in recipes),
        "jobs": tuple(
            JobSaid(number, job.light, job.job, job.number, job.unit_id, job.circuit)
            for number, recipe in enumerate(recipes, start=1)
            for job in recipe.assignments.all()
        ),
        "units": tuple(
            sorted(a.unit_id for a in shoot.booking.allocations.all() if a.unit_id not in brought)
        ),
        "stock": tuple((line.item_id, f"{line.quantity.normalize():f}") for line in lines),
        "kits": tuple(kit.kit_id for kit in kits if kit.kit_id is not None),
    }


def _by_item(line: object) -> int:
    return line.item_id  # type: ignore[attr-defined, no-any-return]
