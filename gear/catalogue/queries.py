"""What the catalogue holds. Nothing here writes."""

from __future__ import annotations

from django.db.models import Func, IntegerField, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import Coalesce

from gear.catalogue.entry import GearTypeEntry
from gear.catalogue.models import GearType
from gear.catalogue.type_document import write_type_document
from gear.errors import Gone

__all__ = ["count_of_units", "entry_fields", "gear_type_named", "gear_types", "type_document", "units_of"]


def gear_types(kind: str = "", search: str = "") -> QuerySet[GearType]:
    """Gear types in the order of the list, with ``unit_count``. Every word of ``search`` must occur in the name,
    the maker or the slug; accents and capitals do not matter.
    """
    found = GearType.objects.annotate(unit_count=count_of_units()).order_by("kind", "name", "id")
    if kind:
        found = found.filter(kind=kind)
    for word in search.replace("\x00", "").split():
        found = found.filter(
            Q(name__unaccent__icontains=word) | Q(maker__unaccent__icontains=word) | Q(slug__icontains=word)
        )
    return found


def count_of_units(**which: object) -> Coalesce:
    """How many such units a gear type has, counted only for what is shown."""
    units = GearType.units.rel.related_model.objects.filter(gear_type=OuterRef("pk"), **which).order_by()
    counted = units.annotate(all=Func("pk", function="COUNT", output_field=IntegerField()))
    return Coalesce(Subquery(counted.values("all")), 0)


def gear_type_named(slug: str) -> GearType:
    """The gear type with this slug. Raises `Gone`."""
    try:
        return GearType.objects.get(slug=slug)
    except GearType.DoesNotExist:
        raise Gone(f"There is no gear type “{slug}”. Its list is under Gear, Types.") from None


def units_of(gear_type: GearType, at_most: int = 60) -> list[object]:
    """Its first units by tag, each with the case it travels in."""
    return list(gear_type.units.select_related("case").order_by("tag")[:at_most])


def entry_fields(gear_type: GearType) -> dict[str, object]:
    """The fields of a stored entry under the names of `GearTypeEntry`."""
    return {field: getattr(gear_type, field) for field in GearTypeEntry.model_fields}


def type_document() -> str:
    """The whole catalogue as the document that the import takes."""
    stored = GearType.objects.order_by("slug")
    return write_type_document(GearTypeEntry.model_construct(**entry_fields(one)) for one in stored)
