"""Counted things and kits of a shoot over the API."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from gear.access import declares
from gear.kits.models import KitPromise, KitTaken
from gear.kits.queries import differences, differences_of, kits_of
from gear.refusal_schema import RefusalSerializer
from gear.request_body import read_input
from gear.stock.models import StockPromise
from gear.stock.queries import promises_to
from studio.shoots import stocking
from studio.shoots.queries import a_shoot

__all__ = ["OneShootKit", "ShootKits", "ShootStock"]

_REFUSED = {
    403: RefusalSerializer,
    404: RefusalSerializer,
    409: RefusalSerializer,
    422: RefusalSerializer,
}


class StockLineSerializer(serializers.Serializer):
    """So many of an item; ``source`` names the kit they came with."""

    item = serializers.IntegerField(source="item_id")
    name = serializers.CharField(source="item.name")
    quantity = serializers.SerializerMethodField()
    source = serializers.CharField()
    promised = serializers.BooleanField(source="active")

    def get_quantity(self, line: StockPromise) -> str:
        return f"{line.quantity.normalize():f}"


class StockOfShootSerializer(serializers.Serializer):
    """How many of an item in all, beside what kits bring; 0 lets go."""

    item = serializers.IntegerField(min_value=1)
    quantity = serializers.CharField(max_length=20)


class TakenSerializer(serializers.Serializer):
    part = serializers.CharField()
    unit = serializers.CharField(source="unit.tag", default=None, allow_null=True)
    item = serializers.IntegerField(source="item_id", allow_null=True)
    quantity = serializers.SerializerMethodField()
    instead_of = serializers.CharField()

    def get_quantity(self, taken: KitTaken) -> str:
        return f"{taken.quantity.normalize():f}"


class KitOfShootSerializer(serializers.Serializer):
    """A kit as this shoot got it; ``is_current`` is false when the kit has other contents by now."""

    id = serializers.IntegerField(source="pk")
    kit = serializers.IntegerField(source="kit_id", allow_null=True)
    name = serializers.CharField()
    taken = TakenSerializer(many=True)
    is_current = serializers.SerializerMethodField()

    def get_is_current(self, promise: KitPromise) -> bool:
        changed = self.context.get("changed")
        return not (differences_of(promise) if changed is None else changed[promise.pk])


class AddKitSerializer(serializers.Serializer):
    """``instead`` is the consent to stand-ins: number of the part → tag of the unit."""

    kit = serializers.IntegerField(min_value=1)
    instead = serializers.DictField(child=serializers.CharField(max_length=20), required=False, default=dict)


@declares("shoot", "read", PUT="change")
class ShootStock(APIView):
    """What is promised of counted things."""

    @extend_schema(
        operation_id="shoot_stock_list",
        responses={200: StockLineSerializer(many=True), 404: RefusalSerializer},
    )
    def get(self, request: Request, pk: int) -> Response:
        return _lines(pk)

    @extend_schema(
        operation_id="shoot_stock_set",
        request=StockOfShootSerializer,
        responses={200: StockLineSerializer(many=True), **_REFUSED},
    )
    def put(self, request: Request, pk: int) -> Response:
        """Make it exactly so many; repeating it changes nothing."""
        asked = read_input(StockOfShootSerializer, request.data)
        stocking.set_shoot_stock(a_shoot(pk), asked["item"], asked["quantity"], request.user)
        return _lines(pk)


@declares("shoot", "read", POST="change")
class ShootKits(APIView):
    """Kits of a shoot."""

    @extend_schema(
        operation_id="shoot_kits_list",
        responses={200: KitOfShootSerializer(many=True), 404: RefusalSerializer},
    )
    def get(self, request: Request, pk: int) -> Response:
        promised = list(kits_of(a_shoot(pk).booking))
        context = {"changed": differences(promised)}
        return Response(KitOfShootSerializer(promised, many=True, context=context).data)

    @extend_schema(
        operation_id="shoot_kits_add",
        request=AddKitSerializer,
        responses={201: KitOfShootSerializer, **_REFUSED},
    )
    def post(self, request: Request, pk: int) -> Response:
        asked = read_input(AddKitSerializer, request.data)
        instead = {
            int(part): tag for part, tag in asked["instead"].items() if part.isascii() and part.isdigit()
        }
        made = stocking.add_kit(a_shoot(pk), asked["kit"], request.user, instead=instead)
        return _kit(pk, made.pk, 201)


@declares("shoot", "change")
class OneShootKit(APIView):
    """One kit of a shoot."""

    @extend_schema(
        operation_id="shoot_kits_take_over",
        request=None,
        responses={200: KitOfShootSerializer, **_REFUSED},
    )
    def post(self, request: Request, pk: int, number: int) -> Response:
        """Take over what is in the kit now, by a new check."""
        return _kit(pk, stocking.take_over_kit(a_shoot(pk), number, request.user).pk)

    @extend_schema(operation_id="shoot_kits_let_go", responses={204: None, **_REFUSED})
    def delete(self, request: Request, pk: int, number: int) -> Response:
        stocking.let_kit_go(a_shoot(pk), number, request.user)
        return Response(status=204)


def _lines(pk: int) -> Response:
    return Response(StockLineSerializer(promises_to(a_shoot(pk).booking), many=True).data)


def _kit(pk: int, promise_id: int, status: int = 200) -> Response:
    found: Any = kits_of(a_shoot(pk).booking).get(pk=promise_id)
    return Response(KitOfShootSerializer(found).data, status=status)
