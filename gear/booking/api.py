"""What is free, over the API."""

from __future__ import annotations

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from gear.access import declares
from gear.booking.interval import period
from gear.booking.queries import free_units
from gear.booking.today import would_clash
from gear.catalogue.models import GearType
from gear.errors import FieldProblem, Gone, Invalid
from gear.refusal_schema import RefusalSerializer
from gear.request_body import read_input
from gear.specs import KINDS

__all__ = ["FreeUnits", "WouldClashOfType"]

MOST = 500


class AskedSerializer(serializers.Serializer):
    """When, and what of."""

    starts = serializers.CharField(max_length=40)
    ends = serializers.CharField(max_length=40)
    zone = serializers.CharField(max_length=64, default="UTC")
    kind = serializers.ChoiceField(choices=list(KINDS), required=False, allow_blank=True, default="")
    type = serializers.CharField(max_length=80, required=False, allow_blank=True, default="")


class FreeUnitSerializer(serializers.Serializer):
    tag = serializers.CharField()
    type = serializers.CharField(source="gear_type.slug")
    name = serializers.CharField(source="gear_type")
    kind = serializers.CharField(source="gear_type.kind")
    prep_minutes = serializers.IntegerField(source="prep")
    turnaround_minutes = serializers.IntegerField(source="turnaround")


class FreeUnitsSerializer(serializers.Serializer):
    """The asked time as it was understood, and what is free for the whole of it with prep and turnaround."""

    starts = serializers.DateTimeField()
    ends = serializers.DateTimeField()
    complete = serializers.BooleanField(help_text=f"false when there are more than {MOST}")
    units = FreeUnitSerializer(many=True)


@declares("gear", "read")
class FreeUnits(APIView):
    """Units that nobody was promised."""

    @extend_schema(
        operation_id="free_units",
        parameters=[
            OpenApiParameter("starts", str, required=True, description="YYYY-MM-DDTHH:MM, or with an offset"),
            OpenApiParameter("ends", str, required=True),
            OpenApiParameter("zone", str, description="IANA zone of times without an offset; else UTC"),
            OpenApiParameter("kind", str, enum=list(KINDS)),
            OpenApiParameter("type", str, description="slug of a gear type"),
        ],
        responses={200: FreeUnitsSerializer, 422: RefusalSerializer},
    )
    def get(self, request: Request) -> Response:
        asked = read_input(AskedSerializer, request.query_params.dict())
        if not asked["kind"] and not asked["type"]:
            raise Invalid(
                "Say of which kind or which type.", (FieldProblem("kind", "a kind of gear, or a type"),)
            )
        use = period(asked["starts"], asked["ends"], asked["zone"]).interval
        kinds = [asked["kind"]] if asked["kind"] else []
        found = list(free_units(use, kinds=kinds, type_slug=asked["type"])[: MOST + 1])
        answer = {
            "starts": use.starts_at,
            "ends": use.ends_at,
            "complete": len(found) <= MOST,
            "units": found[:MOST],
        }
        return Response(FreeUnitsSerializer(answer).data)


class ClashingSerializer(serializers.Serializer):
    """Two promises of a unit, one after the other, that today's prep and turnaround would not leave room for."""

    unit = serializers.CharField(source="before.unit.tag")
    before = serializers.CharField(source="before.booking.title")
    before_ends = serializers.DateTimeField(source="before.use.upper")
    after = serializers.CharField(source="after.booking.title")
    after_starts = serializers.DateTimeField(source="after.use.lower")
    short_minutes = serializers.IntegerField()


@declares("gear", "read")
class WouldClashOfType(APIView):
    """What a lengthened prep or turnaround would do to what is promised already."""

    @extend_schema(
        operation_id="would_clash", responses={200: ClashingSerializer(many=True), 404: RefusalSerializer}
    )
    def get(self, request: Request, slug: str) -> Response:
        """Promises keep the times they were made with; these would clash if they were made today."""
        kind = GearType.objects.filter(slug=slug).first()
        if kind is None:
            raise Gone(f"There is no gear type {slug[:40]!r}.")
        found = would_clash(list(kind.units.values_list("pk", flat=True)))
        return Response(ClashingSerializer(found, many=True).data)
