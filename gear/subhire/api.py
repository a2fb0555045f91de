"""Borrowed units over the API."""

from __future__ import annotations

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from gear.access import declares
from gear.booking.interval import period
from gear.booking.wall_time import moment
from gear.inventory.entry import UnitEntry, read_typed
from gear.refusal_schema import RefusalSerializer
from gear.request_body import read_input
from gear.subhire import services
from gear.subhire.queries import open_sub_hires, sub_hire_numbered

__all__ = ["OneSubHire", "SubHireEnd", "SubHires"]

_REFUSED = {404: RefusalSerializer, 409: RefusalSerializer, 422: RefusalSerializer}
_MINUTES = {"min_value": 0, "max_value": 60 * 24 * 30}


class SubHireSerializer(serializers.Serializer):
    """What was agreed with the owner of a unit."""

    id = serializers.IntegerField(source="pk")
    unit = serializers.CharField(source="unit.tag")
    gear_type = serializers.CharField(source="unit.gear_type.slug")
    owner = serializers.CharField()
    contact = serializers.CharField()
    from_at = serializers.DateTimeField()
    back_by = serializers.DateTimeField()
    travel_in_minutes = serializers.IntegerField()
    travel_out_minutes = serializers.IntegerField()
    price = serializers.DecimalField(max_digits=10, decimal_places=2, allow_null=True)
    note = serializers.CharField()
    ended_at = serializers.DateTimeField(allow_null=True)
    ended_why = serializers.CharField()
    version = serializers.IntegerField()


class BorrowSerializer(serializers.Serializer):
    """A unit from outside, and the terms: from fetching it to having it back there."""

    unit = serializers.CharField(max_length=20, help_text="a tag of ours for it")
    gear_type = serializers.CharField(max_length=80, help_text="slug")
    owner = serializers.CharField(max_length=120)
    contact = serializers.CharField(max_length=200, required=False, default="", allow_blank=True)
    starts = serializers.CharField(max_length=40)
    ends = serializers.CharField(max_length=40)
    zone = serializers.CharField(max_length=64, default="UTC")
    travel_in_minutes = serializers.IntegerField(required=False, default=0, **_MINUTES)
    travel_out_minutes = serializers.IntegerField(required=False, default=0, **_MINUTES)
    price = serializers.DecimalField(
        max_digits=10, decimal_places=2, min_value=0, required=False, default=None, allow_null=True
    )
    note = serializers.CharField(max_length=300, required=False, default="", allow_blank=True)


class AgreeSerializer(serializers.Serializer):
    """Another date, agreed with the owner; on the clock of the agreement unless it has an offset."""

    back_by = serializers.CharField(max_length=40)
    version = serializers.IntegerField(min_value=1)


class EndSerializer(serializers.Serializer):
    how = serializers.ChoiceField(choices=["handed-back", "cancelled"])
    why = serializers.CharField(max_length=280, required=False, default="", allow_blank=True)
    version = serializers.IntegerField(min_value=1)


@declares("gear", "read", POST="change")
class SubHires(APIView):
    """What is lent to us."""

    @extend_schema(operation_id="sub_hires_list", responses=SubHireSerializer(many=True))
    def get(self, request: Request) -> Response:
        return Response(SubHireSerializer(open_sub_hires()[:500], many=True).data)

    @extend_schema(
        operation_id="sub_hires_create",
        request=BorrowSerializer,
        responses={201: SubHireSerializer, **_REFUSED},
    )
    def post(self, request: Request) -> Response:
        asked = read_input(BorrowSerializer, request.data)
        entry = read_typed(UnitEntry, {"tag": asked["unit"], "gear_type": asked["gear_type"]}, "The unit")
        terms = services.Terms(
            owner=asked["owner"],
            contact=asked["contact"],
            period=period(asked["starts"], asked["ends"], asked["zone"]),
            travel_in_minutes=asked["travel_in_minutes"],
            travel_out_minutes=asked["travel_out_minutes"],
            price=asked["price"],
            note=asked["note"],
        )
        made = services.borrow_unit(entry, terms, request.user)
        return Response(SubHireSerializer(made).data, status=201)


@declares("gear", "read", PATCH="change")
class OneSubHire(APIView):
    """One agreement."""

    @extend_schema(
        operation_id="sub_hires_retrieve", responses={200: SubHireSerializer, 404: RefusalSerializer}
    )
    def get(self, request: Request, pk: int) -> Response:
        return Response(SubHireSerializer(sub_hire_numbered(pk)).data)

    @extend_schema(
        operation_id="sub_hires_agree",
        request=AgreeSerializer,
        responses={200: SubHireSerializer, 412: RefusalSerializer, **_REFUSED},
    )
    def patch(self, request: Request, pk: int) -> Response:
        asked = read_input(AgreeSerializer, request.data)
        found = sub_hire_numbered(pk)
        back_by = moment(asked["back_by"], found.zone, where="back_by").instant
        services.agree_return(found, back_by, request.user, version=asked["version"])
        return Response(SubHireSerializer(sub_hire_numbered(pk)).data)


@declares("gear", "change")
class SubHireEnd(APIView):
    """It went back, or it does not come."""

    @extend_schema(
        operation_id="sub_hires_end",
        request=EndSerializer,
        responses={200: SubHireSerializer, 412: RefusalSerializer, **_REFUSED},
    )
    def post(self, request: Request, pk: int) -> Response:
        asked = read_input(EndSerializer, request.data)
        found = sub_hire_numbered(pk)
        if asked["how"] == "cancelled":
            services.cancel_sub_hire(found, asked["why"], request.user, version=asked["version"])
        else:
            services.hand_back(found, request.user, version=asked["version"])
        return Response(SubHireSerializer(sub_hire_numbered(pk)).data)
