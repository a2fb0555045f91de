"""Saving a kit: no kit contains itself, whoever edits what at the same moment."""

from __future__ import annotations

from typing import Any

from django.db import IntegrityError, connection, transaction

from gear.booking.transactions import broken_constraint, in_one_transaction
from gear.errors import Conflict, FieldProblem, Gone, Invalid, StaleEdit
from gear.inventory.models import Unit
from gear.kits.contents import loop_through
from gear.kits.entry import KitEntry, OptionEntry
from gear.kits.models import Kit, KitOption, KitPart
from gear.stock.models import StockItem
from gear.stock.rules import quantity

__all__ = ["remove_kit", "save_kit"]

_SHAPES_OF_KITS = 0x4B495453
"""The one lock that every change of what is in which kit takes: a loop can be closed by two edits of two kits."""


@in_one_transaction
def save_kit(entry: KitEntry, by: Any, *, pk: int | None = None, version: int | None = None) -> Kit:
    """A new kit, or another content for one. Bookings keep what they were given. Raises `Invalid` (also for a kit that
    would contain itself), `StaleEdit`, `Gone`, `Conflict` for a taken name."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_advisory_xact_lock(%s)", [_SHAPES_OF_KITS])
    kit = Kit()
    if pk is not None:
        kit = _locked(pk)
        if version is not None and kit.version != version:
            raise StaleEdit(
                f"{kit.name} was changed by somebody else in the meantime; nothing was overwritten. "
                "Look at what it says now, then make your change again."
            )
        kit.version += 1
    kit.name, kit.notes = entry.name, entry.notes
    _save(kit)
    options = _options(entry)
    _refuse_loop(kit, {option.sub_kit_id for found in options for option in found if option.sub_kit_id})
    kit.parts.all().delete()
    for position, (part, found) in enumerate(zip(entry.parts, options, strict=True), start=1):
        made = KitPart.objects.create(kit=kit, position=position, name=part.name, quantity=part.quantity)
        for option in found:
            option.part = made
        KitOption.objects.bulk_create(found)
    return kit


@in_one_transaction
def remove_kit(pk: int, by: Any) -> None:
    """The kit is no more; what was promised of it stays promised. Raises `Conflict` while it is in another kit."""
    kit = _locked(pk)
    outer = Kit.objects.filter(parts__options__sub_kit=kit).first()
    if outer:
        raise Conflict(f"{kit.name} is in {outer.name}. Take it out there first.")
    kit.delete()


def _locked(pk: int) -> Kit:
    kit = Kit.objects.select_for_update().filter(pk=pk).first()
    if kit is None:
        raise Gone(f"There is no kit {pk}. Look for it under Gear, Kits.")
    return kit


def _options(entry: KitEntry) -> list[list[KitOption]]:
    every = [option for part in entry.parts for option in part.options]
    units = {u.tag: u for u in Unit.objects.filter(tag__in=[o.unit.strip().upper() for o in every if o.unit])}
    items = {i.pk: i for i in StockItem.objects.filter(pk__in=[o.item for o in every if o.item])}
    sub_kits = {k.pk: k for k in Kit.objects.filter(pk__in=[o.kit for o in every if o.kit])}
    problems: list[FieldProblem] = []
    found = []
    for index, part in enumerate(entry.parts):
        row = []
        for place, option in enumerate(part.options):
            made = KitOption(
                position=place + 1,
                unit=units.get((option.unit or "").strip().upper()),
                item=items.get(option.item or 0),
                sub_kit=sub_kits.get(option.kit or 0),
            )
            if not (made.unit or made.item or made.sub_kit):
                problems.append(FieldProblem(f"parts.{index}.options.{place}", _unknown(option)))
            elif made.item:
                quantity(part.quantity, made.item, f"parts.{index}.quantity")
            elif part.quantity != 1:
                problems.append(
                    FieldProblem(f"parts.{index}.quantity", "1; only counted things have a quantity")
                )
            row.append(made)
        found.append(row)
    if problems:
        raise Invalid(f"The kit cannot be kept like this: {problems[0].expected}.", tuple(problems))
    return found


def _unknown(option: OptionEntry) -> str:
    if option.unit is not None:
        return f"there is no unit {option.unit[:20]}"
    return (
        f"there is no stock item {option.item}"
        if option.item is not None
        else f"there is no kit {option.kit}"
    )


def _refuse_loop(kit: Kit, inner: set[int]) -> None:
    inside: dict[int, set[int]] = {}
    for outer, sub in KitOption.objects.filter(sub_kit__isnull=False).values_list(
        "part__kit_id", "sub_kit_id"
    ):
        inside.setdefault(outer, set()).add(sub)
    inside[kit.pk] = inner
    way = loop_through(kit.pk, inside)
    if way:
        names = dict(Kit.objects.filter(pk__in=way).values_list("pk", "name"))
        raise Invalid(
            f"A kit cannot contain itself: {' contains '.join(names[pk] for pk in way)}. Take one of them out.",
            (FieldProblem("parts", "kits that do not lead back to this one"),),
            code="kit-loop",
        )


def _save(kit: Kit) -> None:
    try:
        with transaction.atomic():
            kit.save()
    except IntegrityError as error:
        if broken_constraint(error) != "kits_name_once":
            raise
        raise Conflict(
            f"There is already a kit “{kit.name}”.",
            ways_out=("Open that one, or give this one another name.",),
            code="name-taken",
        ) from None
