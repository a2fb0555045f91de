"""Shoots, the recipes on them in order, and which unit does which job."""

from __future__ import annotations

from django.conf import settings
from django.contrib.postgres.functions import RandomUUID
from django.contrib.postgres.indexes import GinIndex, OpClass
from django.db import models
from django.db.models.constraints import Deferrable
from django.db.models.functions import Now, Upper

from gear.booking.models import Booking
from gear.inventory.models import Unit
from recipes.records.models import Revision
from studio.places.models import Room
from studio.shoots.series_models import SeriesPattern

__all__ = ["Assignment", "Job", "SeriesPattern", "Shoot", "ShootRecipe"]

MOST_TRAVELLERS = 100


class Shoot(models.Model):
    """A period in a room with people, recipes in order, and booked units. Period and firmness are the booking's."""

    title = models.CharField(max_length=120)
    room = models.ForeignKey(Room, on_delete=models.PROTECT, related_name="shoots")
    booking = models.OneToOneField(Booking, on_delete=models.PROTECT, related_name="shoot")
    photographer = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="shoots"
    )
    assistant = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    notes = models.TextField(blank=True)
    travels_by_air = models.BooleanField("travel by air", default=False, db_default=False)
    travellers = models.PositiveSmallIntegerField(
        "number of travellers",
        default=1,
        db_default=1,
        help_text="how many people share the batteries out among them in the air",
    )
    uid = models.UUIDField(
        db_default=RandomUUID(),
        unique=True,
        editable=False,
        help_text="its name in calendars, the same for ever and everywhere",
    )
    version = models.PositiveIntegerField(default=1)
    updated_at = models.DateTimeField(auto_now=True, db_default=Now())

    class Meta:
        ordering = ["booking__starts_at", "id"]
        indexes = [GinIndex(OpClass(Upper("title"), name="gin_trgm_ops"), name="shoots_title_search")]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(travellers__gte=1, travellers__lte=MOST_TRAVELLERS),
                name="shoots_some_travellers",
            )
        ]

    def __str__(self) -> str:
        return self.title


class ShootRecipe(models.Model):
    """A recipe, at one revision, in its place in the order of a shoot."""

    shoot = models.ForeignKey(Shoot, on_delete=models.CASCADE, related_name="recipes", db_index=False)
    revision = models.ForeignKey(Revision, on_delete=models.PROTECT, related_name="+")
    position = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["position", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["shoot", "position"], name="shoots_position_once", deferrable=Deferrable.DEFERRED
            )
        ]

    def __str__(self) -> str:
        return f"{self.shoot}: {self.revision}"


class Job(models.TextChoices):
    """What a unit does in a recipe. Those with a light belong to one of its lights, or to a board, flag or scrim that
    stands by itself."""

    CAMERA = "camera", "Camera"
    LENS = "lens", "Lens"
    METER = "meter", "Meter"
    TRIGGER = "trigger", "Trigger"
    ND = "nd", "Neutral density"
    HEAD = "head", "Head"
    MODIFIER = "modifier", "Modifier"
    BOARD = "board", "Board"
    SCRIM = "scrim", "Scrim"
    GEL = "gel", "Gel"
    ADAPTER = "adapter", "Adapter"
    STAND = "stand", "Stand"
    BOARD_STAND = "board-stand", "Stand for the board"
    PANEL = "panel", "Panel"
    PANEL_STAND = "panel-stand", "Stand for the panel"
    BOOM = "boom", "Boom"
    WEIGHT = "weight", "Weight"
    BATTERY = "battery", "Battery"
    CHARGER = "charger", "Charger"
    RECEIVER = "receiver", "Receiver"
    CABLE = "cable", "Cable"
    DISTRIBUTION = "distribution", "Distribution"


class Assignment(models.Model):
    """This unit does this job in this recipe at this shoot. ``light`` is the name of the light or the panel, empty for
    jobs of the recipe as a whole; ``number`` counts when a job takes several units."""

    shoot_recipe = models.ForeignKey(
        ShootRecipe, on_delete=models.CASCADE, related_name="assignments", db_index=False
    )
    light = models.CharField(max_length=60, blank=True)
    job = models.CharField(max_length=12, choices=Job)
    number = models.PositiveSmallIntegerField(default=1)
    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="assignments")
    circuit = models.CharField(
        max_length=40, blank=True, help_text="for a mains head: the circuit it is plugged into"
    )

    class Meta:
        ordering = ["shoot_recipe_id", "light", "job", "number"]
        constraints = [
            models.UniqueConstraint(
                fields=["shoot_recipe", "light", "job", "number"], name="shoots_job_once"
            ),
            models.UniqueConstraint(fields=["shoot_recipe", "unit"], name="shoots_unit_one_job_a_recipe"),
        ]

    def __str__(self) -> str:
        return f"{self.unit}: {self.light} {self.job}".strip()
