"""Readiness over the API."""

from __future__ import annotations

import numpy as np
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from gear.access import declares
from studio.readiness.light_maps import MapAsked, map_of
from studio.readiness.queries import readiness_of, recipe_at, shoot_at
from studio.readiness.services import check_shoots
from studio.shoots.models import Shoot


class RemedySerializer(serializers.Serializer):
    sentence = serializers.CharField()
    action = serializers.CharField()
    arguments = serializers.ListField(child=serializers.ListField(child=serializers.CharField()))
    costs = serializers.CharField()


class WorkingSerializer(serializers.Serializer):
    name = serializers.CharField()
    formula = serializers.CharField()
    numbers = serializers.CharField()
    result = serializers.CharField()


class FindingSerializer(serializers.Serializer):
    check = serializers.CharField()
    status = serializers.ChoiceField(choices=["gap", "tight", "unknown", "ok"])
    about = serializers.CharField()
    sentence = serializers.CharField()
    value = serializers.FloatField(allow_null=True)
    limit = serializers.FloatField(allow_null=True)
    margin = serializers.FloatField(allow_null=True)
    unit = serializers.CharField()
    spread = serializers.FloatField(allow_null=True)
    estimated = serializers.BooleanField()
    missing = serializers.CharField()
    remedies = RemedySerializer(many=True)
    workings = WorkingSerializer(many=True)
    caution = serializers.CharField()
    follows = serializers.CharField(
        default="", help_text="the light whose gap this one comes of; it is not counted beside that one"
    )


class RecipeReadinessSerializer(serializers.Serializer):
    position = serializers.IntegerField(source="shoot_recipe.position")
    recipe = serializers.IntegerField(source="shoot_recipe.revision.recipe_id")
    revision = serializers.IntegerField(source="shoot_recipe.revision.number")
    title = serializers.CharField(source="shoot_recipe.revision.recipe.title")
    status = serializers.ChoiceField(choices=["gap", "tight", "unknown", "ok", "stale"])
    stale = serializers.BooleanField()
    computed_at = serializers.DateTimeField(source="stored.computed_at", default=None)
    fingerprint = serializers.CharField(source="stored.fingerprint", default="")
    findings = FindingSerializer(many=True)
    prediction = serializers.JSONField(source="stored.prediction", default=dict)


class ReadinessSerializer(serializers.Serializer):
    shoot = serializers.IntegerField()
    recipes = RecipeReadinessSerializer(many=True)


@declares("readiness", "read", POST="run")
class ShootReadiness(APIView):
    """The findings of a shoot; POST computes them again first."""

    @extend_schema(responses=ReadinessSerializer, operation_id="shoot_readiness")
    def get(self, request: Request, pk: int) -> Response:
        return self._answer(shoot_at(pk))

    @extend_schema(request=None, responses=ReadinessSerializer, operation_id="shoot_readiness_run")
    def post(self, request: Request, pk: int) -> Response:
        shoot = shoot_at(pk)
        check_shoots([shoot])
        return self._answer(shoot)

    def _answer(self, shoot: Shoot) -> Response:
        found = {"shoot": shoot.pk, "recipes": readiness_of([shoot])[shoot.pk]}
        return Response(ReadinessSerializer(found).data)


class LightMapAskedSerializer(serializers.Serializer):
    height = serializers.FloatField(
        required=False, allow_null=True, default=None, help_text="m; empty: the first zone's"
    )
    facing = serializers.FloatField(
        required=False, allow_null=True, default=None, help_text="degrees from the camera"
    )
    spacing = serializers.FloatField(required=False, default=0.25, help_text="m between points")
    tolerance = serializers.FloatField(required=False, allow_null=True, default=None, help_text="stops")


class LightMapSerializer(serializers.Serializer):
    height_m = serializers.FloatField()
    facing_deg = serializers.FloatField()
    x_m = serializers.ListField(child=serializers.FloatField(), help_text="columns, from the mark")
    y_m = serializers.ListField(child=serializers.FloatField(), help_text="rows, from the mark")
    placement_stops = serializers.ListField(
        child=serializers.ListField(child=serializers.FloatField(allow_null=True)),
        help_text="rows of placements; null in the dark",
    )
    tolerance_stops = serializers.FloatField()
    room_to_move_m2 = serializers.FloatField()
    room_to_move_reaches_edge = serializers.BooleanField()
    room_to_move_m = serializers.ListField(child=serializers.ListField(child=serializers.FloatField()))


@declares("readiness", "read")
class LightMapView(APIView):
    """The placement of an incident reading over the floor plan of one recipe at a shoot."""

    @extend_schema(
        parameters=[LightMapAskedSerializer], responses=LightMapSerializer, operation_id="light_map"
    )
    def get(self, request: Request, pk: int, position: int) -> Response:
        asked = LightMapAskedSerializer(data=request.query_params)
        asked.is_valid(raise_exception=True)
        said = asked.validated_data
        seen = map_of(
            recipe_at(pk, position).setup,
            MapAsked(said["height"], said["facing"], said["spacing"], said["tolerance"]),
        )
        stops = np.round(seen.light.stops, 3)
        rows = [[float(value) if np.isfinite(value) else None for value in row] for row in stops]
        return Response(
            LightMapSerializer(
                {
                    "height_m": seen.height_m,
                    "facing_deg": seen.facing_deg,
                    "x_m": seen.light.x_m.round(4).tolist(),
                    "y_m": seen.light.y_m.round(4).tolist(),
                    "placement_stops": rows,
                    "tolerance_stops": seen.tolerance_stops,
                    "room_to_move_m2": seen.area_m2,
                    "room_to_move_reaches_edge": seen.edge,
                    "room_to_move_m": seen.outline_m,
                }
            ).data
        )
