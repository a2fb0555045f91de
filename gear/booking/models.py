"""What a promise is, and the constraint that makes a double one impossible."""

from __future__ import annotations

from datetime import UTC, datetime

from django.conf import settings
from django.contrib.postgres.constraints import ExclusionConstraint
from django.contrib.postgres.fields import DateTimeRangeField, RangeOperators
from django.contrib.postgres.indexes import GistIndex
from django.db import models
from django.db.models import F, Q
from django.db.models.constraints import Deferrable

from gear.booking.lasting import from_start_to_end
from gear.booking.series_models import Occurrence, Series
from gear.booking.wall_time import OPEN_END
from gear.inventory.models import Unit

__all__ = ["Allocation", "Booking", "Occurrence", "Series", "UnitWindow"]

# PostgreSQL also knows the instants -infinity and infinity, which an open bound is not and Python cannot read.
_PLANNED = ["enquiry", "hold", "confirmed"]
_CALENDAR = (datetime(1900, 1, 1, tzinfo=UTC), datetime(2501, 1, 1, tzinfo=UTC))


class Booking(models.Model):
    """What somebody asked for, and how firmly it was promised. Knows nothing of what it is for."""

    class State(models.TextChoices):
        ENQUIRY = "enquiry", "Enquiry"
        HOLD = "hold", "Hold"
        CONFIRMED = "confirmed", "Confirmed"
        CANCELLED = "cancelled", "Cancelled"
        CLOSED = "closed", "Closed"

    title = models.CharField(max_length=120)
    state = models.CharField(max_length=10, choices=State, default=State.ENQUIRY)
    hold_until = models.DateTimeField(null=True, blank=True)
    starts_at = models.DateTimeField()
    ends_at = models.DateTimeField()
    zone = models.CharField(max_length=64, default="UTC", help_text="IANA time zone of the wall times")
    starts_wall = models.CharField(max_length=16, blank=True, help_text="as asked: YYYY-MM-DDTHH:MM")
    ends_wall = models.CharField(max_length=16, blank=True)
    review_at = models.DateTimeField(
        "looked at again",
        null=True,
        blank=True,
        help_text="without a return date: when somebody looks at it again",
    )
    travel_minutes = models.PositiveSmallIntegerField(
        default=0, db_default=0, help_text="from the store to where it is, one way; blocked before and after"
    )
    asked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+", db_index=False
    )
    version = models.PositiveIntegerField(default=1)
    created_at = models.DateTimeField(auto_now_add=True)
    updated_at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ["starts_at", "id"]
        constraints = [
            models.CheckConstraint(condition=Q(ends_at__gt=F("starts_at")), name="booking_lasts"),
            models.CheckConstraint(
                condition=~Q(state="hold") | Q(hold_until__isnull=False), name="booking_hold_has_an_end"
            ),
            models.CheckConstraint(
                condition=Q(starts_at__gte=_CALENDAR[0], ends_at__lt=_CALENDAR[1]),
                name="booking_in_the_calendar",
            ),
            models.CheckConstraint(
                condition=Q(ends_at__lt=OPEN_END) | Q(review_at__isnull=False),
                name="booking_without_an_end_is_looked_at_again",
            ),
        ]
        indexes = [
            GistIndex(from_start_to_end(), name="booking_lasting"),
            models.Index(fields=["starts_at", "id"], name="booking_in_order"),
            models.Index(fields=["starts_at"], condition=Q(state__in=_PLANNED), name="booking_planned"),
        ]

    def __str__(self) -> str:
        return self.title


class Allocation(models.Model):
    """A unit promised for a time. ``use`` is the asked time, ``blocked`` the same plus prep and turnaround.

    Only active rows exclude each other. Half-open ranges, never empty, finite at the start: an empty range would
    overlap nothing and slip past the exclusion constraint.

    A row that waits is a 2nd hold or a later one: not active, in line since ``waits_since``. One that was challenged
    ends at ``lapses_at`` unless its booking is confirmed before. ``returned_at`` is a fact: the unit came back then.

    ``prep_given`` and ``turnaround_given`` go before those of the unit; whoever granted them said why.
    """

    booking = models.ForeignKey(Booking, on_delete=models.CASCADE, related_name="allocations", db_index=False)
    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="allocations")
    use = DateTimeRangeField(default_bounds="[)")
    blocked = DateTimeRangeField(default_bounds="[)")
    active = models.BooleanField(default=True)
    pinned = models.BooleanField(default=False)
    fixed = models.BooleanField(
        "this very unit",
        default=False,
        db_default=False,
        help_text="this very unit was asked for: it is never exchanged for another one of its type by itself",
    )
    waits_since = models.DateTimeField(null=True, blank=True, help_text="its place in the line for the unit")
    lapses_at = models.DateTimeField(
        null=True, blank=True, help_text="challenged: it ends then, if not confirmed"
    )
    returned_at = models.DateTimeField(null=True, blank=True)
    prep_given = models.PositiveIntegerField(
        "prep", null=True, blank=True, help_text="minutes granted for this promise; empty: as the unit"
    )
    turnaround_given = models.PositiveIntegerField(
        "turnaround", null=True, blank=True, help_text="minutes granted for this promise; empty: as the unit"
    )
    given_why = models.CharField("reason", max_length=200, blank=True, default="", db_default="")
    given_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+", db_index=False
    )
    given_role = models.CharField(
        max_length=40, blank=True, default="", db_default="", help_text="of who granted it, then"
    )
    stays_for = models.ForeignKey(
        Booking,
        null=True,
        blank=True,
        on_delete=models.SET_NULL,
        related_name="stays",
        help_text="it stays on set for this booking, and is not handed back in between",
    )
    promised_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+", db_index=False
    )
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["id"]
        constraints = [
            ExclusionConstraint(
                name="booking_no_unit_twice",
                expressions=[("unit", RangeOperators.EQUAL), ("blocked", RangeOperators.OVERLAPS)],
                condition=Q(active=True),
                deferrable=Deferrable.IMMEDIATE,
            ),
            models.UniqueConstraint(fields=["booking", "unit"], name="booking_unit_once"),
            models.CheckConstraint(
                condition=Q(active=False) | Q(waits_since__isnull=True),
                name="booking_who_waits_does_not_block",
            ),
            models.CheckConstraint(
                condition=Q(prep_given=None, turnaround_given=None) | ~Q(given_why=""),
                name="booking_other_minutes_have_a_reason",
            ),
            models.CheckConstraint(
                condition=Q(use__isempty=False, blocked__isempty=False), name="booking_ranges_not_empty"
            ),
            models.CheckConstraint(
                condition=Q(
                    use__lower_inc=True,
                    use__upper_inc=False,
                    blocked__lower_inc=True,
                    blocked__upper_inc=False,
                ),
                name="booking_ranges_half_open",
            ),
            models.CheckConstraint(
                condition=Q(
                    use__lower_inf=False,
                    use__upper_inf=False,
                    blocked__lower_inf=False,
                    blocked__upper_inf=False,
                ),
                name="booking_ranges_finite",
            ),
            models.CheckConstraint(
                condition=Q(blocked__contains=F("use")), name="booking_use_inside_blocked"
            ),
            models.CheckConstraint(
                condition=Q(blocked__contained_by=_CALENDAR), name="booking_ranges_in_the_calendar"
            ),
        ]
        indexes = [
            GistIndex(fields=["blocked"], name="booking_by_time"),
            GistIndex(
                fields=["unit", "blocked"],
                name="booking_line_by_time",
                condition=Q(waits_since__isnull=False),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.unit} for {self.booking}"


class UnitWindow(models.Model):
    """A unit that is here for a time only, because it is somebody else's: promises must lie inside, with their prep and
    turnaround. An empty range means never. A trigger of the table of promises holds to it.
    """

    unit = models.OneToOneField(Unit, primary_key=True, on_delete=models.CASCADE, related_name="window")
    during = DateTimeRangeField(default_bounds="[)")
    owner = models.CharField(max_length=120)
    goes_back_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.unit} of {self.owner}"


class Challenge(models.Model):
    """A later holder asked an earlier one to confirm, or to let go of a unit by a deadline."""

    class Outcome(models.TextChoices):
        CONFIRMED = "confirmed", "Confirmed"
        LET_GO = "let-go", "Let go"
        LAPSED = "lapsed", "Lapsed"
        WITHDRAWN = "withdrawn", "Withdrawn"

    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="challenges")
    first = models.ForeignKey(Booking, on_delete=models.CASCADE, related_name="challenges_met")
    later = models.ForeignKey(Booking, on_delete=models.CASCADE, related_name="challenges_made")
    deadline = models.DateTimeField()
    asked_at = models.DateTimeField()
    asked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+"
    )
    ended_at = models.DateTimeField(null=True, blank=True)
    outcome = models.CharField(max_length=10, choices=Outcome, blank=True)

    class Meta:
        ordering = ["deadline", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["first", "unit"], condition=Q(ended_at=None), name="booking_challenged_once"
            ),
            models.CheckConstraint(
                condition=Q(ended_at=None, outcome="") | (Q(ended_at__isnull=False) & ~Q(outcome="")),
                name="booking_challenge_ended_somehow",
            ),
            models.CheckConstraint(
                condition=Q(deadline__gt=F("asked_at")), name="booking_challenge_leaves_time"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.later} asks {self.first} for {self.unit}"
