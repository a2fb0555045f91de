"""What phones have sent and what is still open; and the lists as a phone keeps them. Nothing here decides."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from django.db.models import Count, Max, Q, QuerySet
from django.utils import timezone

from gear.booking.lasting import lasting
from gear.booking.models import Booking
from gear.booking.wall_time import say_period
from gear.errors import Conflict
from gear.stock.rules import said
from studio.packing.disputes import open_disputes
from studio.packing.found import tray
from studio.packing.models import PackingLine
from studio.packing.queries import PackingListSeen
from studio.packing.stock import stock_lines
from studio.phones.models import Device, Operation
from studio.shoots.models import Shoot

__all__ = [
    "devices",
    "list_for_phone",
    "of_device",
    "open_count",
    "refuse_unsettled",
    "shoots_to_keep",
    "to_look_at",
]

State = Operation.State

AHEAD = timedelta(days=14)
MOST_SHOOTS = 20
SHOWN = 100


def devices() -> QuerySet[Device]:
    """Every phone, the last seen first: its last synced point, what waits, what was said to be unsent."""
    return Device.objects.select_related("last_person").annotate(
        arrived=Max("operations__number", filter=~Q(operations__state=State.GAP)),
        last_act_at=Max("operations__acted_at"),
        waiting=Count("operations", filter=Q(operations__state=State.WAITING)),
        gaps=Count("operations", filter=Q(operations__state=State.GAP)),
    )


def of_device(device: Device) -> QuerySet[Operation]:
    """Its last acts, the newest first, the refused among them."""
    return (
        device.operations.select_related("shoot__booking", "unit", "made_by", "sent_by", "looked_by")
        .defer("photo")
        .order_by("-number")[:SHOWN]
    )


def to_look_at() -> QuerySet[Operation]:
    """What nobody could decide by rule, in the order in which it was done."""
    return (
        Operation.objects.filter(state=State.REVIEW)
        .select_related("device", "shoot__booking", "unit", "made_by", "sent_by")
        .defer("photo")
        .order_by("acted_at", "pk")
    )


def open_count() -> int:
    """How much waits for a person: acts to look at, units packed for two shoots, things in the found tray."""
    return Operation.objects.filter(state=State.REVIEW).count() + open_disputes().count() + tray().count()


def refuse_unsettled(shoot: Shoot) -> None:
    """A list stays open while an act for it waits or is to be looked at. Raises `Conflict`."""
    open_acts = Operation.objects.filter(shoot=shoot, state__in=[State.WAITING, State.REVIEW]).count()
    if open_acts:
        raise Conflict(
            f"{open_acts} {'act' if open_acts == 1 else 'acts'} from phones for this shoot "
            f"{'is' if open_acts == 1 else 'are'} not settled. Look at Phones, accept or drop each; then close.",
            code="phones-unsettled",
        )


@dataclass(frozen=True)
class ShootToKeep:
    """A shoot that a phone may pack for without a network."""

    shoot: Shoot
    when: str


def shoots_to_keep() -> list[ShootToKeep]:
    """Shoots of the next two weeks, and whatever is still out, soonest first."""
    now = timezone.now()
    outside = PackingLine.objects.filter(out_at__isnull=False, outcome="").order_by()
    planned = Shoot.objects.filter(
        lasting(now - timedelta(days=2), now + AHEAD),
        booking__state__in=[Booking.State.HOLD, Booking.State.CONFIRMED],
    )
    ids = {*planned.order_by().values_list("pk", flat=True), *outside.values_list("shoot", flat=True)}
    shoots = (
        Shoot.objects.filter(pk__in=ids, packing_closure=None)
        .select_related("booking", "room__place")
        .order_by("booking__starts_at", "pk")[:MOST_SHOOTS]
    )
    return [ShootToKeep(shoot, _when(shoot)) for shoot in shoots]


def list_for_phone(seen: PackingListSeen) -> dict[str, Any]:
    """The list as a phone keeps it, with the state that the server knows."""
    shoot = seen.shoot
    return {
        "shoot": shoot.pk,
        "title": shoot.title,
        "when": _when(shoot),
        "where": str(shoot.room),
        "closed": seen.closed,
        "made_at": timezone.now(),
        "lines": [
            _line(line, group.name if group.case else "") for group in seen.groups for line in group.lines
        ],
        "counted": [
            {
                "line": line.pk,
                "name": line.item.name,
                "shelf": line.item.shelf,
                "wanted": said(line.quantity),
                "out": said(line.out_quantity),
                "back": said(line.back_quantity),
                "accounted": said(line.out_quantity - line.still_out),
            }
            for line in stock_lines(shoot)
        ],
    }


def _line(line: PackingLine, case: str) -> dict[str, Any]:
    return {
        "tag": line.unit.tag,
        "code": line.unit.code,
        "name": line.unit.gear_type.name,
        "why": "; ".join(filter(None, (line.reason, line.around))),
        "shelf": line.unit.shelf,
        "case": case,
        "wanted": line.wanted,
        "unfit": "" if line.unit.condition == "ready" else line.unit.get_condition_display(),
        "state": line.outcome or ("out" if line.out_at else "wanted"),
    }


def _when(shoot: Shoot) -> str:
    return say_period(shoot.booking.starts_at, shoot.booking.ends_at, shoot.booking.zone)
