"""Counted things over the API."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from drf_spectacular.utils import OpenApiParameter, extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from gear.access import declares
from gear.booking.interval import period
from gear.booking.wall_time import moment
from gear.errors import FieldProblem, Invalid
from gear.paging import Pages
from gear.refusal_schema import RefusalSerializer
from gear.request_body import read_input
from gear.stock import services
from gear.stock.entry import StockEntry, read_typed, stock_fields
from gear.stock.models import StockItem, StockMovement
from gear.stock.queries import availability, item_numbered, stock_items
from gear.stock.shortfall import free_by_day

__all__ = ["Items", "Movements", "OneItem", "StockAvailability"]

_REFUSED = {404: RefusalSerializer, 409: RefusalSerializer, 422: RefusalSerializer}


@extend_schema_field({"type": "string", "examples": ["4", "1.5"]})
class Amount(serializers.Field):
    """An exact quantity as text."""

    def to_representation(self, value: Decimal) -> str:
        return f"{value.normalize():f}"


class StockItemSerializer(serializers.Serializer):
    """One counted thing. ``on_hand`` is how many there are now, wherever they are."""

    id = serializers.IntegerField(source="pk", read_only=True)
    name = serializers.CharField(max_length=120)
    gear_type = serializers.CharField(
        source="gear_type.slug", default=None, allow_null=True, required=False, help_text="slug"
    )
    counted_in = serializers.CharField(max_length=20, required=False)
    whole = serializers.BooleanField(required=False)
    consumable = serializers.BooleanField(required=False)
    reorder_point = Amount(required=False, allow_null=True)
    overbooking_percent = serializers.IntegerField(required=False)
    prep_minutes = serializers.IntegerField(required=False)
    turnaround_minutes = serializers.IntegerField(required=False)
    shelf = serializers.CharField(required=False)
    notes = serializers.CharField(required=False)
    version = serializers.IntegerField(read_only=True)
    on_hand = Amount(read_only=True)
    to_reorder = serializers.BooleanField(read_only=True, allow_null=True)


class StockPageSerializer(serializers.Serializer):
    count = serializers.IntegerField()
    next = serializers.CharField(allow_null=True)
    previous = serializers.CharField(allow_null=True)
    results = StockItemSerializer(many=True)


class StockChangeSerializer(StockItemSerializer):
    """The fields to change, and the version that the change was made from."""

    name = serializers.CharField(max_length=120, required=False)
    version = serializers.IntegerField(min_value=1)


class MovementSerializer(serializers.Serializer):
    kind = serializers.ChoiceField(choices=StockMovement.Kind.choices)
    quantity = Amount()
    effective_at = serializers.DateTimeField()
    note = serializers.CharField()


class NewMovementSerializer(serializers.Serializer):
    """``kind`` count says how many there are in all; the others say how many came or went."""

    kind = serializers.ChoiceField(choices=["purchase", "loss", "break", "use", "count"])
    quantity = serializers.CharField(max_length=20)
    effective_at = serializers.CharField(max_length=40, required=False, default="", allow_blank=True)
    zone = serializers.CharField(max_length=64, required=False, default="UTC")
    note = serializers.CharField(max_length=300, required=False, default="", allow_blank=True)


class AskedTimeSerializer(serializers.Serializer):
    starts = serializers.CharField(max_length=40)
    ends = serializers.CharField(max_length=40)
    zone = serializers.CharField(max_length=64, default="UTC")


class LevelSerializer(serializers.Serializer):
    starts = serializers.DateTimeField(source="start")
    ends = serializers.DateTimeField(source="end", allow_null=True)
    there_are = Amount(source="capacity")
    promised = Amount(source="demand")


class AvailabilitySerializer(serializers.Serializer):
    """``free`` is the most that can be promised for the whole of the time."""

    free = Amount()
    words = serializers.CharField()
    levels = LevelSerializer(many=True)


@declares("gear", "read", POST="change")
class Items(APIView):
    """Counted things."""

    @extend_schema(
        operation_id="stock_list",
        parameters=[
            OpenApiParameter("kind", str, enum=["returned", "consumable"]),
            OpenApiParameter("search", str),
            OpenApiParameter("limit", int),
            OpenApiParameter("offset", int),
        ],
        responses=StockPageSerializer,
    )
    def get(self, request: Request) -> Response:
        pages = Pages()
        asked = request.query_params
        found = stock_items(asked.get("search", ""), asked.get("kind", ""))
        page = pages.paginate_queryset(found, request, view=self)
        return pages.get_paginated_response(StockItemSerializer(page, many=True).data)

    @extend_schema(
        operation_id="stock_create",
        request=StockItemSerializer,
        responses={201: StockItemSerializer, **_REFUSED},
    )
    def post(self, request: Request) -> Response:
        made = services.add_item(read_typed(StockEntry, _body(request), "The item"), request.user)
        return _answer(made.pk, 201)


@declares("gear", "read", PATCH="change")
class OneItem(APIView):
    """One counted thing."""

    @extend_schema(
        operation_id="stock_retrieve", responses={200: StockItemSerializer, 404: RefusalSerializer}
    )
    def get(self, request: Request, pk: int) -> Response:
        return _answer(pk)

    @extend_schema(
        operation_id="stock_change",
        request=StockChangeSerializer,
        responses={200: StockItemSerializer, 412: RefusalSerializer, **_REFUSED},
    )
    def patch(self, request: Request, pk: int) -> Response:
        body = _body(request)
        version = body.pop("version", None)
        if isinstance(version, bool) or not isinstance(version, int):
            raise Invalid(
                "Say which version of the item this was decided from.",
                (FieldProblem("version", "expects the whole number that the last read gave"),),
            )
        entry = read_typed(StockEntry, {**stock_fields(item_numbered(pk)), **body}, "The item")
        services.change_item(pk, entry, version, request.user)
        return _answer(pk)


@declares("gear", "read", POST="change")
class Movements(APIView):
    """What changed how many there are."""

    @extend_schema(
        operation_id="stock_movements", responses={200: MovementSerializer(many=True), 404: RefusalSerializer}
    )
    def get(self, request: Request, pk: int) -> Response:
        return Response(MovementSerializer(item_numbered(pk).movements.all()[:500], many=True).data)

    @extend_schema(
        operation_id="stock_move",
        request=NewMovementSerializer,
        responses={201: StockItemSerializer, **_REFUSED},
    )
    def post(self, request: Request, pk: int) -> Response:
        """A fact, or a count of all there are; answers with the item."""
        asked = read_input(NewMovementSerializer, request.data)
        if asked["kind"] == "count":
            services.count_stock(pk, asked["quantity"], request.user, note=asked["note"])
            return _answer(pk, 201)
        at = asked["effective_at"]
        services.record_movement(
            pk,
            asked["kind"],
            asked["quantity"],
            request.user,
            effective_at=moment(at, asked["zone"], where="effective_at").instant if at else None,
            note=asked["note"],
        )
        return _answer(pk, 201)


@declares("gear", "read")
class StockAvailability(APIView):
    """How many are free for the whole of a time."""

    @extend_schema(
        operation_id="stock_availability",
        parameters=[
            OpenApiParameter("starts", str, required=True, description="YYYY-MM-DDTHH:MM, or with an offset"),
            OpenApiParameter("ends", str, required=True),
            OpenApiParameter("zone", str, description="IANA zone of times without an offset; else UTC"),
        ],
        responses={200: AvailabilitySerializer, 404: RefusalSerializer, 422: RefusalSerializer},
    )
    def get(self, request: Request, pk: int) -> Response:
        asked = read_input(AskedTimeSerializer, request.query_params.dict())
        use = period(asked["starts"], asked["ends"], asked["zone"]).interval
        found = availability(item_numbered(pk), use)
        answer = {
            "free": found.free,
            "words": free_by_day(found, asked["zone"]),
            "levels": found.levels,
        }
        return Response(AvailabilitySerializer(answer).data)


def _answer(pk: int, status: int = 200) -> Response:
    found: StockItem = item_numbered(pk)
    return Response(StockItemSerializer(found).data, status=status, headers={"ETag": f'"{found.version}"'})


def _body(request: Request) -> dict[str, Any]:
    if not isinstance(request.data, dict):
        raise Invalid("The request holds no object with named fields.")
    return dict(request.data)
