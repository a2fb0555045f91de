"""The found tray: what was scanned and belongs to nothing here, until somebody knows what it is."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone

from gear.errors import Conflict, FieldProblem, Gone, Invalid
from gear.inventory.marks import mark_in
from gear.inventory.queries import unit_by_mark
from studio.packing.models import FoundThing
from studio.shoots.models import Shoot

__all__ = ["into_the_tray", "out_of_the_tray", "tray"]


def tray() -> QuerySet[FoundThing]:
    """What lies in the tray, the newest first."""
    return FoundThing.objects.filter(settled_at=None).select_related("shoot__booking", "by")


def into_the_tray(text: str, shoot: Shoot | None, by: Any, at: datetime | None = None) -> FoundThing:
    """Keep that something with this mark was found. The same mark lies there once."""
    made, _ = FoundThing.objects.get_or_create(
        mark=mark_in(text)[:120],
        settled_at=None,
        defaults={"shoot": shoot, "by": by, "at": at or timezone.now()},
    )
    return made


@transaction.atomic
def out_of_the_tray(pk: int, by: Any, *, tag: str = "", words: str = "") -> FoundThing:
    """Somebody knows what it is: a unit, or something else in a few words. The unit is not changed by that."""
    thing = FoundThing.objects.select_for_update().filter(pk=pk).first()
    if thing is None:
        raise Gone("That is not in the found tray.")
    if thing.settled_at:
        raise Conflict(f"“{thing.mark}” is out of the tray already.", code="settled")
    if not tag.strip() and not words.strip():
        raise Invalid(
            "Say which unit it is, or in a few words what became of it.",
            (FieldProblem("words", "a few words, or a tag"),),
        )
    thing.unit = unit_by_mark(tag) if tag.strip() else None
    thing.words, thing.settled_at, thing.settled_by = words.strip()[:300], timezone.now(), by
    thing.save(update_fields=["unit", "words", "settled_at", "settled_by"])
    return thing
