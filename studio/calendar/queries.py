"""The board of a calendar: which rows it has, and what takes their time. Nothing here writes."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any, Literal

from django.core.paginator import Page, Paginator
from django.db.models import Case, Count, Exists, OuterRef, Q, QuerySet, When
from django.urls import reverse
from django.utils import timezone

from gear.booking.models import Allocation, Booking
from gear.booking.queries import live
from gear.catalogue.models import GearType
from gear.catalogue.queries import count_of_units, gear_types
from gear.inventory.models import Condition, Unit
from gear.inventory.queries import units
from gear.paging import page_of
from gear.specs import kind_label
from studio.calendar.agenda import AgendaDay, agenda
from studio.calendar.layout import Bar, Promise, Step, laid_out, overlapping, taken_over_time
from studio.calendar.promises import ByRow, of_gear_types, of_people, of_rooms, of_units, within
from studio.calendar.span import Span
from studio.people.models import Person, Role
from studio.places.models import Place, Room

__all__ = ["ROWS_A_PAGE", "Asked", "Board", "By", "Row", "board", "zones"]

By = Literal["units", "types", "rooms", "people"]
ROWS_A_PAGE = 60


@dataclass(frozen=True)
class Asked:
    """Which rows: ``kind`` is a kind of gear, a place or a role; ``show`` is ``all``, ``busy`` or ``conflicts``."""

    by: By
    kind: str = ""
    words: str = ""
    show: str = "all"
    page: str | int | None = 1


@dataclass(frozen=True)
class Row:
    """One row: what it is, its bars, and what is wrong with it in sentences."""

    name: str
    address: str
    about: str
    bars: tuple[Bar, ...]
    conflicts: tuple[str, ...] = ()
    unfit: str = ""
    steps: tuple[Step, ...] = ()
    capacity: int = 0
    is_tag: bool = False

    @property
    def lanes(self) -> int:
        """How many lanes its bars need, at least one."""
        return max((bar.lane for bar in self.bars), default=0) + 1

    @property
    def most_taken(self) -> int:
        """The largest number taken at one time."""
        return max((step.taken for step in self.steps), default=0)

    @property
    def fewest_free(self) -> int:
        """What is left of its capacity when most is taken; below 0 when more is promised than is in service."""
        return self.capacity - self.most_taken

    @property
    def free_words(self) -> str:
        """The same in words."""
        if self.fewest_free < 0:
            return f"{-self.fewest_free} too many for {self.capacity}"
        return f"{self.fewest_free or 'none'} of {self.capacity} left"


@dataclass(frozen=True)
class Board:
    """A page of rows over a span, and the same as a list of days."""

    rows: tuple[Row, ...]
    days: tuple[AgendaDay, ...]
    page: Page[Any]
    now: datetime
    now_percent: float | None

    @property
    def conflicts(self) -> list[str]:
        """What is wrong, for all rows on the page, each thing once."""
        return list(dict.fromkeys(sentence for row in self.rows for sentence in row.conflicts))

    @property
    def is_blank(self) -> bool:
        """Whether nothing takes anybody's time."""
        return not any(row.bars for row in self.rows)


def zones() -> list[str]:
    """The zones of the places, that of most rooms first; UTC where there is no place."""
    found = Place.objects.values_list("zone").annotate(rooms=Count("rooms")).order_by("-rooms", "zone")
    return [zone for zone, _ in found] or ["UTC"]


def board(asked: Asked, span: Span, now: datetime | None = None) -> Board:
    """The rows that are asked for, a page of them, with what takes their time within the span.

    Units may be very many, so the database picks the busy and the conflicting ones, and the types of busy ones; of
    others all rows are made and then picked.
    """
    now = now or timezone.now()
    things_asked, promises_of, make_row = _KINDS_OF_ROWS[asked.by]
    things: Any = things_asked(asked, span, now)
    picks = asked.show == "conflicts" if asked.by == "types" else asked.show != "all" and asked.by != "units"
    page = page_of(things, things.count() or 1, 1) if picks else page_of(things, ROWS_A_PAGE, asked.page)
    found = promises_of([thing.pk for thing in page.object_list], span, now)
    rows = [make_row(thing, found.get(thing.pk, []), span, now) for thing in page.object_list]
    if picks:
        rows = [row for row in rows if (row.conflicts if asked.show == "conflicts" else row.bars)]
        page = Paginator(rows, ROWS_A_PAGE).get_page(asked.page)
        rows = list(page.object_list)
    days = agenda(((row.name, [bar.promise for bar in row.bars]) for row in rows), span)
    return Board(tuple(rows), days, page, now, span.percent(now) if span.holds(now) else None)


def _units(asked: Asked, span: Span, now: datetime) -> QuerySet[Unit]:
    found = units(kind=asked.kind, search=asked.words).exclude(condition=Condition.WRITTEN_OFF)
    if asked.show == "busy":
        # From what lies in the span to its units: of many units few are out in a week.
        return found.filter(pk__in=Allocation.objects.filter(within(span)).order_by().values("unit"))
    if asked.show == "conflicts":
        return found.filter(_in_conflict(span, now))
    return found


def _in_conflict(span: Span, now: datetime) -> Q:
    """Units that an enquiry wants at a promised or asked time, or that are promised and not in service.

    Standing promises never overlap, so one side of every clash is an enquiry, and of those there are few.
    """
    enquiries = Allocation.objects.filter(within(span), booking__state=Booking.State.ENQUIRY)
    others = (
        Allocation.objects.filter(live(now) | Q(booking__state=Booking.State.ENQUIRY), within(span))
        .exclude(booking__state__in=[Booking.State.CLOSED, Booking.State.CANCELLED])
        .filter(unit=OuterRef("unit"), blocked__overlap=OuterRef("blocked"))
        .exclude(booking=OuterRef("booking"))
    )
    broken = Allocation.objects.filter(within(span), live(now), blocked__endswith__gt=now).exclude(
        booking__state=Booking.State.CLOSED
    )
    return Q(pk__in=enquiries.filter(Exists(others)).values("unit")) | (
        ~Q(condition=Condition.READY) & Exists(broken.filter(unit=OuterRef("pk")))
    )


def _types(asked: Asked, span: Span, now: datetime) -> QuerySet[GearType]:
    found = gear_types(kind=asked.kind, search=asked.words)
    if asked.show == "busy":
        found = found.filter(
            pk__in=Allocation.objects.filter(within(span)).order_by().values("unit__gear_type")
        )
    else:
        found = found.filter(Exists(Unit.objects.filter(gear_type=OuterRef("pk"))))
    return found.annotate(in_service=count_of_units(condition=Condition.READY))


def _rooms(asked: Asked, span: Span, now: datetime) -> QuerySet[Room]:
    found = Room.objects.select_related("place").order_by("place__name", "name")
    if asked.kind:
        found = found.filter(place=asked.kind)
    for word in asked.words.split():
        found = found.filter(Q(name__icontains=word) | Q(place__name__icontains=word))
    return found


def _people(asked: Asked, span: Span, now: datetime) -> QuerySet[Person]:
    first_photographers = Case(
        When(role=Role.PHOTOGRAPHER, then=0), When(role=Role.ASSISTANT, then=1), default=2
    )
    found = Person.objects.filter(is_active=True).order_by(first_photographers, "first_name", "username")
    if asked.kind:
        found = found.filter(role=asked.kind)
    for word in asked.words.split():
        found = found.filter(
            Q(first_name__icontains=word) | Q(last_name__icontains=word) | Q(username__icontains=word)
        )
    return found


def _unit_row(unit: Unit, promises: list[Promise], span: Span, now: datetime) -> Row:
    unfit = "" if unit.condition == Condition.READY else unit.get_condition_display().lower()
    broken = [
        f"{unit.tag} is {unfit} and is promised to “{one.title}”, {one.when(span.zone)}."
        for one in promises
        if unfit and one.blocks and one.state != "closed" and one.blocked_to > now
    ]
    return Row(
        name=unit.tag,
        address=reverse("inventory:unit", args=[unit.tag]),
        about=unit.gear_type.name,
        bars=laid_out(promises, span),
        conflicts=(*_twice(unit.tag, promises, span), *broken),
        unfit=unfit,
        is_tag=True,
    )


def _type_row(gear_type: GearType, promises: list[Promise], span: Span, now: datetime) -> Row:
    row = Row(
        name=gear_type.name,
        address=reverse("catalogue:type", args=[gear_type.slug]),
        about=kind_label(gear_type.kind),
        bars=laid_out(promises, span),
        steps=taken_over_time(promises, span),
        capacity=gear_type.in_service,
    )
    wanted = max(step.taken for step in taken_over_time(promises, span, wishes=True))
    if wanted <= row.capacity:
        return row
    are = "is" if row.capacity == 1 else "are"
    short = f"{row.name}: {wanted} are wanted at one time, {row.capacity} {are} in service."
    return replace(row, conflicts=(short,))


def _room_row(room: Room, promises: list[Promise], span: Span, now: datetime) -> Row:
    return Row(
        name=room.name,
        address=reverse("places:room", args=[room.pk]),
        about=str(room.place),
        bars=laid_out(promises, span),
        conflicts=_twice(room.name, promises, span),
    )


def _person_row(person: Person, promises: list[Promise], span: Span, now: datetime) -> Row:
    return Row(
        name=str(person),
        address="",
        about=person.get_role_display(),
        bars=laid_out(promises, span),
        conflicts=_twice(str(person), promises, span),
    )


def _twice(name: str, promises: Iterable[Promise], span: Span) -> tuple[str, ...]:
    return tuple(
        f"{name} is wanted twice: “{first.title}” ({first.state_words}, {first.when(span.zone)}) and "
        f"“{second.title}” ({second.state_words}, {second.when(span.zone)})."
        for first, second in overlapping(promises, span)
    )


_KINDS_OF_ROWS: dict[
    By,
    tuple[
        Callable[[Asked, Span, datetime], QuerySet[Any]],
        Callable[[list[int], Span, datetime], ByRow],
        Callable[[Any, list[Promise], Span, datetime], Row],
    ],
] = {
    "units": (_units, of_units, _unit_row),
    "types": (_types, of_gear_types, _type_row),
    "rooms": (_rooms, of_rooms, _room_row),
    "people": (_people, of_people, _person_row),
}
