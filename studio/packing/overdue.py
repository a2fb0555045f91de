"""What is still out when its time is over, while somebody waits for it: the clock says it is late."""

from __future__ import annotations

from datetime import timedelta

from django.utils import timezone

from gear.booking.models import Allocation
from gear.shortages.services import report_late
from studio.packing.models import PackingLine

__all__ = ["note_overdue"]


def note_overdue() -> int:
    """Report as late every unit that is out past its booking and that the next booking waits for; returns how many."""
    now = timezone.now()
    # Which are out comes first: how few of all lines that is, the planner would not guess.
    outside = list(PackingLine.objects.filter(out_at__isnull=False, outcome="").values_list("pk", flat=True))
    out = PackingLine.objects.filter(pk__in=outside, shoot__booking__ends_at__lt=now)
    found = 0
    for line in out.select_related("unit__gear_type", "shoot__booking"):
        ready_at = now + timedelta(minutes=line.unit.turnaround)
        promises = Allocation.objects.filter(unit=line.unit, active=True)
        waits = promises.filter(use__startswith__gt=now, blocked__startswith__lt=ready_at)
        had = promises.filter(booking=line.shoot.booking_id, use__endswith__lt=now)
        known = line.unit.late_returns.filter(settled_at=None)
        if waits.exists() and had.exists() and not known.exists():
            report_late(line.unit.tag, now, None, out_with=line.shoot.booking)
            found += 1
    return found
