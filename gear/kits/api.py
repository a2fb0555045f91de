"""Kits over the API."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from gear.access import declares
from gear.booking.interval import period
from gear.errors import FieldProblem, Invalid
from gear.kits.entry import KitEntry, read_typed
from gear.kits.models import Kit, KitPart
from gear.kits.queries import contents, incomplete, is_free, kit_numbered, kits
from gear.kits.services import remove_kit, save_kit
from gear.paging import Pages
from gear.refusal_schema import RefusalSerializer
from gear.request_body import read_input

__all__ = ["KitAvailability", "Kits", "OneKit"]

_REFUSED = {404: RefusalSerializer, 409: RefusalSerializer, 422: RefusalSerializer}


class OptionSerializer(serializers.Serializer):
    """Exactly one of the three."""

    unit = serializers.CharField(
        source="unit.tag", default=None, allow_null=True, required=False, help_text="tag of a unit"
    )
    item = serializers.IntegerField(source="item_id", allow_null=True, required=False)
    kit = serializers.IntegerField(source="sub_kit_id", allow_null=True, required=False)


class PartSerializer(serializers.Serializer):
    """A place in a kit; several options are “one of these”. ``quantity`` counts of a counted thing."""

    name = serializers.CharField(max_length=80, required=False, allow_blank=True)
    quantity = serializers.SerializerMethodField()
    options = OptionSerializer(many=True)

    def get_quantity(self, part: KitPart) -> str:
        return f"{part.quantity.normalize():f}"


class KitSerializer(serializers.Serializer):
    id = serializers.IntegerField(source="pk", read_only=True)
    name = serializers.CharField(max_length=120)
    notes = serializers.CharField(required=False, allow_blank=True)
    version = serializers.IntegerField(read_only=True)
    parts = PartSerializer(many=True)


class KitChangeSerializer(KitSerializer):
    """The whole kit as it is to be, and the version that the change was made from."""

    version = serializers.IntegerField(min_value=1)


class KitPageSerializer(serializers.Serializer):
    count = serializers.IntegerField()
    next = serializers.CharField(allow_null=True)
    previous = serializers.CharField(allow_null=True)
    results = KitSerializer(many=True)


class AskedTimeOfKitSerializer(serializers.Serializer):
    starts = serializers.CharField(max_length=40)
    ends = serializers.CharField(max_length=40)
    zone = serializers.CharField(max_length=64, default="UTC")


class KitGapSerializer(serializers.Serializer):
    part = serializers.CharField()
    starts = serializers.DateTimeField(source="span.start")
    ends = serializers.DateTimeField(source="span.end")


class KitAvailabilitySerializer(serializers.Serializer):
    """Whether the whole kit could be promised for all of the time, and when which part is missing."""

    free = serializers.BooleanField()
    incomplete = KitGapSerializer(many=True)


@declares("gear", "read", POST="change")
class Kits(APIView):
    """Named sets."""

    @extend_schema(
        operation_id="kits_list",
        parameters=[
            OpenApiParameter("search", str),
            OpenApiParameter("limit", int),
            OpenApiParameter("offset", int),
        ],
        responses=KitPageSerializer,
    )
    def get(self, request: Request) -> Response:
        pages = Pages()
        found = kits(request.query_params.get("search", "")).prefetch_related("parts__options__unit")
        page = pages.paginate_queryset(found, request, view=self)
        return pages.get_paginated_response(KitSerializer(page, many=True).data)

    @extend_schema(
        operation_id="kits_create", request=KitSerializer, responses={201: KitSerializer, **_REFUSED}
    )
    def post(self, request: Request) -> Response:
        return _answer(save_kit(read_typed(KitEntry, _body(request), "The kit"), request.user).pk, 201)


@declares("gear", "read", PUT="change", DELETE="change")
class OneKit(APIView):
    """One kit."""

    @extend_schema(operation_id="kits_retrieve", responses={200: KitSerializer, 404: RefusalSerializer})
    def get(self, request: Request, pk: int) -> Response:
        return _answer(pk)

    @extend_schema(
        operation_id="kits_change",
        request=KitChangeSerializer,
        responses={200: KitSerializer, 412: RefusalSerializer, **_REFUSED},
    )
    def put(self, request: Request, pk: int) -> Response:
        body = _body(request)
        version = body.pop("version", None)
        body.pop("id", None)
        if isinstance(version, bool) or not isinstance(version, int):
            raise Invalid(
                "Say which version of the kit this was decided from.",
                (FieldProblem("version", "expects the whole number that the last read gave"),),
            )
        entry = read_typed(KitEntry, body, "The kit")
        return _answer(save_kit(entry, request.user, pk=pk, version=version).pk)

    @extend_schema(operation_id="kits_remove", responses={204: None, **_REFUSED})
    def delete(self, request: Request, pk: int) -> Response:
        remove_kit(pk, request.user)
        return Response(status=204)


@declares("gear", "read")
class KitAvailability(APIView):
    """When a kit is whole."""

    @extend_schema(
        operation_id="kits_availability",
        parameters=[
            OpenApiParameter("starts", str, required=True, description="YYYY-MM-DDTHH:MM, or with an offset"),
            OpenApiParameter("ends", str, required=True),
            OpenApiParameter("zone", str, description="IANA zone of times without an offset; else UTC"),
        ],
        responses={200: KitAvailabilitySerializer, 404: RefusalSerializer, 422: RefusalSerializer},
    )
    def get(self, request: Request, pk: int) -> Response:
        asked = read_input(AskedTimeOfKitSerializer, request.query_params.dict())
        use = period(asked["starts"], asked["ends"], asked["zone"]).interval
        whole = contents(kit_numbered(pk))
        answer = {"free": is_free(whole, use), "incomplete": incomplete(whole, use)}
        return Response(KitAvailabilitySerializer(answer).data)


def _answer(pk: int, status: int = 200) -> Response:
    kit_numbered(pk)
    kit = Kit.objects.prefetch_related("parts__options__unit").get(pk=pk)
    return Response(KitSerializer(kit).data, status=status, headers={"ETag": f'"{kit.version}"'})


def _body(request: Request) -> dict[str, Any]:
    if not isinstance(request.data, dict):
        raise Invalid("The request holds no object with named fields.")
    return dict(request.data)
