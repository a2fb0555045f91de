"""When a place is at work, over the API."""

from __future__ import annotations

from collections import defaultdict
from datetime import time
from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from gear.access import declares
from gear.etag import changed_from, etag
from gear.refusal_schema import RefusalSerializer
from gear.request_body import read_input
from studio.places.models import Place
from studio.places.queries import a_place
from studio.places.working_hours import WorkingWeek, hours_in_words, ordered, set_working_hours, week_of

__all__ = ["PlaceWorkingHours"]


class StretchSerializer(serializers.Serializer):
    """Working hours of one weekday; 0 is Monday, 24:00 the end of a day."""

    weekday = serializers.IntegerField(min_value=0, max_value=6)
    opens = serializers.RegexField(r"^([01]\d|2[0-3]):[0-5]\d$")
    closes = serializers.RegexField(r"^(([01]\d|2[0-3]):[0-5]\d|24:00)$")


class HolidaySerializer(serializers.Serializer):
    day = serializers.DateField()
    name = serializers.CharField(max_length=80, allow_blank=True, default="")


class WorkingHoursSerializer(serializers.Serializer):
    """``answer_hours`` is how many working hours somebody has to answer when they are asked to decide."""

    zone = serializers.CharField(read_only=True)
    hours = StretchSerializer(many=True)
    holidays = HolidaySerializer(many=True, default=list)
    answer_hours = serializers.DecimalField(max_digits=4, decimal_places=1, coerce_to_string=False)


@declares("place", "read", PUT="change")
class PlaceWorkingHours(APIView):
    """The working week of a place and its holidays."""

    @extend_schema(
        operation_id="places_working_hours",
        responses={200: WorkingHoursSerializer, 404: RefusalSerializer},
    )
    def get(self, request: Request, pk: int) -> Response:
        return _answer(a_place(pk))

    @extend_schema(
        operation_id="places_working_hours_change",
        request=WorkingHoursSerializer,
        responses={
            200: WorkingHoursSerializer,
            403: RefusalSerializer,
            404: RefusalSerializer,
            412: RefusalSerializer,
            422: RefusalSerializer,
            428: RefusalSerializer,
        },
    )
    def put(self, request: Request, pk: int) -> Response:
        """The whole week as it shall be; the header If-Match names the version it was made from."""
        place = a_place(pk)
        version = changed_from(request, week_of(place).version)
        said = request.data
        if isinstance(said, dict):
            said = {name: value for name, value in said.items() if name != "zone"}
        set_working_hours(
            place, _week(read_input(WorkingHoursSerializer, said)), request.user, version=version
        )
        return _answer(place)


def _week(said: dict[str, Any]) -> WorkingWeek:
    by_day: dict[int, list[tuple[time, time]]] = defaultdict(list)
    for stretch in said["hours"]:
        closes = time.max if stretch["closes"] == "24:00" else time.fromisoformat(stretch["closes"])
        by_day[stretch["weekday"]].append((time.fromisoformat(stretch["opens"]), closes))
    return WorkingWeek(
        {day: ordered(spans, "hours") for day, spans in by_day.items()},
        {holiday["day"]: holiday["name"] for holiday in said["holidays"]},
        said["answer_hours"],
    )


def _answer(place: Place) -> Response:
    week = week_of(place)
    hours = [
        {"weekday": day, "opens": opens, "closes": closes}
        for day, spans in sorted(week.hours.items())
        for opens, closes in (span.split("-") for span in hours_in_words(spans).split(", ") if span)
    ]
    shown = {
        "zone": place.zone,
        "hours": hours,
        "holidays": [{"day": day, "name": name} for day, name in sorted(week.holidays.items())],
        "answer_hours": week.answer_hours,
    }
    return Response(WorkingHoursSerializer(shown).data, headers=etag(week.version))
