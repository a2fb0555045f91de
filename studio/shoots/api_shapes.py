"""The shapes in which shoots travel over the API."""

from __future__ import annotations

from datetime import datetime

from rest_framework import serializers

from gear.booking.models import Allocation, Booking
from gear.booking.rules import has_lapsed
from gear.booking.wall_time import OPEN_END
from studio.shoots.models import MOST_TRAVELLERS, Job, Shoot

__all__ = [
    "AssignmentSerializer",
    "ChangeSerializer",
    "DecideSerializer",
    "FirmnessSerializer",
    "MoveSerializer",
    "NewShootSerializer",
    "ShootPageSerializer",
    "ShootSerializer",
    "ShootSummarySerializer",
    "StepBackSerializer",
    "UnitJobSerializer",
    "VersionSerializer",
]


class ShootSummarySerializer(serializers.Serializer):
    """One line of the list. ``starts`` and ``ends`` are instants; the wall times are those of ``zone``."""

    id = serializers.IntegerField()
    title = serializers.CharField()
    room = serializers.IntegerField(source="room_id")
    room_name = serializers.CharField(source="room")
    zone = serializers.CharField(source="booking.zone")
    starts = serializers.DateTimeField(source="booking.starts_at")
    ends = serializers.SerializerMethodField(help_text="null: no return date")
    review = serializers.DateTimeField(
        source="booking.review_at",
        allow_null=True,
        help_text="without a return date: when it is looked at again",
    )
    starts_wall = serializers.CharField(source="booking.starts_wall")
    ends_wall = serializers.CharField(source="booking.ends_wall")
    state = serializers.ChoiceField(source="booking.state", choices=Booking.State.choices)
    hold_until = serializers.DateTimeField(source="booking.hold_until", allow_null=True)
    travel_minutes = serializers.IntegerField(
        source="booking.travel_minutes", help_text="from the store, one way; blocked before and after"
    )
    lapsed = serializers.SerializerMethodField(help_text="the hold ended; its units are free for others")
    rank = serializers.IntegerField(
        source="worst_rank", help_text="the worst rank of its holds: 2 while a unit is only on 2nd hold"
    )
    photographer = serializers.CharField(source="photographer.username", default=None, allow_null=True)
    series = serializers.SerializerMethodField(help_text="the series that it is one of, or null")
    version = serializers.IntegerField()

    def get_ends(self, shoot: Shoot) -> datetime | None:
        return None if shoot.booking.ends_at >= OPEN_END else shoot.booking.ends_at

    def get_series(self, shoot: Shoot) -> int | None:
        return getattr(getattr(shoot.booking, "occurrence", None), "series_id", None)

    def get_lapsed(self, shoot: Shoot) -> bool:
        return has_lapsed(shoot.booking)


class AssignmentSerializer(serializers.Serializer):
    """A unit and its job; ``recipe`` is the recipe's position, null for a unit without a job."""

    unit = serializers.CharField(source="unit.tag")
    recipe = serializers.IntegerField(source="shoot_recipe.position", allow_null=True)
    light = serializers.CharField(allow_blank=True)
    job = serializers.ChoiceField(choices=Job.choices)
    number = serializers.IntegerField()
    circuit = serializers.CharField(allow_blank=True, required=False)
    warnings = serializers.ListField(
        child=serializers.CharField(), required=False, help_text="said when it is promised"
    )


class JobOnShootSerializer(serializers.Serializer):
    light = serializers.CharField(allow_blank=True)
    job = serializers.ChoiceField(choices=Job.choices)
    number = serializers.IntegerField()
    unit = serializers.CharField(source="unit.tag")
    circuit = serializers.CharField(allow_blank=True)


class RecipeOnShootSerializer(serializers.Serializer):
    position = serializers.IntegerField()
    recipe = serializers.IntegerField(source="revision.recipe_id")
    revision = serializers.IntegerField(source="revision.number")
    title = serializers.CharField(source="revision.recipe.title")
    assignments = JobOnShootSerializer(many=True)


class PromiseSerializer(serializers.Serializer):
    unit = serializers.CharField(source="unit.tag")
    stands = serializers.BooleanField(
        help_text="false for an enquiry, a cancelled shoot, an ended hold, and while it waits in line"
    )
    rank = serializers.IntegerField(
        source="place.rank",
        default=None,
        allow_null=True,
        help_text="its place in line; null when it does not wait",
    )
    behind = serializers.CharField(
        source="place.behind", default="", help_text="whom it waits for, and until when"
    )
    ahead = serializers.SerializerMethodField(help_text="numbers of the bookings before it in line, in order")
    blocked_from = serializers.DateTimeField(source="blocked.lower")
    blocked_until = serializers.DateTimeField(source="blocked.upper")

    def get_ahead(self, promise: Allocation) -> list[int]:
        place = getattr(promise, "place", None)
        return [one.booking_id for one in place.ahead] if place else []


class AskSerializer(serializers.Serializer):
    """An open question to confirm or to let go: who asks, or who is asked, of what, and by when."""

    booking = serializers.IntegerField(source="other.pk")
    title = serializers.CharField(source="other.title")
    units = serializers.ListField(child=serializers.CharField(), source="tags")
    deadline = serializers.DateTimeField()


class ShootSerializer(ShootSummarySerializer):
    """A shoot whole. ``version`` is also its ETag."""

    assistant = serializers.CharField(source="assistant.username", default=None, allow_null=True)
    notes = serializers.CharField(allow_blank=True)
    travels_by_air = serializers.BooleanField()
    travellers = serializers.IntegerField(help_text="who share the batteries out among them in the air")
    recipes = RecipeOnShootSerializer(many=True, source="recipes.all")
    units = PromiseSerializer(many=True, source="promises")
    asked = AskSerializer(many=True, source="standing.asked", help_text="who asks this shoot to decide")
    asking = AskSerializer(many=True, source="standing.asking", help_text="whom this shoot asks to decide")


class ShootPageSerializer(serializers.Serializer):
    count = serializers.IntegerField()
    next = serializers.CharField(allow_null=True)
    previous = serializers.CharField(allow_null=True)
    results = ShootSummarySerializer(many=True)


class MoveSerializer(serializers.Serializer):
    """Wall times ``YYYY-MM-DDTHH:MM`` in the zone of the room's place, or instants with an offset. A wall time that the
    clocks repeat means the first, unless ``…_second``."""

    starts = serializers.CharField(max_length=40)
    ends = serializers.CharField(max_length=40)
    starts_second = serializers.BooleanField(default=False)
    ends_second = serializers.BooleanField(default=False)
    version = serializers.IntegerField(required=False, min_value=1)


class ChangeSerializer(MoveSerializer):
    """What to change; what is left out stays."""

    title = serializers.CharField(max_length=120)
    notes = serializers.CharField(max_length=10_000, allow_blank=True)
    room = serializers.IntegerField()
    photographer = serializers.CharField(max_length=150)
    assistant = serializers.CharField(max_length=150, allow_blank=True, allow_null=True)
    travels_by_air = serializers.BooleanField()
    travellers = serializers.IntegerField(min_value=1, max_value=MOST_TRAVELLERS)


class NewShootSerializer(serializers.Serializer):
    """A shoot to plan; ``recipes`` are ids, in order, taken at their newest revision."""

    title = serializers.CharField(max_length=120)
    room = serializers.IntegerField()
    starts = serializers.CharField(max_length=40)
    ends = serializers.CharField(max_length=40)
    starts_second = serializers.BooleanField(default=False)
    ends_second = serializers.BooleanField(default=False)
    photographer = serializers.CharField(max_length=150, required=False, allow_null=True)
    assistant = serializers.CharField(max_length=150, required=False, allow_null=True)
    recipes = serializers.ListField(child=serializers.IntegerField(), max_length=50, default=list)
    state = serializers.ChoiceField(choices=["enquiry", "hold", "confirmed"], default="hold")
    hold_until = serializers.CharField(max_length=40, required=False, allow_null=True)
    notes = serializers.CharField(max_length=10_000, allow_blank=True, default="")
    travels_by_air = serializers.BooleanField(default=False)
    travellers = serializers.IntegerField(min_value=1, max_value=MOST_TRAVELLERS, default=1)


class UnitJobSerializer(serializers.Serializer):
    """A unit's tag and the job it gets: ``recipe`` is the position on the shoot, null for no job."""

    unit = serializers.CharField(max_length=20)
    recipe = serializers.IntegerField(allow_null=True, default=None, min_value=1)
    light = serializers.CharField(max_length=60, allow_blank=True, default="")
    job = serializers.CharField(max_length=20, allow_blank=True, default="")
    number = serializers.IntegerField(default=1)
    behind = serializers.BooleanField(
        default=False, help_text="wait in line when somebody else has it: a 2nd hold, or a later one"
    )


class VersionSerializer(serializers.Serializer):
    version = serializers.IntegerField(required=False, min_value=1)


class FirmnessSerializer(VersionSerializer):
    """``behind`` and ``until`` are for holding and taking up again."""

    behind = serializers.BooleanField(default=False, help_text="wait in line for what somebody else has")
    until = serializers.CharField(
        max_length=40, required=False, allow_null=True, help_text="when the hold ends; else in a week"
    )


class OpenEndSerializer(VersionSerializer):
    review = serializers.CharField(max_length=40, help_text="when somebody looks at it again, within a year")


class DecideSerializer(serializers.Serializer):
    """Whom to ask: the number of the booking before this one, as the units say it; in how many working hours."""

    booking = serializers.IntegerField(min_value=1)
    hours = serializers.FloatField(required=False, allow_null=True)


class StepBackSerializer(serializers.Serializer):
    units = serializers.ListField(child=serializers.CharField(max_length=20), min_length=1, max_length=500)
