"""What kits there are, what is in them, and when each is whole. Nothing here writes."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from itertools import groupby
from typing import NamedTuple

from django.db import connection
from django.db.models import Count, Prefetch, QuerySet

from gear.booking.interval import Interval
from gear.booking.models import Allocation, Booking
from gear.booking.queries import free_ids, live
from gear.booking.rules import now
from gear.errors import Gone
from gear.inventory.models import Condition, Unit
from gear.kits.choosing import Free, choose
from gear.kits.contents import Choice, KitContents, Part
from gear.kits.models import Kit, KitPromise, KitTaken
from gear.kits.spans import Span, both, either
from gear.stock.models import StockItem
from gear.stock.queries import availabilities
from gear.stock.rules import said

__all__ = [
    "Incomplete",
    "KitChange",
    "contents",
    "contents_of",
    "differences",
    "differences_of",
    "free_things",
    "incomplete",
    "is_free",
    "kit_numbered",
    "kits",
    "kits_of",
    "units_from_kits",
]


@dataclass(frozen=True)
class Incomplete:
    """A stretch of time in which nothing fills a place of a kit."""

    part: str
    span: Span


@dataclass(frozen=True)
class KitChange:
    """What stands differently in a kit from what a booking was given of it."""

    part: str
    given: str
    now: str


def kits(search: str = "") -> QuerySet[Kit]:
    """Kits by name, with ``part_count``."""
    found = Kit.objects.annotate(part_count=Count("parts")).order_by("name", "id")
    for word in search.replace("\x00", "").split():
        found = found.filter(name__unaccent__icontains=word)
    return found


def kit_numbered(pk: int) -> Kit:
    """The kit. Raises `Gone`."""
    found = Kit.objects.filter(pk=pk).first()
    if found is None:
        raise _gone(pk)
    return found


def _gone(pk: int) -> Gone:
    return Gone(f"There is no kit {pk}. Look for it under Gear, Kits.")


def kits_of(booking: Booking | int) -> QuerySet[KitPromise]:
    """The kits of a booking with what each brought."""
    pk = booking if isinstance(booking, int) else booking.pk
    return (
        KitPromise.objects.filter(booking=pk)
        .select_related("kit")
        .prefetch_related(Prefetch("taken", KitTaken.objects.select_related("unit__gear_type", "item")))
    )


def units_from_kits(booking: Booking | int) -> set[int]:
    """Units that a booking has through its kits: they stay with it while the kit does."""
    pk = booking if isinstance(booking, int) else booking.pk
    taken = KitTaken.objects.filter(promise__booking=pk, unit__isnull=False, was_there=False)
    return set(taken.values_list("unit_id", flat=True))


def contents(kit: Kit) -> KitContents:
    """A kit with everything in it, as it is now. Raises `Gone`."""
    found = contents_of([kit.pk])
    if kit.pk not in found:
        raise _gone(kit.pk)
    return found[kit.pk]


def contents_of(kit_ids: Collection[int]) -> dict[int, KitContents]:
    """By id, those of these kits that there are, with everything in them: one query, however deep."""
    rows: dict[int, list[_Row]] = {}
    with connection.cursor() as cursor:
        cursor.execute(_CONTENTS, [list(kit_ids)])
        for row in map(_Row._make, cursor.fetchall()):
            rows.setdefault(row.kit_id, []).append(row)
    return {pk: _contents(pk, rows) for pk in kit_ids if pk in rows}


class _Row(NamedTuple):
    """A choice for a place of a kit; without a part, a kit with nothing in it."""

    kit_id: int
    kit: str
    version: int
    part_id: int | None
    part: str
    position: int
    quantity: Decimal
    unit_id: int | None
    tag: str
    item_id: int | None
    item: str
    sub_kit_id: int | None


_CONTENTS = """
    WITH RECURSIVE below(id) AS (
        SELECT unnest(%s::bigint[])
        UNION
        SELECT o.sub_kit_id FROM below
          JOIN kits_kitpart p ON p.kit_id = below.id
          JOIN kits_kitoption o ON o.part_id = p.id AND o.sub_kit_id IS NOT NULL
    )
    SELECT k.id, k.name, k.version, p.id, p.name, p.position, p.quantity,
           o.unit_id, u.tag, o.item_id, i.name, o.sub_kit_id
      FROM below
      JOIN kits_kit k ON k.id = below.id
      LEFT JOIN kits_kitpart p ON p.kit_id = k.id
      LEFT JOIN kits_kitoption o ON o.part_id = p.id
      LEFT JOIN inventory_unit u ON u.id = o.unit_id
      LEFT JOIN stock_stockitem i ON i.id = o.item_id
     ORDER BY k.id, p.position, p.id, o.position, o.id
"""


def free_things(
    unit_ids: Collection[int], items: Collection[StockItem], use: Interval, *, ignoring: Collection[int] = ()
) -> Free:
    """What of these is free for the whole of the use."""
    found = availabilities(items, use, ignoring=ignoring)
    return Free(free_ids(use, unit_ids, ignoring=ignoring), {pk: one.free for pk, one in found.items()})


def is_free(kit: Kit | KitContents, use: Interval) -> bool:
    """Whether the whole kit could be promised then."""
    whole = contents(kit) if isinstance(kit, Kit) else kit
    items = list(StockItem.objects.filter(pk__in=whole.item_ids))
    return choose(whole.parts, free_things(whole.unit_ids, items, use)) is not None


def incomplete(kit: KitContents, window: Interval) -> list[Incomplete]:
    """When each place of a kit has nothing to fill it, in order of time. Two places that need the same thing are not
    seen here; the check at promising sees them."""
    absent = _Absences(kit, window)
    found = [Incomplete(part.name, span) for part in kit.parts for span in absent.of_part(part)]
    return sorted(found, key=lambda one: (one.span.start, one.part))


def differences_of(promise: KitPromise) -> list[KitChange]:
    """What the kit has now and the booking was not given, and the other way round; empty while nothing changed."""
    return differences([promise])[promise.pk]


def differences(promises: Iterable[KitPromise]) -> dict[int, list[KitChange]]:
    """The same of several, by their ids, with as few queries as of one."""
    asked = list(promises)
    changed = {one.kit.pk for one in asked if one.kit is not None and one.kit.version != one.kit_version}
    wholes = contents_of(changed) if changed else {}
    return {promise.pk: _differences(promise, wholes) for promise in asked}


def _differences(promise: KitPromise, wholes: Mapping[int, KitContents]) -> list[KitChange]:
    if promise.kit is None:
        return [KitChange("the kit", "", "was removed")]
    if promise.kit.version == promise.kit_version:
        return []
    given: dict[str, list[KitTaken]] = {}
    for taken in promise.taken.all():
        given.setdefault(taken.part, []).append(taken)
    found = []
    for name, choices in _places(wholes[promise.kit.pk]):
        ours = given.pop(name, [])
        if not ours:
            found.append(KitChange(name, "", " or ".join(words for words, _ in choices)))
        for taken in ours:
            fits = any(_same(taken, choice, words) for words, choice in choices)
            if not fits and not taken.instead_of:
                found.append(KitChange(name, _words(taken), " or ".join(words for words, _ in choices)))
    found += [KitChange(name, _words(taken), "") for name, rest in given.items() for taken in rest]
    return found


def _places(kit: KitContents, before: str = "") -> list[tuple[str, list[tuple[str, Choice]]]]:
    found = []
    for part in kit.parts:
        direct = [(_choice_words(part, choice), choice) for choice in part.choices if not choice.kit]
        for choice in part.choices:
            if choice.kit and len(part.choices) == 1:
                found += _places(choice.kit, f"{before}{choice.name}: ")
        if direct:
            found.append((before + part.name, direct))
    return found


def _same(taken: KitTaken, choice: Choice, words: str) -> bool:
    if taken.unit_id:
        return taken.unit_id == choice.unit_id
    return taken.item_id == choice.item_id and _words(taken) == words


def _words(taken: KitTaken) -> str:
    return taken.unit.tag if taken.unit else f"{said(taken.quantity)} {taken.item}"


def _choice_words(part: Part, choice: Choice) -> str:
    return f"{said(part.quantity)} {choice.name}" if choice.item_id else choice.name


def _contents(pk: int, rows: Mapping[int, list[_Row]]) -> KitContents:
    parts = []
    for part_id, options in groupby(rows[pk], lambda row: row.part_id):
        if part_id is None:
            continue
        first, *others = options
        choices = tuple(found for row in (first, *others) if (found := _choice(row, rows)))
        name = first.part or (choices[0].name if choices else str(first.position))
        parts.append(Part(part_id, name, first.quantity, choices))
    return KitContents(pk, rows[pk][0].kit, rows[pk][0].version, tuple(parts))


def _choice(row: _Row, rows: Mapping[int, list[_Row]]) -> Choice | None:
    if row.unit_id:
        return Choice(row.tag, unit_id=row.unit_id)
    if row.item_id:
        return Choice(row.item, item_id=row.item_id)
    if row.sub_kit_id:
        return Choice(rows[row.sub_kit_id][0].kit, kit=_contents(row.sub_kit_id, rows))
    return None  # a place that nothing may fill


class _Absences:
    """When each thing of a kit is somewhere else."""

    def __init__(self, kit: KitContents, window: Interval) -> None:
        self.window, self.kit = window, kit
        self.units: dict[int, list[Span]] = {pk: [] for pk in kit.unit_ids}
        promises = Allocation.objects.filter(
            live(now()), unit__in=kit.unit_ids, blocked__overlap=window.as_range
        )
        for promise in promises.order_by("blocked"):
            self.units[promise.unit_id].append(self._span(promise.blocked.lower, promise.blocked.upper))
        unfit = Unit.objects.filter(pk__in=kit.unit_ids).exclude(condition=Condition.READY)
        for pk in unfit.values_list("pk", flat=True):
            self.units[pk] = [self._span(window.starts_at, window.ends_at)]
        self.items = availabilities(StockItem.objects.filter(pk__in=kit.item_ids), window)

    def of_part(self, part: Part) -> list[Span]:
        """A place is empty while every one of its choices is away."""
        away = [self.of_choice(part, choice) for choice in part.choices]
        return both(away) if away else [self._span(self.window.starts_at, self.window.ends_at)]

    def of_choice(self, part: Part, choice: Choice) -> list[Span]:
        if choice.kit:
            return either([self.of_part(inner) for inner in choice.kit.parts])
        if choice.unit_id:
            return either([self.units[choice.unit_id]])
        there = self.items[choice.item_id or 0]
        short = [level for level in there.levels if there.may_take(level) < part.quantity]
        return either([[self._span(level.start, level.end or self.window.ends_at)] for level in short])

    def _span(self, start: object, end: object) -> Span:
        return Span(max(start, self.window.starts_at), min(end, self.window.ends_at))  # type: ignore[type-var]
