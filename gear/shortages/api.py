"""Shortages over the API."""

from __future__ import annotations

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from gear.access import declares
from gear.booking.wall_time import moment
from gear.paging import Pages
from gear.refusal_schema import RefusalSerializer
from gear.request_body import read_input
from gear.shortages import services
from gear.shortages.acts import take_way_out
from gear.shortages.models import Cause, Shortage
from gear.shortages.queries import shortage_numbered, shortages
from gear.shortages.ways_out import ways_out

__all__ = ["LateReturns", "OneShortage", "ShortageNotes", "ShortageResolution", "Shortages"]

_REFUSED = {404: RefusalSerializer, 409: RefusalSerializer, 422: RefusalSerializer}


class ShortageSerializer(serializers.Serializer):
    """A booking is short of one unit, or of so many of a stock item."""

    id = serializers.IntegerField(source="pk")
    booking = serializers.IntegerField(source="booking_id")
    title = serializers.CharField(source="booking.title")
    starts = serializers.DateTimeField(source="booking.starts_at")
    unit = serializers.CharField(source="unit.tag", default=None, allow_null=True)
    item = serializers.IntegerField(source="item_id", allow_null=True)
    quantity = serializers.SerializerMethodField()
    cause = serializers.ChoiceField(choices=Cause.choices)
    detail = serializers.CharField()
    owner = serializers.CharField(allow_null=True)
    opened_at = serializers.DateTimeField()
    closed_at = serializers.DateTimeField(allow_null=True)
    closed_by = serializers.CharField(allow_null=True)
    how = serializers.ChoiceField(choices=[("", "open"), *Shortage.How.choices])

    def get_quantity(self, shortage: Shortage) -> str:
        return f"{shortage.quantity.normalize():f}"


class ShortagePageSerializer(serializers.Serializer):
    count = serializers.IntegerField()
    next = serializers.CharField(allow_null=True)
    previous = serializers.CharField(allow_null=True)
    results = ShortageSerializer(many=True)


class WayOutSerializer(serializers.Serializer):
    """Send ``act`` and ``value`` back to take it; ``borrow`` and ``buy`` are done elsewhere."""

    act = serializers.CharField()
    value = serializers.CharField()
    words = serializers.CharField()
    cost = serializers.CharField()


class NoteSerializer(serializers.Serializer):
    text = serializers.CharField(max_length=500)
    by = serializers.CharField(read_only=True, allow_null=True)
    at = serializers.DateTimeField(read_only=True)


class ShortageWholeSerializer(ShortageSerializer):
    ways_out = WayOutSerializer(many=True)
    notes = NoteSerializer(many=True)


class WaySerializer(serializers.Serializer):
    act = serializers.ChoiceField(choices=["swap", "without", "fewer", "move"])
    value = serializers.CharField(max_length=60, required=False, default="", allow_blank=True)


class LateReturnSerializer(serializers.Serializer):
    unit = serializers.CharField(max_length=40)
    back_at = serializers.CharField(max_length=40)
    zone = serializers.CharField(max_length=64, default="UTC")


@declares("shortage", "read")
class Shortages(APIView):
    """What can no longer be met."""

    @extend_schema(
        operation_id="shortages_list",
        parameters=[
            OpenApiParameter("closed", bool, description="the settled ones instead of the open"),
            OpenApiParameter("limit", int),
            OpenApiParameter("offset", int),
        ],
        responses=ShortagePageSerializer,
    )
    def get(self, request: Request) -> Response:
        pages = Pages()
        found = shortages(closed=request.query_params.get("closed") in ("1", "true"))
        page = pages.paginate_queryset(found, request, view=self)
        return pages.get_paginated_response(ShortageSerializer(page, many=True).data)


@declares("shortage", "read")
class OneShortage(APIView):
    """One shortage with its ways out and its trail."""

    @extend_schema(
        operation_id="shortages_retrieve", responses={200: ShortageWholeSerializer, 404: RefusalSerializer}
    )
    def get(self, request: Request, pk: int) -> Response:
        return _whole(pk)


@declares("shortage", "resolve")
class ShortageResolution(APIView):
    """Taking a way out."""

    @extend_schema(
        operation_id="shortages_resolve",
        request=WaySerializer,
        responses={200: ShortageWholeSerializer, **_REFUSED},
    )
    def post(self, request: Request, pk: int) -> Response:
        asked = read_input(WaySerializer, request.data)
        take_way_out(shortage_numbered(pk), asked["act"], asked["value"], request.user)
        return _whole(pk)


@declares("shortage", "note")
class ShortageNotes(APIView):
    """The trail of a shortage."""

    @extend_schema(
        operation_id="shortages_note", request=NoteSerializer, responses={201: NoteSerializer, **_REFUSED}
    )
    def post(self, request: Request, pk: int) -> Response:
        asked = read_input(NoteSerializer, request.data)
        made = services.add_note(shortage_numbered(pk), asked["text"], request.user)
        return Response(NoteSerializer(made).data, status=201)


@declares("gear", "report")
class LateReturns(APIView):
    """Units that come back later than promised."""

    @extend_schema(
        operation_id="late_returns_report",
        request=LateReturnSerializer,
        responses={201: ShortageSerializer(many=True), **_REFUSED},
    )
    def post(self, request: Request) -> Response:
        """Answers with the open shortages of the unit."""
        asked = read_input(LateReturnSerializer, request.data)
        back_at = moment(asked["back_at"], asked["zone"], where="back_at").instant
        found = services.report_late(asked["unit"], back_at, request.user)
        return Response(ShortageSerializer(found, many=True).data, status=201)


def _whole(pk: int) -> Response:
    found = shortage_numbered(pk)
    return Response(
        {
            **ShortageSerializer(found).data,
            "ways_out": WayOutSerializer(ways_out(found), many=True).data,
            "notes": NoteSerializer(found.notes.select_related("by"), many=True).data,
        }
    )
