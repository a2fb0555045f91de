"""Scanning a unit into a case, over the API."""

from __future__ import annotations

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from gear.access import declares
from gear.inventory.casing import put_into_case
from gear.refusal_schema import RefusalSerializer
from gear.request_body import read_input

__all__ = ["CaseOfUnit"]


class IntoCaseSerializer(serializers.Serializer):
    """``move`` answers the question that a unit in another case raises."""

    case = serializers.CharField(max_length=20, help_text="tag of a case")
    move = serializers.BooleanField(required=False, default=False)


class InCaseSerializer(serializers.Serializer):
    unit = serializers.CharField(source="tag")
    case = serializers.CharField(source="case.tag")


@declares("gear", "change")
class CaseOfUnit(APIView):
    """The case that a unit travels in."""

    @extend_schema(
        operation_id="units_put_into_case",
        request=IntoCaseSerializer,
        responses={
            200: InCaseSerializer,
            404: RefusalSerializer,
            409: RefusalSerializer,
            422: RefusalSerializer,
        },
    )
    def put(self, request: Request, tag: str) -> Response:
        asked = read_input(IntoCaseSerializer, request.data)
        unit = put_into_case(tag, asked["case"], request.user, move=asked["move"])
        return Response(InCaseSerializer(unit).data)
