"""Promising a kit: every part, or nothing, or what somebody consented to take instead."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from gear.booking.clashes import in_the_way
from gear.booking.locks import locked, locked_units
from gear.booking.models import Booking
from gear.booking.queries import free_units
from gear.booking.rules import refuse_ended, refuse_lapsed, use_of
from gear.booking.services import promise_units, release_units
from gear.booking.transactions import in_one_transaction
from gear.booking.wall_time import say, say_period
from gear.errors import Conflict, FieldProblem, Gone, Invalid
from gear.inventory.models import Unit
from gear.kits.choosing import Free, Taken, choose, impossible
from gear.kits.contents import Choice, KitContents, Part
from gear.kits.models import Kit, KitPromise, KitTaken
from gear.kits.queries import contents, free_things, kit_numbered
from gear.stock.locks import locked_items
from gear.stock.models import StockItem
from gear.stock.promising import Wanted, promise_stock, release_stock
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


@in_one_transaction
def promise_kit(
    booking: Booking, kit: Kit, by: Any, *, instead: Mapping[int, str] | None = None
) -> KitPromise:
    """Promise every part of a kit, or nothing. ``instead`` is the consent: part id → tag of the unit that stands in.

    Locks the booking, then counted things, then units, each by id. Raises `KitIncomplete`, `Invalid`, `Gone`.
    """
    booking = locked(booking)
    refuse_ended(booking)
    refuse_lapsed(booking)
    whole = contents(kit_numbered(kit.pk))
    stand_ins = _stand_ins(whole, instead or {})
    _lock(whole, stand_ins)
    taken = _choose(booking, whole, stand_ins)
    promise = KitPromise.objects.create(
        booking=booking, kit_id=whole.id, name=whole.name, kit_version=whole.version, promised_by=by
    )
    _give(promise, taken, stand_ins, whole, by)
    return promise


@in_one_transaction
def release_kit(promise: KitPromise, by: Any) -> None:
    """Let a kit go again with all it brought. Raises `Conflict` for what has left."""
    booking = locked(promise.booking)
    _let_go(booking, promise, by)
    promise.delete()


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
    whole = contents(kit)
    _lock(whole, _stand_ins(whole, instead or {}), promise)
    _let_go(booking, promise, by)
    promise.delete()
    return promise_kit(booking, kit, by, instead=instead)


def _lock(whole: KitContents, stand_ins: Mapping[int, Unit], promise: KitPromise | None = None) -> None:
    items, units = set(whole.item_ids), whole.unit_ids | {unit.pk for unit in stand_ins.values()}
    if promise is not None:
        items |= {pk for pk in promise.taken.values_list("item_id", flat=True) if pk}
        units |= {pk for pk in promise.taken.values_list("unit_id", flat=True) if pk}
    locked_items(items)
    locked_units(units)


def _let_go(booking: Booking, promise: KitPromise, by: Any) -> None:
    taken = list(promise.taken.all())
    release_stock(booking, {t.item_id for t in taken if t.item_id}, by, source=promise.source)
    elsewhere = set(
        KitTaken.objects.filter(promise__booking=booking)
        .exclude(promise=promise)
        .values_list("unit_id", flat=True)
    )
    release_units(booking, {t.unit_id for t in taken if t.unit_id and not t.was_there} - elsewhere, by)


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


def _choose(booking: Booking, whole: KitContents, stand_ins: Mapping[int, Unit]) -> tuple[Taken, ...]:
    use = use_of(booking)
    spoken_for = set(
        KitTaken.objects.filter(promise__booking=booking, unit__isnull=False).values_list(
            "unit_id", flat=True
        )
    )
    free = free_things(whole, use, ignoring=[booking.pk], but=spoken_for)
    more = free_units(use, ignoring=[booking.pk]).filter(pk__in=[unit.pk for unit in stand_ins.values()])
    # the booking's own other lines of an item are no longer free to this kit
    own: dict[int, Decimal] = {}
    for line in booking.stock_promises.filter(item__in=whole.item_ids):
        own[line.item_id] = own.get(line.item_id, Decimal(0)) + line.quantity
    free = Free(
        free.units | (frozenset(more.values_list("pk", flat=True)) - spoken_for),
        {pk: there - own.get(pk, Decimal(0)) for pk, there in free.items.items()},
    )
    parts = _with_stand_ins(whole, stand_ins).parts
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
    promise: KitPromise,
    taken: tuple[Taken, ...],
    stand_ins: Mapping[int, Unit],
    whole: KitContents,
    by: Any,
) -> None:
    wished = {part.id: part for part, _ in whole.everything()}
    places = list(wished)
    taken = tuple(sorted(taken, key=lambda one: places.index(one.part_id)))
    before = set(promise.booking.allocations.values_list("unit_id", flat=True))
    if units := [one.unit_id for one in taken if one.unit_id]:
        promise_units(promise.booking, units, by)
    if lines := [Wanted(one.item_id, one.quantity) for one in taken if one.item_id]:
        promise_stock(promise.booking, lines, by, source=promise.source)
    KitTaken.objects.bulk_create(
        KitTaken(
            promise=promise,
            part=one.part[:200],
            unit_id=one.unit_id,
            item_id=one.item_id,
            quantity=one.quantity,
            was_there=one.unit_id in before,
            instead_of=_any(wished[one.part_id])[:200] if one.part_id in stand_ins else "",
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
