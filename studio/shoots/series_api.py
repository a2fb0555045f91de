"""Series of shoots over the API."""

from __future__ import annotations

from datetime import date
from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from gear.access import declares
from gear.booking.interval import Period
from gear.booking.models import Series
from gear.booking.series_rule import MOST_COUNTED, WEEKDAYS, Rule
from gear.errors import Gone, Invalid
from gear.etag import changed_from, etag
from gear.refusal_schema import RefusalSerializer
from gear.request_body import read_input
from studio.shoots.api_shapes import ChangeSerializer, ShootSerializer, ShootSummarySerializer
from studio.shoots.asked import changes_from
from studio.shoots.models import Shoot
from studio.shoots.queries import shoot_whole
from studio.shoots.series_booking import Booked, Line, rehearsed, repeat_shoot, try_again
from studio.shoots.series_editing import Edited, edit_series, firm_series, take_over
from studio.shoots.series_extending import change_end
from studio.shoots.series_queries import series_whole

__all__ = ["OneSeries", "RepeatShoot", "SeriesAct", "SeriesChange", "SeriesDay", "SeriesEnd"]

_REFUSALS = {
    403: RefusalSerializer,
    404: RefusalSerializer,
    409: RefusalSerializer,
    412: RefusalSerializer,
    422: RefusalSerializer,
}
WHICH = ["one", "following", "all"]


class RuleSerializer(serializers.Serializer):
    """Every so many days, weeks, months or years. ``skip`` is that of RFC 7529; with neither ``count`` nor ``until`` it
    goes on until somebody ends it."""

    each = serializers.ChoiceField(choices=Series.Each.values)
    interval = serializers.IntegerField(default=1, min_value=1, max_value=99)
    weekdays = serializers.ListField(
        child=serializers.ChoiceField(choices=WEEKDAYS), default=list, max_length=7
    )
    monthly_on = serializers.ChoiceField(choices=Series.MonthlyOn.values, default="day")
    skip = serializers.ChoiceField(choices=Series.Skip.values, default="omit")
    count = serializers.IntegerField(
        required=False, allow_null=True, default=None, min_value=1, max_value=MOST_COUNTED
    )
    until = serializers.DateField(required=False, allow_null=True, default=None)


class RepeatSerializer(RuleSerializer):
    """A rule, and what to do about days that clash: nothing is booked unless ``leave_out`` says to leave those out.
    ``take_next`` reads a wall time that the clocks jump over as the next one. ``rehearse`` books nothing and answers
    with the days as they would come out."""

    leave_out = serializers.BooleanField(default=False)
    take_next = serializers.BooleanField(default=False)
    rehearse = serializers.BooleanField(default=False)


class ClashSerializer(serializers.Serializer):
    day = serializers.DateField()
    sentence = serializers.CharField()
    ways_out = serializers.ListField(child=serializers.CharField())


class LineSerializer(serializers.Serializer):
    """A day as it comes out; ``starts_wall`` is null where the clocks jump over it."""

    day = serializers.DateField()
    starts_wall = serializers.SerializerMethodField()
    ends_wall = serializers.SerializerMethodField()
    clash = ClashSerializer(allow_null=True)
    beside = serializers.ListField(child=serializers.CharField(), help_text="shoots in the same room then")
    twice = serializers.ListField(
        child=serializers.CharField(), help_text="wall times that the clocks repeat"
    )

    def get_starts_wall(self, line: Line) -> str | None:
        return _wall(line.period, "starts_wall")

    def get_ends_wall(self, line: Line) -> str | None:
        return _wall(line.period, "ends_wall")


class BookedSerializer(serializers.Serializer):
    """What became of the days that were asked; ``series`` is null when it was a rehearsal."""

    series = serializers.IntegerField(allow_null=True)
    lines = LineSerializer(many=True)


class SeriesRowSerializer(serializers.Serializer):
    """A day of a series: its shoot, or why there is none. ``own`` names what was changed of it alone."""

    number = serializers.IntegerField()
    day = serializers.DateField()
    shoot = ShootSummarySerializer(allow_null=True)
    left_out = serializers.CharField(allow_blank=True)
    own = serializers.ListField(child=serializers.CharField())


class SeriesSerializer(serializers.Serializer):
    """A series whole; ``rrule`` is its rule as RFC 5545 and RFC 7529 write it."""

    id = serializers.IntegerField(source="series.pk")
    uid = serializers.UUIDField(source="series.uid")
    title = serializers.CharField()
    words = serializers.CharField()
    rrule = serializers.CharField()
    zone = serializers.CharField(source="series.zone")
    booked_until = serializers.DateField(source="series.made_to")
    days = SeriesRowSerializer(many=True, source="rows")


class SeriesChangeSerializer(ChangeSerializer):
    """What to change, and of which: ``which`` of this one, this and the following, or all that have not begun."""

    which = serializers.ChoiceField(choices=WHICH)
    leave_out = serializers.BooleanField()


class SeriesActSerializer(serializers.Serializer):
    which = serializers.ChoiceField(choices=WHICH)
    leave_out = serializers.BooleanField(default=False)
    version = serializers.IntegerField(required=False, min_value=1)


class SeriesEndSerializer(serializers.Serializer):
    """The new end; with neither it goes on until somebody ends it."""

    count = serializers.IntegerField(
        required=False, allow_null=True, default=None, min_value=1, max_value=MOST_COUNTED
    )
    until = serializers.DateField(required=False, allow_null=True, default=None)
    leave_out = serializers.BooleanField(default=False)


class EditedSerializer(serializers.Serializer):
    """How many shoots a change reached, whose own things were kept, and which days were left as they were."""

    reached = serializers.IntegerField()
    kept = serializers.ListField(child=serializers.CharField())
    clashes = ClashSerializer(many=True)


@declares("shoot", "read")
class OneSeries(APIView):
    """A series with all its days."""

    @extend_schema(operation_id="series_retrieve", responses={200: SeriesSerializer, 404: RefusalSerializer})
    def get(self, request: Request, pk: int) -> Response:
        return Response(SeriesSerializer(series_whole(pk)).data)


@declares("shoot", "change")
class SeriesDay(APIView):
    """A day that was left out."""

    @extend_schema(
        operation_id="series_day_again", request=None, responses={201: ShootSerializer, **_REFUSALS}
    )
    def post(self, request: Request, pk: int, day: str) -> Response:
        """Book it after all, by a fresh check; 409 says what is still in the way."""
        try:
            asked = date.fromisoformat(day)
        except ValueError:
            raise Gone(f"{day[:20]!r} is no day, write YYYY-MM-DD.") from None
        made = try_again(pk, asked, request.user)
        return Response(ShootSerializer(shoot_whole(made.pk)).data, status=201, headers=etag(made.version))


@declares("shoot", "change")
class RepeatShoot(APIView):
    """Make a shoot the first of a series."""

    @extend_schema(
        operation_id="shoot_repeat",
        request=RepeatSerializer,
        responses={200: BookedSerializer, 201: BookedSerializer, **_REFUSALS},
    )
    def post(self, request: Request, pk: int) -> Response:
        """Everything on it is promised on every day, or nothing is; 409 lists the days that clash, and who has what."""
        asked = read_input(RepeatSerializer, request.data)
        shoot, rule = _shoot(pk), _rule(asked)

        def act(leave_out: bool) -> Booked:
            return repeat_shoot(shoot, rule, request.user, leave_out=leave_out, take_next=asked["take_next"])

        if asked["rehearse"]:
            return Response(
                BookedSerializer({"series": None, "lines": rehearsed(lambda: act(True)).lines}).data
            )
        booked = act(asked["leave_out"])
        answer = {"series": booked.series.pk, "lines": booked.lines}
        return Response(BookedSerializer(answer).data, status=201)


@declares("shoot", "change")
class SeriesAct(APIView):
    """What is done to one of a series, to it and the following, or to all that have not begun."""

    act = "edit"

    @extend_schema(
        operation_id="shoot_series_act",
        request=SeriesActSerializer,
        responses={200: EditedSerializer, **_REFUSALS},
    )
    def post(self, request: Request, pk: int) -> Response:
        asked = read_input(SeriesActSerializer, request.data)
        shoot = _shoot(pk)
        how = {"version": asked.get("version"), "leave_out": asked["leave_out"]}
        if self.act == "take-over":
            return _edited(take_over(shoot, request.user, asked["which"], **how))
        return _edited(firm_series(shoot, self.act, request.user, asked["which"], **how))


@declares("shoot", "change")
class SeriesChange(APIView):
    """A change of several of a series."""

    @extend_schema(
        operation_id="shoot_series_change",
        request=SeriesChangeSerializer,
        responses={200: EditedSerializer, 428: RefusalSerializer, **_REFUSALS},
    )
    def patch(self, request: Request, pk: int) -> Response:
        """Told from this shoot: an hour later here is an hour later on every day. The header If-Match names the version
        of this shoot."""
        shoot = _shoot(pk)
        version = changed_from(request, shoot.version)
        asked = read_input(SeriesChangeSerializer, request.data, partial=True)
        which = asked.pop("which", "")
        if not which:
            raise Invalid("Say which of the series: one, following or all.")
        leave_out = asked.pop("leave_out", False)
        done = edit_series(
            shoot, changes_from(asked), request.user, which, version=version, leave_out=leave_out
        )
        return _edited(done)


@declares("shoot", "change")
class SeriesEnd(APIView):
    """Until when a series goes on."""

    @extend_schema(
        operation_id="shoot_series_end",
        request=SeriesEndSerializer,
        responses={200: BookedSerializer, **_REFUSALS},
    )
    def post(self, request: Request, pk: int) -> Response:
        """Let it go on longer; the new days are booked at once, or nothing changes."""
        asked = read_input(SeriesEndSerializer, request.data)
        shoot = _shoot(pk)
        lines = change_end(shoot, request.user, **asked)
        return Response(BookedSerializer({"series": shoot.booking.occurrence.series_id, "lines": lines}).data)


def _rule(asked: dict[str, Any]) -> Rule:
    """The rule that a request names. Raises `Invalid`."""
    said = {name: asked[name] for name in RuleSerializer().fields}
    return Rule(**{**said, "weekdays": tuple(said["weekdays"])})


def _edited(done: Edited) -> Response:
    return Response(EditedSerializer(done).data)


def _wall(period: Period | None, name: str) -> str | None:
    return getattr(period, name) if period else None


def _shoot(pk: int) -> Shoot:
    found = Shoot.objects.select_related("booking").filter(pk=pk).first()
    if found is None:
        raise Gone(f"There is no shoot {pk}.")
    return found
