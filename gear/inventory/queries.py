"""What the store holds. Nothing here writes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from django.db.models import Count, Q, QuerySet, Sum
from django.db.models.functions import Coalesce
from django.utils import timezone

from gear.catalogue.models import GearType
from gear.catalogue.queries import gear_types
from gear.errors import Conflict, FieldProblem, Gone, Invalid, Refusal
from gear.inventory.columns import inventory_file
from gear.inventory.marks import mark_in
from gear.inventory.models import CareEntry, Condition, ImportDraft, Unit
from gear.inventory.rules import tag_to_find
from gear.inventory.series import Reading, Series
from gear.inventory.short_code import was_misread

__all__ = [
    "DueList",
    "InspectionsDue",
    "care_of",
    "cases",
    "contents_of",
    "draft_of",
    "firmwares_beside",
    "inspection_overdue",
    "inspections_due",
    "repair_costs",
    "series_of",
    "types_to_choose",
    "unit_by_mark",
    "unit_tagged",
    "units",
    "whole_inventory",
    "why_not_found",
]


DUE_SOON_DAYS = 30
DUE_SHOWN = 200
_GONE = (Condition.LOST, Condition.WRITTEN_OFF)


@dataclass(frozen=True)
class DueList:
    """Units to inspect, the first of ``count``."""

    count: int
    units: tuple[Unit, ...]


@dataclass(frozen=True)
class InspectionsDue:
    """Which units are to be inspected, by how pressing it is."""

    overdue: DueList
    soon: DueList
    undated: DueList


def units(
    *, kind: str = "", condition: str = "", case: str = "", type_slug: str = "", search: str = ""
) -> QuerySet[Unit]:
    """Units by tag, each with its gear type and case. Every word of ``search`` must occur in the tag, the serial
    number, or the name or maker of the gear type, or be the short code. What a label holds finds its unit.
    """
    found = Unit.objects.select_related("gear_type", "case").order_by("tag")
    if search:
        # What has the words is found first and then put in order: few have them, which the planner may not know.
        found = found.order_by(Coalesce("tag", "tag"))
    if kind:
        found = found.filter(gear_type__kind=kind)
    if condition:
        found = found.filter(condition=condition)
    if case:
        found = found.filter(case__tag=case.upper())
    if type_slug:
        found = found.filter(gear_type__slug=type_slug)
    words = search.replace("\x00", "").split()
    if len(words) == 1 and ("/" in search or ":" in search):
        words = [mark_in(search)]
    for word in words:
        # ids first: the planner can then combine the search indexes of tag and serial with the one of the type
        of_type = list(gear_types(search=word).order_by().values_list("id", flat=True))
        found = found.filter(
            Q(tag__icontains=word)
            | Q(serial__icontains=word)
            | Q(gear_type_id__in=of_type)
            | Q(code=word.upper())
        )
    return found


def unit_by_mark(text: str) -> Unit:
    """The unit that a typed or scanned text names: by its tag, its short code, what its label holds, or the address of
    its page. With its gear type and case.

    Raises `Invalid` for nothing and for a code in which a character is wrong, `Gone` for what no unit is marked with.
    """
    mark = mark_in(text)
    if not mark:
        raise Invalid("Type or scan a tag.", (FieldProblem("tag", "expects a tag or a short code"),))
    named = Unit.objects.select_related("gear_type", "case").filter(Q(tag=mark) | Q(code=mark))
    match list(named.order_by("pk")[:2]):
        case [unit]:
            return unit
        case [one, other]:
            by_tag, by_code = (one, other) if one.tag == mark else (other, one)
            raise Conflict(
                f"{mark} is a tag and also the short code of {by_code.tag}.",
                ways_out=(
                    f"Scan the label of {by_code.tag}, or type that tag.",
                    f"Ask the manager to give {by_tag.tag} another tag.",
                ),
            )
    raise why_not_found(text)


def why_not_found(text: str) -> Refusal:
    """Why no unit answers to this text, as a refusal to raise or to show."""
    mark = mark_in(text)
    if was_misread(mark):
        return Invalid(
            f"There is no short code {mark}: one character is wrong. Read it again.",
            (FieldProblem("tag", "expects the six characters as they stand on the label"),),
            code="misread",
        )
    return Gone(
        f"Nothing here has the tag or code {mark[:40]}. Check the label, or put it in the found tray."
    )


def unit_tagged(tag: str) -> Unit:
    """The unit with this tag, with its gear type and case. Raises `Gone`."""
    unit = Unit.objects.select_related("gear_type", "case").filter(tag=tag_to_find(tag)).first()
    if unit is None:
        raise Gone(f"There is no unit {tag[:20]}. Look for it under Gear, by serial number or type.")
    return unit


def care_of(unit: Unit, at_most: int = 50) -> list[CareEntry]:
    """Its care history, newest first by the day it was true, then by when it was written down."""
    return list(unit.care.select_related("by").order_by("-happened_on", "-entered_at", "-id")[:at_most])


def repair_costs(unit: Unit) -> list[tuple[str, Decimal, int]]:
    """What its repairs have cost: (currency, sum, how many) by currency; different currencies are never added up."""
    costs = unit.care.filter(cost__isnull=False).order_by().values("currency")
    rows = costs.annotate(total=Sum("cost"), repairs=Count("pk")).order_by("currency")
    return [(row["currency"], row["total"], row["repairs"]) for row in rows]


def series_of(unit: Unit) -> Series | None:
    """What was measured on it over time: the health of a battery, the flashes of a head; None without a reading."""
    name = "health" if unit.gear_type.kind == "battery" else "flash_count"
    found = unit.care.filter(**{f"{name}__isnull": False}).order_by("happened_on", "id")
    readings = [
        Reading(day, value, kind == CareEntry.Kind.REPAIR)
        for day, value, kind in found.values_list("happened_on", name, "kind")
    ]
    return Series(name, tuple(readings)) if readings else None


def firmwares_beside(unit: Unit) -> list[tuple[str, int]]:
    """What runs on units of its type that are in the house: (version, how many), the most frequent first."""
    found = Unit.objects.filter(gear_type_id=unit.gear_type_id).exclude(condition__in=_GONE).order_by()
    rows = found.values("firmware").annotate(units=Count("pk")).order_by("-units", "firmware")
    return [(row["firmware"], row["units"]) for row in rows]


def inspection_overdue(today: date) -> Q:
    """Units in the house whose inspection was due before today."""
    return Q(inspection_due__lt=today) & ~Q(condition__in=_GONE)


def inspections_due(today: date) -> InspectionsDue:
    """What is overdue, what falls due within 30 days (today and the thirtieth count), and what should have a date by
    its gear type's interval and has none."""
    overdue = Unit.objects.select_related("gear_type", "case").filter(inspection_overdue(today))
    soon = _in_the_house().filter(inspection_due__range=(today, today + timedelta(days=DUE_SOON_DAYS)))
    undated = _in_the_house().filter(inspection_due__isnull=True, gear_type__inspection_days__isnull=False)
    return InspectionsDue(
        _first(overdue.order_by("inspection_due", "tag")),
        _first(soon.order_by("inspection_due", "tag")),
        _first(undated.order_by("tag")),
    )


def _in_the_house() -> QuerySet[Unit]:
    return Unit.objects.exclude(condition__in=_GONE).select_related("gear_type", "case")


def _first(units: QuerySet[Unit]) -> DueList:
    shown = list(units[: DUE_SHOWN + 1])
    return DueList(len(shown) if len(shown) <= DUE_SHOWN else units.count(), tuple(shown[:DUE_SHOWN]))


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
