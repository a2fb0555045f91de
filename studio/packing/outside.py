"""What is out of the store, with whom, and until when?"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.db.models import F

from gear.stock.models import StockPromise
from gear.stock.rules import said
from studio.packing.models import PackingLine
from studio.shoots.models import Shoot

__all__ = ["Outside", "what_is_out"]

SHOWN = 500


@dataclass(frozen=True)
class Outside:
    """One thing that is out. ``tag`` is empty for counted things, ``what`` then says how many; ``who`` is who took it
    out, or whom the shoot belongs to."""

    tag: str
    what: str
    shoot: Shoot
    who: str
    due: datetime
    overdue: bool


def what_is_out(now: datetime) -> list[Outside]:
    """Units and counted things that left and are not accounted for, the first due first."""
    # Which they are first: how few of all lines that is, the planner would not guess.
    outside = list(PackingLine.objects.filter(out_at__isnull=False, outcome="").values_list("pk", flat=True))
    lines = (
        PackingLine.objects.filter(pk__in=outside)
        .select_related(
            "unit__gear_type", "shoot__booking", "shoot__assistant", "shoot__photographer", "out_by"
        )
        .order_by("shoot__booking__ends_at", "unit__tag")[:SHOWN]
    )
    counted = (
        StockPromise.objects.filter(booking__shoot__isnull=False)
        .annotate(left=F("out_quantity") - F("back_quantity") - F("used_quantity") - F("reported_quantity"))
        .filter(left__gt=0)
        .select_related(
            "item", "booking__shoot__booking", "booking__shoot__assistant", "booking__shoot__photographer"
        )
        .order_by("booking__ends_at", "item__name")[:SHOWN]
    )
    things = [_thing(line.unit.tag, line.unit.gear_type.name, line.shoot, line.out_by, now) for line in lines]
    things += [
        _thing(
            "",
            f"{said(line.still_out)} of {said(line.out_quantity)} {line.item}",
            line.booking.shoot,
            None,
            now,
        )
        for line in counted
    ]
    return sorted(things, key=lambda thing: thing.due)


def _thing(tag: str, what: str, shoot: Shoot, taken_by: object, now: datetime) -> Outside:
    who = taken_by or shoot.assistant or shoot.photographer
    due = shoot.booking.ends_at
    return Outside(tag, what, shoot, str(who or "nobody named"), due, due < now)
