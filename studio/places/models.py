"""Places and rooms."""

from __future__ import annotations

from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

MOST_TRAVEL_MINUTES = 7 * 24 * 60


def _share(default: float) -> models.FloatField:
    return models.FloatField(default=default, validators=[MinValueValidator(0.0), MaxValueValidator(0.95)])


def _metres(**more: object) -> models.FloatField:
    return models.FloatField(validators=[MinValueValidator(0.1), MaxValueValidator(200)], **more)


class Place(models.Model):
    """A house with rooms: its zone decides the wall clock, its country the rules that apply."""

    name = models.CharField(max_length=80, unique=True)
    directions = models.TextField(blank=True)
    zone = models.CharField(
        max_length=64, default="UTC", help_text="IANA time zone, for example Europe/Paris"
    )
    country = models.CharField(max_length=2, blank=True, help_text="two letters, ISO 3166")
    latitude_deg = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(-90), MaxValueValidator(90)]
    )
    longitude_deg = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(-180), MaxValueValidator(180)]
    )
    altitude_m = models.FloatField(default=0)
    travel_minutes = models.PositiveSmallIntegerField(
        default=0,
        db_default=0,
        validators=[MaxValueValidator(MOST_TRAVEL_MINUTES)],
        help_text="on the road from the store, one way; units are blocked for it before and after a shoot",
    )

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class Room(models.Model):
    """A room, or a yard. The mark stands ``mark_x_m`` from the left wall and ``mark_y_m`` from the far wall, as seen
    from the camera's side looking at the mark; the camera is on the side of growing y."""

    place = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="rooms")
    name = models.CharField(max_length=80)
    width_m = _metres()
    depth_m = _metres()
    height_m = _metres()
    beam_height_m = _metres(null=True, blank=True, help_text="lowest beam or pipe, if lower than the ceiling")
    mark_x_m = models.FloatField(help_text="from the corner at the far left, along the width")
    mark_y_m = models.FloatField(help_text="from the far wall towards the camera")
    wall_reflectance = _share(0.5)
    floor_reflectance = _share(0.2)
    ceiling_reflectance = _share(0.7)
    north_deg = models.FloatField(
        default=0,
        validators=[MinValueValidator(0), MaxValueValidator(360)],
        help_text="compass bearing of the line from the mark to the camera",
    )
    outdoors = models.BooleanField(default=False)
    temperature_c = models.FloatField(null=True, blank=True)
    wind_m_per_s = models.FloatField(null=True, blank=True, validators=[MinValueValidator(0)])
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["place__name", "name"]
        constraints = [
            models.UniqueConstraint(fields=["place", "name"], name="places_room_once"),
            models.CheckConstraint(
                condition=Q(width_m__gt=0, depth_m__gt=0, height_m__gt=0), name="places_room_has_size"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.place}, {self.name}"


class RoomWindow(models.Model):
    """A pane of glass. Walls are named as seen from the camera: far, left, right, near; or the roof.

    ``offset_m`` is the distance of the pane's left edge (as seen from inside, facing that wall) from the wall's left
    end; for the roof the distance of its nearer edge from the left wall.
    """

    class Wall(models.TextChoices):
        FAR = "far", "Far wall"
        LEFT = "left", "Left wall"
        RIGHT = "right", "Right wall"
        NEAR = "near", "Near wall, behind the camera"
        ROOF = "roof", "Roof"

    room = models.ForeignKey(Room, on_delete=models.CASCADE, related_name="windows")
    name = models.CharField(max_length=60)
    wall = models.CharField(max_length=5, choices=Wall)
    offset_m = models.FloatField(validators=[MinValueValidator(0)])
    sill_m = models.FloatField(
        default=0.9,
        validators=[MinValueValidator(0)],
        help_text="height of the lower edge; for the roof: distance of the pane from the far wall",
    )
    width_m = _metres()
    height_m = _metres(help_text="for the roof: its length along the depth")
    transmittance = _share(0.8)

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.room}: {self.name}"


class RoomCircuit(models.Model):
    """A fused supply of the room."""

    room = models.ForeignKey(Room, on_delete=models.CASCADE, related_name="circuits")
    name = models.CharField(max_length=40)
    voltage_v = models.FloatField(default=230, validators=[MinValueValidator(90), MaxValueValidator(480)])
    rated_a = models.FloatField(default=16, validators=[MinValueValidator(1), MaxValueValidator(400)])
    breaker = models.CharField(max_length=1, default="B", choices=[(x, x) for x in "BCD"])
    sockets = models.PositiveSmallIntegerField(default=2)

    class Meta:
        ordering = ["name"]
        constraints = [models.UniqueConstraint(fields=["room", "name"], name="places_circuit_once")]

    def __str__(self) -> str:
        return f"{self.room}: {self.name}"


class WorkingHours(models.Model):
    """When a place is at work. Deadlines that count working hours are reckoned by it, on the clock of the place.

    ``hours`` maps a weekday (``"0"`` is Monday) to its stretches ``[["09:00", "18:00"]]``; ``holidays`` a day to its
    name. `studio.places.working_hours` reads and writes both.
    """

    place = models.OneToOneField(
        Place, primary_key=True, on_delete=models.CASCADE, related_name="working_hours"
    )
    hours = models.JSONField(default=dict)
    holidays = models.JSONField(default=dict)
    answer_hours = models.DecimalField(
        max_digits=4,
        decimal_places=1,
        default=4,
        validators=[MinValueValidator(Decimal("0.5")), MaxValueValidator(200)],
        help_text="working hours in which somebody on 1st hold has to answer when they are asked to decide",
    )
    version = models.PositiveIntegerField(default=1)

    def __str__(self) -> str:
        return f"Working hours of {self.place}"
