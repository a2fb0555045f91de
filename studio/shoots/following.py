"""Another unit goes in place of one that cannot: its jobs follow, in the transaction of the swap."""

from __future__ import annotations

from gear.booking.models import Booking
from gear.errors import Conflict
from gear.inventory.models import Unit
from studio.shoots.assigning import slot_of
from studio.shoots.locks import changed
from studio.shoots.models import Assignment, Shoot
from studio.shoots.rules import refuse_wrong_kind, slot_name

__all__ = ["JobsOfBooking"]


class JobsOfBooking:
    """The follower that keeps jobs and promises of a shoot together."""

    def lock(self, booking: Booking) -> None:
        """The shoot, before its booking."""
        Shoot.objects.select_for_update(no_key=True, of=("self",)).filter(booking=booking).first()

    def swapped(self, booking: Booking, old: Unit, new: Unit | None) -> None:
        """The new unit does what the old one did; without one the jobs are empty. Raises `Invalid` for a wrong kind,
        `Conflict` when the new one has a job in the same recipe already."""
        shoot = Shoot.objects.select_related("booking").filter(booking=booking).first()
        if shoot is None:
            return
        jobs = Assignment.objects.filter(shoot_recipe__shoot=shoot, unit=old)
        for job in jobs.select_related("shoot_recipe__revision"):
            if new is None:
                job.delete()
                continue
            refuse_wrong_kind(new, slot_of(job), job.shoot_recipe.revision.look)
            other = job.shoot_recipe.assignments.filter(unit=new).first()
            if other:
                raise Conflict(
                    f"{new.tag} already does {slot_name(slot_of(other))} in the same recipe. Take another one.",
                    code="unit-has-a-job",
                )
            job.unit = new
            job.save(update_fields=["unit"])
        changed(shoot)
