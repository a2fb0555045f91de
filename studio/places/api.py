"""Places and rooms over the API."""

from __future__ import annotations

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
from studio.places import services
from studio.places.entries import CircuitEntry, PlaceEntry, RoomEntry, WindowEntry
from studio.places.models import MOST_TRAVEL_MINUTES, Place, Room, RoomWindow
from studio.places.queries import a_place, a_room, places, rooms

__all__ = ["OnePlace", "OneRoom", "Places", "Rooms"]

_REFUSALS = {403: RefusalSerializer, 404: RefusalSerializer, 412: RefusalSerializer, 422: RefusalSerializer}


class PlaceSerializer(serializers.Serializer):
    """A house; ``zone`` is an IANA time zone, ``country`` two letters of ISO 3166."""

    id = serializers.IntegerField(read_only=True)
    name = serializers.CharField(max_length=80)
    zone = serializers.CharField(max_length=64, default="UTC")
    country = serializers.CharField(max_length=2, allow_blank=True, default="")
    latitude_deg = serializers.FloatField(allow_null=True, default=None)
    longitude_deg = serializers.FloatField(allow_null=True, default=None)
    altitude_m = serializers.FloatField(default=0.0)
    directions = serializers.CharField(allow_blank=True, default="", max_length=5000)
    travel_minutes = serializers.IntegerField(
        default=0, min_value=0, max_value=MOST_TRAVEL_MINUTES, help_text="from the store, one way"
    )
    rooms = serializers.SerializerMethodField(help_text="ids of its rooms")

    def get_rooms(self, place: Place) -> list[int]:
        return [room.pk for room in place.rooms.all()]


class WindowSerializer(serializers.Serializer):
    """A pane; ``offset_m`` from the wall's left end as seen from inside, facing it."""

    name = serializers.CharField(max_length=60)
    wall = serializers.ChoiceField(choices=RoomWindow.Wall.choices)
    offset_m = serializers.FloatField()
    sill_m = serializers.FloatField(default=0.9)
    width_m = serializers.FloatField()
    height_m = serializers.FloatField()
    transmittance = serializers.FloatField(default=0.8)


class CircuitSerializer(serializers.Serializer):
    name = serializers.CharField(max_length=40)
    voltage_v = serializers.FloatField(default=230.0)
    rated_a = serializers.FloatField(default=16.0)
    breaker = serializers.ChoiceField(choices=["B", "C", "D"], default="B")
    sockets = serializers.IntegerField(default=2, min_value=0, max_value=1000)


class RoomSerializer(serializers.Serializer):
    """A room in metres; the mark from the left and the far wall as the camera sees them."""

    id = serializers.IntegerField(read_only=True)
    place = serializers.IntegerField(source="place_id")
    name = serializers.CharField(max_length=80)
    width_m = serializers.FloatField()
    depth_m = serializers.FloatField()
    height_m = serializers.FloatField()
    beam_height_m = serializers.FloatField(allow_null=True, default=None)
    mark_x_m = serializers.FloatField()
    mark_y_m = serializers.FloatField()
    wall_reflectance = serializers.FloatField(default=0.5)
    floor_reflectance = serializers.FloatField(default=0.2)
    ceiling_reflectance = serializers.FloatField(default=0.7)
    north_deg = serializers.FloatField(default=0.0)
    outdoors = serializers.BooleanField(default=False)
    temperature_c = serializers.FloatField(allow_null=True, default=None)
    wind_m_per_s = serializers.FloatField(allow_null=True, default=None)
    windows = WindowSerializer(many=True, default=list)
    circuits = CircuitSerializer(many=True, default=list)
    version = serializers.IntegerField(required=False, min_value=1)


@declares("place", "read", POST="change")
class Places(APIView):
    """Places."""

    @extend_schema(operation_id="places_list", responses=PlaceSerializer(many=True))
    def get(self, request: Request) -> Response:
        return Response(PlaceSerializer(places(), many=True).data)

    @extend_schema(
        operation_id="places_create", request=PlaceSerializer, responses={201: PlaceSerializer, **_REFUSALS}
    )
    def post(self, request: Request) -> Response:
        made = services.add_place(PlaceEntry(**read_input(PlaceSerializer, request.data)), request.user)
        return Response(PlaceSerializer(made).data, status=201)


@declares("place", "read", PUT="change")
class OnePlace(APIView):
    """One place."""

    @extend_schema(operation_id="places_retrieve", responses={200: PlaceSerializer, 404: RefusalSerializer})
    def get(self, request: Request, pk: int) -> Response:
        return Response(PlaceSerializer(a_place(pk)).data)

    @extend_schema(
        operation_id="places_change", request=PlaceSerializer, responses={200: PlaceSerializer, **_REFUSALS}
    )
    def put(self, request: Request, pk: int) -> Response:
        entry = PlaceEntry(**read_input(PlaceSerializer, _writable(request.data, "id", "rooms")))
        return Response(PlaceSerializer(services.change_place(a_place(pk), entry, request.user)).data)


@declares("place", "read", POST="change")
class Rooms(APIView):
    """Rooms with their windows and circuits."""

    @extend_schema(operation_id="rooms_list", responses=RoomSerializer(many=True))
    def get(self, request: Request) -> Response:
        return Response(RoomSerializer(rooms(), many=True).data)

    @extend_schema(
        operation_id="rooms_create", request=RoomSerializer, responses={201: RoomSerializer, **_REFUSALS}
    )
    def post(self, request: Request) -> Response:
        said = read_input(RoomSerializer, request.data)
        made = services.add_room(a_place(said["place_id"]), _entry(said), request.user)
        return _answer(made, 201)


@declares("place", "read", PUT="change")
class OneRoom(APIView):
    """One room."""

    @extend_schema(operation_id="rooms_retrieve", responses={200: RoomSerializer, 404: RefusalSerializer})
    def get(self, request: Request, pk: int) -> Response:
        return _answer(a_room(pk))

    @extend_schema(
        operation_id="rooms_change",
        request=RoomSerializer,
        responses={200: RoomSerializer, 428: RefusalSerializer, **_REFUSALS},
    )
    def put(self, request: Request, pk: int) -> Response:
        """The whole room as it shall be; the header If-Match names the version it was made from."""
        room = a_room(pk)
        version = changed_from(request, room.version)
        said = read_input(RoomSerializer, _writable(request.data, "id"))
        return _answer(services.change_room(room, _entry(said), request.user, version=version))


def _answer(room: Room, status: int = 200) -> Response:
    return Response(RoomSerializer(a_room(room.pk)).data, status=status, headers=etag(room.version))


def _entry(said: dict[str, Any]) -> RoomEntry:
    plain = {
        name: value
        for name, value in said.items()
        if name not in ("place_id", "version", "windows", "circuits")
    }
    return RoomEntry(
        **plain,
        windows=tuple(WindowEntry(**window) for window in said["windows"]),
        circuits=tuple(CircuitEntry(**circuit) for circuit in said["circuits"]),
    )


def _writable(data: Any, *read_only: str) -> Any:
    """What is read back may be written back: the fields that nobody sets are left out."""
    if isinstance(data, dict):
        return {name: value for name, value in data.items() if name not in read_only}
    return data
