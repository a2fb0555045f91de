"""The addresses under which other calendars may read ours."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q

from studio.places.models import Room


class FeedAddress(models.Model):
    """A secret address of a feed. Only its hash is kept: whoever has the address reads the feed without signing in,
    until it is revoked."""

    class Scope(models.TextChoices):
        OWN = "own", "My shoots"
        ROOM = "room", "A room"
        ALL = "all", "All shoots"

    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="feed_addresses"
    )
    scope = models.CharField(max_length=4, choices=Scope)
    room = models.ForeignKey(Room, null=True, blank=True, on_delete=models.CASCADE, related_name="+")
    token_hash = models.CharField(max_length=64, unique=True)
    ending = models.CharField(
        max_length=4, help_text="the last letters of the address, to tell one from another"
    )
    made_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-made_at", "-id"]
        verbose_name_plural = "feed addresses"
        constraints = [
            models.CheckConstraint(
                condition=Q(scope__in=["own", "room", "all"]), name="calendar_known_scope"
            ),
            models.CheckConstraint(
                condition=Q(scope="room", room__isnull=False) | (~Q(scope="room") & Q(room__isnull=True)),
                name="calendar_room_feed_has_a_room",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.about}, …{self.ending}"

    @property
    def about(self) -> str:
        """What the feed is of, for people."""
        return str(self.room) if self.scope == self.Scope.ROOM else self.get_scope_display()
