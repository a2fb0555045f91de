"""The catalogue over the API."""

from __future__ import annotations

from typing import Any

from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import (
    OpenApiParameter,
    PolymorphicProxySerializer,
    extend_schema,
    extend_schema_field,
)
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from gear.access import declares, everyone
from gear.catalogue.entry import GearTypeEntry, read_entry
from gear.catalogue.queries import gear_type_named, gear_types
from gear.catalogue.services import change_gear_type, create_gear_type
from gear.errors import FieldProblem, Gone, Invalid
from gear.etag import changed_from, etag, without_echo
from gear.paging import Pages
from gear.refusal_schema import RefusalSerializer
from gear.specs import KINDS

__all__ = ["GearTypes", "OneGearType", "SpecSchema", "SpecSchemas"]


@extend_schema_field(
    PolymorphicProxySerializer(
        component_name="SpecSheet",
        serializers={kind: model for kind, (_, model) in KINDS.items()},
        resource_type_field_name="kind",
    )
)
class SpecField(serializers.JSONField):
    """A spec sheet; its typed model judges it, so that the API and the pages refuse with the same words."""


class GearTypeSerializer(serializers.Serializer):
    """What the catalogue says of one gear type."""

    slug = serializers.CharField(max_length=80)
    name = serializers.CharField(max_length=120)
    maker = serializers.CharField(max_length=80, required=False)
    kind = serializers.ChoiceField(choices=list(KINDS))
    spec = SpecField()
    prep_minutes = serializers.IntegerField(required=False, min_value=0)
    turnaround_minutes = serializers.IntegerField(required=False, min_value=0)
    inspection_days = serializers.IntegerField(required=False, allow_null=True, min_value=1)
    inspection_source = serializers.CharField(
        required=False, max_length=200, help_text="where the interval comes from; needed with inspection_days"
    )
    notes = serializers.CharField(required=False)
    version = serializers.IntegerField(read_only=True)
    updated_at = serializers.DateTimeField(read_only=True)


class GearTypeChangeSerializer(GearTypeSerializer):
    """A whole entry. ``version``, if it is said, is the one that If-Match names."""

    version = serializers.IntegerField(min_value=1, required=False)


class GearTypePage(serializers.Serializer):
    count = serializers.IntegerField()
    next = serializers.CharField(allow_null=True)
    previous = serializers.CharField(allow_null=True)
    results = GearTypeSerializer(many=True)


@declares("gear", "read", POST="change")
class GearTypes(APIView):
    """The catalogue."""

    @extend_schema(
        operation_id="gear_types_list",
        parameters=[
            OpenApiParameter("kind", str, enum=list(KINDS)),
            OpenApiParameter("search", str, description="words in name, maker or slug"),
            OpenApiParameter("limit", int),
            OpenApiParameter("offset", int),
        ],
        responses=GearTypePage,
    )
    def get(self, request: Request) -> Response:
        kind = request.query_params.get("kind", "")
        if kind and kind not in KINDS:
            raise Invalid(
                f"There is no kind “{kind}”.", (FieldProblem("kind", f"expects one of {', '.join(KINDS)}"),)
            )
        pages = Pages()
        found = pages.paginate_queryset(
            gear_types(kind, request.query_params.get("search", "")), request, view=self
        )
        return pages.get_paginated_response(GearTypeSerializer(found, many=True).data)

    @extend_schema(
        operation_id="gear_types_create",
        request=GearTypeSerializer,
        responses={201: GearTypeSerializer, 409: RefusalSerializer, 422: RefusalSerializer},
    )
    def post(self, request: Request) -> Response:
        made = create_gear_type(read_entry(_body(request)), request.user)
        return Response(GearTypeSerializer(made).data, status=201, headers=etag(made.version))


_WRITABLE = frozenset(GearTypeEntry.model_fields)


@declares("gear", "read", PUT="change")
class OneGearType(APIView):
    """One gear type."""

    @extend_schema(
        operation_id="gear_types_retrieve", responses={200: GearTypeSerializer, 404: RefusalSerializer}
    )
    def get(self, request: Request, slug: str) -> Response:
        found = gear_type_named(slug)
        return Response(GearTypeSerializer(found).data, headers=etag(found.version))

    @extend_schema(
        operation_id="gear_types_change",
        request=GearTypeChangeSerializer,
        responses={
            200: GearTypeSerializer,
            404: RefusalSerializer,
            409: RefusalSerializer,
            412: RefusalSerializer,
            422: RefusalSerializer,
            428: RefusalSerializer,
        },
    )
    def put(self, request: Request, slug: str) -> Response:
        found = gear_type_named(slug)
        version = changed_from(request, found.version)
        said = without_echo(_body(request), GearTypeSerializer(found).data, _WRITABLE, version)
        changed = change_gear_type(slug, read_entry(said), version, request.user)
        return Response(GearTypeSerializer(changed).data, headers=etag(changed.version))


@everyone
class SpecSchema(APIView):
    """The published JSON Schema of a kind's spec sheet."""

    authentication_classes = ()

    @extend_schema(
        operation_id="spec_schema",
        responses={(200, "application/schema+json"): OpenApiTypes.OBJECT, 404: RefusalSerializer},
    )
    def get(self, request: Request, kind: str) -> Response:
        if kind not in KINDS:
            raise Gone(f"There is no kind “{kind}”; the kinds are {', '.join(KINDS)}.")
        return Response(
            {
                "$schema": "https://json-schema.org/draft/2020-12/schema",
                **KINDS[kind][1].model_json_schema(mode="validation"),
            },
            content_type="application/schema+json",
        )


@everyone
class SpecSchemas(APIView):
    """The published JSON Schemas of all kinds, by kind."""

    authentication_classes = ()

    @extend_schema(operation_id="spec_schemas", responses=OpenApiTypes.OBJECT)
    def get(self, request: Request) -> Response:
        return Response({kind: model.model_json_schema() for kind, (_, model) in KINDS.items()})


def _body(request: Request) -> dict[str, Any]:
    if not isinstance(request.data, dict):
        raise Invalid("The request holds no object with named fields.")
    return dict(request.data)
