"""What the store holds. Nothing here writes."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.db.models import Q, QuerySet
from django.utils import timezone

from gear.catalogue.models import GearType
from gear.catalogue.queries import gear_types
from gear.errors import Gone
from gear.inventory.columns import inventory_file
from gear.inventory.models import CareEntry, ImportDraft, Unit
from gear.inventory.rules import tag_to_find

__all__ = [
    "care_of",
    "cases",
    "contents_of",
    "draft_of",
    "types_to_choose",
    "unit_tagged",
    "units",
    "whole_inventory",
]


def units(
    *, kind: str = "", condition: str = "", case: str = "", type_slug: str = "", search: str = ""
) -> QuerySet[Unit]:
    """Units by tag, each with its gear type and case. Every word of ``search`` must occur in the tag, the serial
    number, or the name or maker of the gear type.
    """
    found = Unit.objects.select_related("gear_type", "case").order_by("tag")
    if kind:
        found = found.filter(gear_type__kind=kind)
    if condition:
        found = found.filter(condition=condition)
    if case:
        found = found.filter(case__tag=case.upper())
    if type_slug:
        found = found.filter(gear_type__slug=type_slug)
    for word in search.replace("\x00", "").split():
        # ids first: the planner can then combine the search indexes of tag and serial with the one of the type
        of_type = list(gear_types(search=word).order_by().values_list("id", flat=True))
        found = found.filter(Q(tag__icontains=word) | Q(serial__icontains=word) | Q(gear_type_id__in=of_type))
    return found


def unit_tagged(tag: str) -> Unit:
    """The unit with this tag, with its gear type and case. Raises `Gone`."""
    unit = Unit.objects.select_related("gear_type", "case").filter(tag=tag_to_find(tag)).first()
    if unit is None:
        raise Gone(f"There is no unit {tag[:20]}. Look for it under Gear, by serial number or type.")
    return unit


def care_of(unit: Unit, at_most: int = 50) -> list[CareEntry]:
    """Its care history, newest first by the day it was true, then by when it was written down."""
    return list(unit.care.select_related("by").order_by("-happened_on", "-entered_at", "-id")[:at_most])


def contents_of(unit: Unit, at_most: int = 200) -> list[Unit]:
    """What travels in it, when it is a case."""
    return list(unit.contents.select_related("gear_type").order_by("tag")[:at_most])


def cases() -> QuerySet[Unit]:
    """All cases, by tag."""
    return Unit.objects.filter(gear_type__kind="case").select_related("gear_type").order_by("tag")


def types_to_choose() -> QuerySet[Any, Any]:
    """(kind, slug, maker, name) of every gear type, in the order of the list."""
    return GearType.objects.order_by("kind", "name").values_list("kind", "slug", "maker", "name")


def whole_inventory() -> Iterator[str]:
    """The lines of the inventory file that the import takes, every unit by tag."""
    every = Unit.objects.select_related("gear_type", "case").order_by("tag")
    return inventory_file(every.iterator(chunk_size=2000))


def draft_of(pk: int, by: Any) -> ImportDraft:
    """The upload of this person that waits for confirmation. Raises `Gone`."""
    draft = ImportDraft.objects.filter(pk=pk, by=by, expires_at__gt=timezone.now()).first()
    if draft is None:
        raise Gone("This upload was imported, discarded or is too old. Upload the file again.")
    return draft
