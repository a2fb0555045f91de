"""Splitting, merging and shifting shoots over the API."""

from __future__ import annotations

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from gear.access import declares
from gear.errors import FieldProblem, Invalid
from gear.refusal_schema import RefusalSerializer
from gear.request_body import read_input
from studio.shoots import parting
from studio.shoots.api_answers import answer, shoot_numbered, version_said
from studio.shoots.api_shapes import ShootSerializer
from studio.shoots.chain import MOST_IN_A_CHAIN, shift_shoots

__all__ = ["MergeShoots", "ShiftShoots", "SplitShoot"]

_REFUSALS = {
    403: RefusalSerializer,
    404: RefusalSerializer,
    409: RefusalSerializer,
    412: RefusalSerializer,
    422: RefusalSerializer,
}


class SplitSerializer(serializers.Serializer):
    """Either ``at``, a wall time within the shoot (of two equal ones the first, unless ``at_second``), or ``units``,
    the tags that get a shoot of their own."""

    at = serializers.CharField(max_length=40, required=False, allow_null=True)
    at_second = serializers.BooleanField(default=False)
    units = serializers.ListField(
        child=serializers.CharField(max_length=20), required=False, max_length=500, allow_null=True
    )
    title = serializers.CharField(max_length=120, required=False, allow_blank=True, default="")
    version = serializers.IntegerField(required=False, min_value=1)


class MergeSerializer(serializers.Serializer):
    """``with`` is the id of the other shoot, ``with_version`` what was seen of it."""

    version = serializers.IntegerField(required=False, min_value=1)
    with_version = serializers.IntegerField(required=False, min_value=1)

    def get_fields(self) -> dict[str, serializers.Field]:
        return {"with": serializers.IntegerField(min_value=1), **super().get_fields()}


class ShiftSerializer(serializers.Serializer):
    """Minutes, earlier when negative; all of the shoots move in one step or none."""

    shoots = serializers.ListField(
        child=serializers.IntegerField(min_value=1), min_length=1, max_length=MOST_IN_A_CHAIN
    )
    minutes = serializers.IntegerField()


class ShiftedSerializer(serializers.Serializer):
    id = serializers.IntegerField()
    starts = serializers.DateTimeField(source="booking.starts_at")
    ends = serializers.DateTimeField(source="booking.ends_at")
    version = serializers.IntegerField()


@declares("shoot", "change")
class SplitShoot(APIView):
    """One shoot becomes two."""

    @extend_schema(
        operation_id="shoot_split", request=SplitSerializer, responses={201: ShootSerializer, **_REFUSALS}
    )
    def post(self, request: Request, pk: int) -> Response:
        """Answers with the new shoot: the later part, or the one of the units that were split off."""
        asked = read_input(SplitSerializer, request.data)
        shoot, version = shoot_numbered(pk), version_said(request, asked)
        at, units = asked.get("at"), asked.get("units")
        if bool(at) == bool(units):
            raise Invalid(
                "Say either at what time, or which units.",
                (
                    FieldProblem("at", "a time, or leave it out"),
                    FieldProblem("units", "tags, or leave it out"),
                ),
            )
        if at:
            made = parting.split_shoot_at(
                shoot, at, request.user, title=asked["title"], second=asked["at_second"], version=version
            )
        else:
            made = parting.split_shoot_off(
                shoot, units or [], request.user, title=asked["title"], version=version
            )
        return answer(made.pk, 201)


@declares("shoot", "change")
class MergeShoots(APIView):
    """Two shoots become one."""

    @extend_schema(
        operation_id="shoot_merge", request=MergeSerializer, responses={200: ShootSerializer, **_REFUSALS}
    )
    def post(self, request: Request, pk: int) -> Response:
        """Answers with the earlier one, which lasts over both; the other is cancelled."""
        asked = read_input(MergeSerializer, request.data)
        kept = parting.merge_shoots(
            shoot_numbered(pk),
            shoot_numbered(asked["with"]),
            request.user,
            version=version_said(request, asked),
            other_version=asked.get("with_version"),
        )
        return answer(kept.pk)


@declares("shoot", "change")
class ShiftShoots(APIView):
    """Several shoots by as many minutes, in one step."""

    @extend_schema(
        operation_id="shoots_shift",
        request=ShiftSerializer,
        responses={200: ShiftedSerializer(many=True), **_REFUSALS},
    )
    def post(self, request: Request) -> Response:
        """They may go into each other's old time; any other shoot in the way refuses all of it."""
        asked = read_input(ShiftSerializer, request.data)
        shifted = shift_shoots(asked["shoots"], asked["minutes"], request.user)
        return Response(ShiftedSerializer(shifted, many=True).data)
