"""The packing list over the API."""

from __future__ import annotations

from typing import Any

from django.shortcuts import get_object_or_404
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from gear.access import declares
from gear.errors import Gone
from studio.packing import services
from studio.packing.found import into_the_tray
from studio.packing.models import PackingClosure
from studio.packing.queries import packing_list
from studio.shoots.models import Shoot


class PackingLineSerializer(serializers.Serializer):
    unit = serializers.CharField(source="unit.tag")
    gear_type = serializers.CharField(source="unit.gear_type")
    case = serializers.CharField(source="unit.case.tag", default=None, allow_null=True)
    reason = serializers.CharField()
    around = serializers.CharField(
        default="", help_text="minutes around its use that were granted, by whom and why; what stays on set"
    )
    wanted = serializers.BooleanField()
    out_at = serializers.DateTimeField(allow_null=True)
    outcome = serializers.CharField()
    outcome_at = serializers.DateTimeField(allow_null=True)
    outcome_note = serializers.CharField()


class ProgressSerializer(serializers.Serializer):
    wanted = serializers.IntegerField()
    out = serializers.IntegerField()
    came_in = serializers.IntegerField()
    used = serializers.IntegerField()
    reported = serializers.IntegerField()
    still_out = serializers.IntegerField()


class PackingListSerializer(serializers.Serializer):
    shoot = serializers.IntegerField(source="shoot.pk")
    mass_kg = serializers.FloatField()
    closed = serializers.BooleanField()
    progress = ProgressSerializer()
    lines = PackingLineSerializer(many=True)


class TickSerializer(serializers.Serializer):
    unit = serializers.CharField(
        max_length=500, help_text="the unit's tag, its short code, or what its label holds"
    )
    act = serializers.ChoiceField(choices=["out", "in", "undo", "used", "missing", "damaged"])
    note = serializers.CharField(max_length=300, required=False, default="", allow_blank=True)


@declares("packing", "read", POST="change")
class PackingList(APIView):
    """A shoot's list; POST ticks one thing."""

    @extend_schema(responses=PackingListSerializer, operation_id="packing_list")
    def get(self, request: Request, pk: int) -> Response:
        return _answer(get_object_or_404(Shoot.objects.select_related("booking", "packing_closure"), pk=pk))

    @extend_schema(request=TickSerializer, responses=PackingLineSerializer, operation_id="packing_tick")
    def post(self, request: Request, pk: int) -> Response:
        shoot = get_object_or_404(Shoot.objects.select_related("booking"), pk=pk)
        asked = TickSerializer(data=request.data)
        asked.is_valid(raise_exception=True)
        if not PackingClosure.objects.filter(shoot=shoot).exists():
            services.update_list(shoot)
        try:
            line = _tick(shoot, asked.validated_data, request.user)
        except Gone:
            into_the_tray(asked.validated_data["unit"], shoot, request.user)
            raise
        return Response(PackingLineSerializer(line).data)


@declares("packing", "close")
class PackingListClosing(APIView):
    """Close the list: only when out = in + used + reported."""

    @extend_schema(request=None, responses=PackingListSerializer, operation_id="packing_close")
    def post(self, request: Request, pk: int) -> Response:
        shoot = get_object_or_404(Shoot.objects.select_related("booking"), pk=pk)
        services.close_list(shoot, request.user)
        return _answer(Shoot.objects.select_related("booking", "packing_closure").get(pk=pk))


def _answer(shoot: Shoot) -> Response:
    if not PackingClosure.objects.filter(shoot=shoot).exists():
        services.update_list(shoot)
    return Response(PackingListSerializer(packing_list(shoot)).data)


def _tick(shoot: Shoot, asked: dict[str, Any], by: Any) -> Any:
    tag, note = asked["unit"], asked["note"]
    match asked["act"]:
        case "out":
            return services.pack_out(shoot, tag, by)
        case "in":
            return services.take_back(shoot, tag, by)
        case "undo":
            return services.undo(shoot, tag, by)
        case "used":
            return services.mark_used(shoot, tag, by, note)
        case trouble:
            return services.report_line(shoot, tag, trouble, note, by)
