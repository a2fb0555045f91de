"""What takes the time of a unit, of a gear type, of a room, of a person? Nothing here writes.

Each answer is one or two queries for all rows that are shown.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import replace
from datetime import datetime
from functools import lru_cache
from typing import Any

from django.db.models import Q, QuerySet
from django.urls import reverse
from psycopg.types.range import Range

from gear.booking.lasting import lasting
from gear.booking.line import in_line
from gear.booking.models import Allocation, Booking
from recipes.checks.findings import SEVERITY
from studio.calendar.layout import Promise
from studio.calendar.span import Span
from studio.shoots.models import Shoot, ShootRecipe

__all__ = [
    "ByRow",
    "of_gear_types",
    "of_people",
    "of_rooms",
    "of_units",
    "within",
]

ByRow = Mapping[int, list[Promise]]
_BLOCKING = (Booking.State.HOLD, Booking.State.CONFIRMED, Booking.State.CLOSED)
_FIELDS = (
    "booking_id",
    "booking__title",
    "booking__state",
    "booking__hold_until",
    "booking__zone",
    "booking__ends_at",
    "booking__shoot__id",
    "use",
    "blocked",
    "active",
    "waits_since",
    "pk",
)


def of_units(unit_ids: Collection[int], span: Span, now: datetime) -> ByRow:
    """Promises of these units within the span, by unit."""
    found: dict[int, list[Promise]] = defaultdict(list)
    for unit_id, promise in _read(Q(unit__in=list(unit_ids)), "unit_id", span, now):
        found[unit_id].append(promise)
    return found


def of_gear_types(type_ids: Collection[int], span: Span, now: datetime) -> ByRow:
    """Promises of the units of these types, by type; those of one booking for the same time are one, with a count."""
    counted: Counter[tuple[int, Promise]] = Counter(
        _read(Q(unit__gear_type__in=list(type_ids)), "unit__gear_type_id", span, now)
    )
    found: dict[int, list[Promise]] = defaultdict(list)
    for (type_id, promise), count in counted.items():
        found[type_id].append(_counted(promise, count))
    return found


def of_rooms(room_ids: Collection[int], span: Span, now: datetime) -> ByRow:
    """Shoots in these rooms within the span, by room."""
    found: dict[int, list[Promise]] = defaultdict(list)
    shoots = list(_shoots_within(span).filter(room__in=list(room_ids)))
    worst = _worst_of(shoot.pk for shoot in shoots if _is_coming(shoot.booking, now))
    for shoot in shoots:
        found[shoot.room_id].append(_of_shoot(shoot, now, worst))
    return found


def of_people(person_ids: Collection[int], span: Span, now: datetime) -> ByRow:
    """Shoots of these people within the span, by person, with what they are there."""
    ids = set(person_ids)
    found: dict[int, list[Promise]] = defaultdict(list)
    shoots = list(_shoots_within(span).filter(Q(photographer__in=ids) | Q(assistant__in=ids)))
    worst = _worst_of(shoot.pk for shoot in shoots if _is_coming(shoot.booking, now))
    for shoot in shoots:
        if shoot.photographer_id in ids:
            found[shoot.photographer_id].append(_of_shoot(shoot, now, worst, "photographer"))
        if shoot.assistant_id in ids and shoot.assistant_id != shoot.photographer_id:
            found[shoot.assistant_id].append(_of_shoot(shoot, now, worst, "assistant"))
    return found


def within(span: Span) -> Q:
    """Allocations whose blocked interval touches the span."""
    return Q(blocked__overlap=Range(span.starts_at, span.ends_at, "[)"))


def _shoots_within(span: Span) -> QuerySet[Shoot]:
    """Shoots whose period touches the span, with their booking."""
    return Shoot.objects.filter(lasting(span.starts_at, span.ends_at)).select_related("booking")


def _worst_of(shoot_ids: Iterable[int]) -> dict[int, str]:
    """The worst stored status of each of these shoots that has recipes; ``stale`` when one was not checked."""
    found: dict[int, str] = {}
    order = ["gap", "stale", *(status for status in SEVERITY if status != "gap")]
    ids = sorted(set(shoot_ids))
    if not ids:
        return found
    rows = (
        ShootRecipe.objects.filter(shoot__in=ids)
        .order_by()
        .values_list("shoot_id", "readiness__worst")
        .distinct()
    )
    for shoot_id, worst in rows:
        status = worst or "stale"
        found[shoot_id] = min(status, found.get(shoot_id, status), key=order.index)
    return found


def _read(which: Q, row: str, span: Span, now: datetime) -> list[tuple[int, Promise]]:
    """(row, promise) of allocations. Active and inactive ones are asked for apart: each has an index of its own."""
    asked = Allocation.objects.filter(which, within(span)).order_by().values_list(row, *_FIELDS)
    rows: list[Any] = [*asked.filter(active=True), *asked.filter(active=False)]
    coming = {r[7] for r in rows if r[7] and r[6] > now and r[3] in _COMING}
    worst = _worst_of(coming)
    waiting = [r[12] for r in rows if r[11] and _state(r[3], r[4], now) == Booking.State.HOLD]
    in_order = Allocation.objects.filter(pk__in=waiting).select_related("booking") if waiting else ()
    places = in_line(in_order, now)
    return [
        (
            row_id,
            Promise(
                booking_id=booking_id,
                title=title,
                state=(stands := "waits" if pk in places else _state(state, hold_until, now)),
                use_from=use.lower,
                use_to=use.upper,
                blocked_from=blocked.lower,
                blocked_to=blocked.upper,
                zone=zone,
                address=_page_of(shoot_id) if shoot_id else "",
                readiness=worst.get(shoot_id, ""),
                blocks=active and stands in _BLOCKING,
                rank=places[pk].rank if pk in places else 0,
            ),
        )
        for row_id, booking_id, title, state, hold_until, zone, _, shoot_id, use, blocked, active, _, pk in rows
    ]


def _of_shoot(shoot: Shoot, now: datetime, worst: Mapping[int, str], role: str = "") -> Promise:
    booking = shoot.booking
    state = _state(booking.state, booking.hold_until, now)
    return Promise(
        booking_id=booking.pk,
        title=shoot.title,
        state=state,
        use_from=booking.starts_at,
        use_to=booking.ends_at,
        blocked_from=booking.starts_at,
        blocked_to=booking.ends_at,
        zone=booking.zone,
        address=_page_of(shoot.pk),
        readiness=worst.get(shoot.pk, ""),
        blocks=state in _BLOCKING,
        role=role,
    )


@lru_cache(maxsize=4096)
def _page_of(shoot_id: int) -> str:
    """A shoot stands in many rows; its address is asked for once."""
    return reverse("shoots:shoot", args=[shoot_id])


def _counted(promise: Promise, count: int) -> Promise:
    return replace(promise, count=count)


def _state(state: str, hold_until: datetime | None, now: datetime) -> str:
    ended = state == Booking.State.HOLD and hold_until is not None and hold_until <= now
    return "ended" if ended else state


_COMING = (Booking.State.ENQUIRY, Booking.State.HOLD, Booking.State.CONFIRMED)


def _is_coming(booking: Booking, now: datetime) -> bool:
    return booking.ends_at > now and booking.state in _COMING
