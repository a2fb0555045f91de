"""Promising a kit: every part, or nothing, or what somebody consented to take instead."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from gear.booking.claims import quickly_first
from gear.booking.clashes import in_the_way
from gear.booking.locks import locked, locked_units
from gear.booking.models import Booking
from gear.booking.queries import free_units
from gear.booking.releasing import let_go_units
from gear.booking.rules import now, refuse_ended, refuse_lapsed, use_of
from gear.booking.services import promise_locked
from gear.booking.transactions import in_one_transaction
from gear.booking.wall_time import say, say_period
from gear.changes import announce, announce_together
from gear.errors import Conflict, FieldProblem, Gone, Invalid
from gear.inventory.models import Unit
from gear.kits.choosing import Free, Taken, choose, impossible
from gear.kits.contents import Choice, KitContents, Part
from gear.kits.models import Kit, KitPromise, KitTaken
from gear.kits.queries import contents, free_things
from gear.stock.locks import locked_items
from gear.stock.models import StockItem
from gear.stock.promising import Wanted, asked_for, let_go_lines, lines_of, put_lines
from gear.stock.rules import said

__all__ = ["KitIncomplete", "Offer", "promise_kit", "release_kit", "take_over_contents"]

_OFFERED = 5


@dataclass(frozen=True)
class Offer:
    """A part that is missing, and units that could stand in for it when somebody consents."""

    part_id: int
    part: str
    missing: str
    instead: tuple[Unit, ...]


class KitIncomplete(Conflict):
    """Not every part is free for the whole time; nothing was promised. ``offers`` name what could stand in."""

    code = "kit-incomplete"

    def __init__(self, sentence: str, offers: tuple[Offer, ...] = ()) -> None:
        self.offers = offers
        ways = tuple(
            f"Take {unit.tag} ({unit.gear_type}) for “{offer.part}” instead of {offer.missing}."
            for offer in offers
            for unit in offer.instead
        )
        super().__init__(sentence, ways_out=ways)


def promise_kit(
    booking: Booking, kit: Kit, by: Any, *, instead: Mapping[int, str] | None = None
) -> KitPromise:
    """Promise every part of a kit, or nothing. ``instead`` is the consent: part id → tag of the unit that stands in.

    Locks the booking, then counted things, then units, each by id. Raises `KitIncomplete`, `Invalid`, `Gone`.
    """
    return quickly_first(lambda quickly: _promise_kit(booking, kit, by, instead or {}, quickly))


@in_one_transaction
def _promise_kit(
    booking: Booking, kit: Kit, by: Any, instead: Mapping[int, str], quickly: bool
) -> KitPromise:
    booking = locked(booking)
    refuse_ended(booking)
    refuse_lapsed(booking)
    asked = _asked(booking, kit, instead, by)
    return _promised(asked, _lock(asked.unit_ids, asked.whole.item_ids), quickly)


@in_one_transaction
def release_kit(promise: KitPromise, by: Any) -> None:
    """Let a kit go again with all it brought. Raises `Conflict` for what has left."""
    booking = locked(promise.booking)
    brought = _brought(promise)
    _let_go(booking, promise, brought, _lock(*brought))


@in_one_transaction
def take_over_contents(
    promise: KitPromise, by: Any, *, instead: Mapping[int, str] | None = None
) -> KitPromise:
    """Take over what is in the kit now: a new check of all of it, or everything stays as it was. Raises as
    `promise_kit`."""
    booking = locked(promise.booking)
    kit = promise.kit
    if kit is None:
        raise Gone(f"{promise.name} is no kit any more. What was promised of it stays promised.")
    asked, brought = _asked(booking, kit, instead or {}, by), _brought(promise)
    unit_ids, item_ids = brought
    things = _lock(unit_ids | asked.unit_ids, item_ids | asked.whole.item_ids)
    _let_go(booking, promise, brought, things)
    refuse_ended(booking)
    refuse_lapsed(booking)
    return _promised(asked, things, quickly=False)


@dataclass(frozen=True)
class _Asked:
    """A kit that somebody asks for; the booking is locked."""

    booking: Booking
    whole: KitContents
    stand_ins: Mapping[int, Unit]
    by: Any

    @property
    def unit_ids(self) -> set[int]:
        return self.whole.unit_ids | {unit.pk for unit in self.stand_ins.values()}


@dataclass(frozen=True)
class _Things:
    """Units and counted things by id, all of them locked."""

    units: Mapping[int, Unit]
    items: Mapping[int, StockItem]


def _asked(booking: Booking, kit: Kit, instead: Mapping[int, str], by: Any) -> _Asked:
    whole = contents(kit)
    return _Asked(booking, whole, _stand_ins(whole, instead), by)


def _lock(unit_ids: Collection[int], item_ids: Collection[int]) -> _Things:
    items = {item.pk: item for item in locked_items(item_ids)}
    return _Things({unit.pk: unit for unit in locked_units(unit_ids)}, items)


def _promised(asked: _Asked, things: _Things, quickly: bool) -> KitPromise:
    whole = asked.whole
    taken = _choose(asked, things)
    promise = KitPromise.objects.create(
        booking=asked.booking,
        kit_id=whole.id,
        name=whole.name,
        kit_version=whole.version,
        promised_by=asked.by,
    )
    _give(asked, things, promise, taken, quickly)
    return promise


def _brought(promise: KitPromise) -> tuple[set[int], set[int]]:
    """The ids of units and of counted things that go when a kit goes: not what was there before it, nor what another
    kit of the booking has as well."""
    taken = list(KitTaken.objects.filter(promise__booking=promise.booking_id))
    ours = [one for one in taken if one.promise_id == promise.pk]
    elsewhere = {one.unit_id for one in taken if one.promise_id != promise.pk}
    unit_ids = {one.unit_id for one in ours if one.unit_id and not one.was_there}
    return unit_ids - elsewhere, {one.item_id for one in ours if one.item_id}


def _let_go(
    booking: Booking, promise: KitPromise, brought: tuple[set[int], set[int]], things: _Things
) -> None:
    unit_ids, item_ids = sorted(brought[0]), sorted(brought[1])
    lines = lines_of(booking, {pk: things.items[pk] for pk in item_ids})
    let_go = let_go_lines(line for line in lines if line.source == promise.source)
    gone = let_go_units(booking, [things.units[pk] for pk in unit_ids], now())
    announce_together({"unit": unit_ids if gone else [], "stock": let_go})
    promise.delete()


def _stand_ins(whole: KitContents, instead: Mapping[int, str]) -> dict[int, Unit]:
    parts = {part.id: part for part, _ in whole.everything()}
    found = {}
    for part_id, tag in instead.items():
        if part_id not in parts:
            raise Invalid(
                f"{whole.name} has no part {part_id}.", (FieldProblem("instead", "parts of the kit"),)
            )
        unit = Unit.objects.select_related("gear_type").filter(tag=str(tag).strip().upper()).first()
        if unit is None:
            raise Gone(f"There is no unit with the tag {str(tag).strip()[:20]!r}.")
        found[part_id] = unit
    return found


def _choose(asked: _Asked, things: _Things) -> tuple[Taken, ...]:
    booking, whole = asked.booking, asked.whole
    spoken_for = set(
        KitTaken.objects.filter(promise__booking=booking, unit__isnull=False).values_list(
            "unit_id", flat=True
        )
    )
    items = {pk: things.items[pk] for pk in whole.item_ids & things.items.keys()}
    free = free_things(asked.unit_ids - spoken_for, items.values(), use_of(booking), ignoring=[booking.pk])
    # the booking's own other lines of an item are no longer free to this kit
    left = dict(free.items)
    for line in lines_of(booking, items):
        left[line.item_id] -= line.quantity
    free = Free(free.units, left)
    parts = _with_stand_ins(whole, asked.stand_ins).parts
    taken = choose(parts, free)
    if taken is None:
        raise _incomplete(booking, whole, parts, free)
    return taken


def _with_stand_ins(whole: KitContents, stand_ins: Mapping[int, Unit]) -> KitContents:
    def of(part: Part) -> Part:
        if part.id in stand_ins:
            unit = stand_ins[part.id]
            return replace(part, choices=(Choice(unit.tag, unit_id=unit.pk),))
        choices = tuple(
            replace(c, kit=_with_stand_ins(c.kit, stand_ins)) if c.kit else c for c in part.choices
        )
        return replace(part, choices=choices)

    return replace(whole, parts=tuple(of(part) for part in whole.parts))


def _give(
    asked: _Asked, things: _Things, promise: KitPromise, taken: tuple[Taken, ...], quickly: bool
) -> None:
    """Nobody can have taken anything since it was chosen: all of it is locked."""
    booking, by = asked.booking, asked.by
    wished = {part.id: part for part, _ in asked.whole.everything()}
    places = list(wished)
    taken = tuple(sorted(taken, key=lambda one: places.index(one.part_id)))
    units = [things.units[pk] for pk in sorted(one.unit_id for one in taken if one.unit_id)]
    had = promise_locked(booking, units, by, quickly=quickly).had if units else frozenset()
    sums = asked_for(things.items, [Wanted(one.item_id, one.quantity) for one in taken if one.item_id])
    if sums:
        put_lines(booking, things.items, sums, {}, promise.source, by)
        announce("stock", sorted(sums))
    KitTaken.objects.bulk_create(
        KitTaken(
            promise=promise,
            part=one.part[:200],
            unit_id=one.unit_id,
            item_id=one.item_id,
            quantity=one.quantity,
            was_there=one.unit_id in had,
            instead_of=_any(wished[one.part_id])[:200] if one.part_id in asked.stand_ins else "",
        )
        for one in taken
    )


def _incomplete(booking: Booking, whole: KitContents, parts: tuple[Part, ...], free: Free) -> KitIncomplete:
    use = use_of(booking)
    when = say_period(use.starts_at, use.ends_at, booking.zone)
    missing = _missing(parts, free)
    if not missing:
        return KitIncomplete(
            f"{whole.name} cannot be put together for {when}: some of its parts need the same thing."
        )
    said_parts = "; ".join(_why(part, booking, free) for part in missing)
    return KitIncomplete(
        f"{whole.name} is not complete for {when}, so nothing of it was promised: {said_parts}.",
        tuple(_offer(part, booking, whole) for part in missing),
    )


def _missing(parts: tuple[Part, ...], free: Free) -> list[Part]:
    found = []
    for part in impossible(parts, free):
        inner = [choice.kit for choice in part.choices if choice.kit]
        deeper = _missing(inner[0].parts, free) if len(part.choices) == 1 and inner else []
        found += deeper or [part]
    return found


def _why(part: Part, booking: Booking, free: Free) -> str:
    words = []
    for choice in part.choices[:3]:
        if choice.unit_id:
            unit = Unit.objects.select_related("gear_type").get(pk=choice.unit_id)
            clashes = in_the_way([unit], use_of(booking), [booking.pk])
            if clashes:
                last = clashes[0].promises[-1]
                words.append(
                    f"{unit.tag} is with “{last.booking.title}” until {say(last.use.upper, booking.zone)}"
                )
            else:
                words.append(f"{unit.tag} is {unit.get_condition_display().lower()}, or spoken for here")
        elif choice.item_id:
            item = StockItem.objects.get(pk=choice.item_id)
            there = max(Decimal(0), free.items.get(item.pk, Decimal(0)))
            words.append(f"{said(there)} of {said(part.quantity)} {item} are free")
        else:
            words.append(f"{choice.name} is not complete")
    return f"“{part.name}”: {', '.join(words)}"


def _offer(part: Part, booking: Booking, whole: KitContents) -> Offer:
    ids = [choice.unit_id for choice in part.choices if choice.unit_id]
    wished = Unit.objects.filter(pk__in=ids).select_related("gear_type")
    kinds = {unit.gear_type.kind for unit in wished}
    types = {unit.gear_type_id for unit in wished}
    if not kinds:
        return Offer(part.id, part.name, _any(part), ())
    free = free_units(use_of(booking), kinds=kinds, ignoring=[booking.pk]).exclude(
        pk__in=whole.unit_ids | set(booking.allocations.values_list("unit_id", flat=True))
    )
    same = list(free.filter(gear_type__in=types)[:_OFFERED])
    others = list(free.exclude(gear_type__in=types)[: _OFFERED - len(same)])
    return Offer(part.id, part.name, _any(part), tuple(same + others))


def _any(part: Part) -> str:
    return " or ".join(choice.name for choice in part.choices)
