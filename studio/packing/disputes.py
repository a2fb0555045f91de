"""One unit packed for two shoots by people who could not know of each other: both facts stay until a scan decides."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.db.models import QuerySet
from django.utils import timezone

from studio.packing.models import Dispute, PackingLine

__all__ = ["claim_out", "open_disputes", "settle_by_scan"]


def open_disputes() -> QuerySet[Dispute]:
    """What nobody has settled, oldest first, with the unit and both shoots."""
    return Dispute.objects.filter(settled_at=None).select_related(
        "unit", "holder__shoot__booking", "holder__out_by", "claim__shoot__booking", "claimed_by"
    )


def claim_out(claim: PackingLine, holder: PackingLine, at: datetime, by: Any) -> Dispute:
    """Keep that the unit of ``claim`` was packed there too, while it stands as out with ``holder``. Doing it twice
    changes nothing."""
    made, _ = Dispute.objects.get_or_create(
        claim=claim,
        settled_at=None,
        defaults={"unit": claim.unit, "holder": holder, "claimed_at": at, "claimed_by": by},
    )
    return made


def settle_by_scan(line: PackingLine, by: Any, at: datetime | None = None) -> bool:
    """Somebody has the unit of ``line`` in hand, at that shoot: it was there, and in no other. Returns whether there
    was something to settle. A scan that is older than the two that contradict each other settles nothing."""
    disputes = list(
        Dispute.objects.select_for_update(of=("self",)).filter(unit=line.unit, settled_at=None).order_by("pk")
    )
    if not disputes:
        return False
    holder = PackingLine.objects.select_for_update().get(pk=disputes[0].holder_id)
    newest = max([dispute.claimed_at for dispute in disputes] + ([holder.out_at] if holder.out_at else []))
    now = timezone.now()
    if (at or now) <= newest:
        return False
    mine = next((dispute for dispute in disputes if dispute.claim_id == line.pk), None)
    if holder.pk != line.pk and not holder.outcome:
        holder.out_at = holder.out_by = None
        holder.save(update_fields=["out_at", "out_by"])
    if mine and not line.out_at:
        line.out_at, line.out_by = mine.claimed_at, mine.claimed_by
        line.save(update_fields=["out_at", "out_by"])
    for dispute in disputes:
        dispute.settled_at, dispute.settled_by, dispute.settled_for = now, by, line.shoot
        dispute.save(update_fields=["settled_at", "settled_by", "settled_for"])
    return True
