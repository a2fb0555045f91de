"""The units of a shoot beyond their jobs, over the API."""

from __future__ import annotations

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from gear.access import declares
from gear.refusal_schema import RefusalSerializer
from gear.request_body import read_input
from studio.shoots import around
from studio.shoots.api_answers import answer, shoot_numbered
from studio.shoots.api_shapes import ShootSerializer

__all__ = ["AnyUnits", "Buffers", "StayOnSet", "ThisVeryUnit"]

_REFUSALS = {403: RefusalSerializer, 404: RefusalSerializer, 409: RefusalSerializer, 422: RefusalSerializer}


class BuffersSerializer(serializers.Serializer):
    """Minutes of prep and turnaround for this shoot; what is left out is as the unit has it."""

    prep_minutes = serializers.IntegerField(required=False, allow_null=True, default=None)
    turnaround_minutes = serializers.IntegerField(required=False, allow_null=True, default=None)
    why = serializers.CharField(max_length=200, help_text="printed on the packing list, with who granted it")


class StaySerializer(serializers.Serializer):
    """``units`` of this shoot that stay on set for the later shoot ``for``."""

    units = serializers.ListField(child=serializers.CharField(max_length=20), min_length=1, max_length=500)

    def get_fields(self) -> dict[str, serializers.Field]:
        return {"for": serializers.IntegerField(min_value=1), **super().get_fields()}


class AnySerializer(serializers.Serializer):
    type = serializers.CharField(max_length=80, help_text="slug of a gear type")
    count = serializers.IntegerField(default=1)


class ExchangedSerializer(serializers.Serializer):
    booking = serializers.IntegerField(source="booking.pk")
    title = serializers.CharField(source="booking.title")
    old = serializers.CharField(source="old.tag")
    new = serializers.CharField(source="new.tag")


class AnyAnswerSerializer(serializers.Serializer):
    """The units that were promised, and who has another unit of the type now."""

    units = serializers.ListField(child=serializers.CharField())
    exchanged = ExchangedSerializer(many=True)


class VerySerializer(serializers.Serializer):
    fixed = serializers.BooleanField(help_text="true: never exchanged for another one of its type by itself")


@declares("shoot", "override")
class Buffers(APIView):
    """Other minutes around the use of a unit than it has."""

    @extend_schema(
        operation_id="shoot_unit_buffers",
        request=BuffersSerializer,
        responses={200: ShootSerializer, **_REFUSALS},
    )
    def put(self, request: Request, pk: int, tag: str) -> Response:
        """Only the manager; a unit that is not on the shoot yet is promised with them."""
        asked = read_input(BuffersSerializer, request.data)
        around.grant_minutes(
            shoot_numbered(pk),
            tag,
            request.user,
            prep=asked["prep_minutes"],
            turnaround=asked["turnaround_minutes"],
            why=asked["why"],
        )
        return answer(pk)

    @extend_schema(operation_id="shoot_unit_usual_buffers", responses={200: ShootSerializer, **_REFUSALS})
    def delete(self, request: Request, pk: int, tag: str) -> Response:
        """Its usual minutes again."""
        around.take_minutes_back(shoot_numbered(pk), tag, request.user)
        return answer(pk)


@declares("shoot", "change")
class StayOnSet(APIView):
    """Gear that stays on set for the next shoot of the same people."""

    @extend_schema(
        operation_id="shoot_stay", request=StaySerializer, responses={200: ShootSerializer, **_REFUSALS}
    )
    def post(self, request: Request, pk: int) -> Response:
        """Answers with the later shoot, which has these units then."""
        asked = read_input(StaySerializer, request.data)
        later = shoot_numbered(asked["for"])
        around.follow_on(shoot_numbered(pk), later, asked["units"], request.user)
        return answer(later.pk)


@declares("shoot", "change")
class AnyUnits(APIView):
    """Any units of a type."""

    @extend_schema(
        operation_id="shoot_any_units",
        request=AnySerializer,
        responses={201: AnyAnswerSerializer, **_REFUSALS},
    )
    def post(self, request: Request, pk: int) -> Response:
        """All or none. 409 ``needs-pinned`` when it would take a unit that stays where it is."""
        asked = read_input(AnySerializer, request.data)
        promises, moved = around.add_any(shoot_numbered(pk), asked["type"], asked["count"], request.user)
        body = {"units": [one.unit.tag for one in promises], "exchanged": moved}
        return Response(AnyAnswerSerializer(body).data, status=201)


@declares("shoot", "change")
class ThisVeryUnit(APIView):
    """Whether it must be this very unit."""

    @extend_schema(
        operation_id="shoot_this_very_unit",
        request=VerySerializer,
        responses={200: ShootSerializer, **_REFUSALS},
    )
    def put(self, request: Request, pk: int, tag: str) -> Response:
        """Repeatable."""
        asked = read_input(VerySerializer, request.data)
        around.fix_unit(shoot_numbered(pk), tag, asked["fixed"], request.user)
        return answer(pk)
