"""The store over the API."""

from __future__ import annotations

from typing import Any

from django.http import StreamingHttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from gear.access import declares
from gear.errors import FieldProblem, Invalid
from gear.etag import changed_from, etag, without_echo
from gear.inventory.columns import unit_fields
from gear.inventory.entry import CareNote, FaultReport, UnitEntry, read_typed
from gear.inventory.models import CareEntry, Condition
from gear.inventory.queries import care_of, unit_tagged, units, whole_inventory
from gear.inventory.services import add_care_entry, add_unit, change_condition, change_unit, report_fault
from gear.paging import Pages
from gear.refusal_schema import RefusalSerializer
from gear.specs import KINDS

__all__ = ["Care", "ConditionOfUnit", "Faults", "InventoryExport", "OneUnit", "Units"]

_REFUSED = {404: RefusalSerializer, 409: RefusalSerializer, 422: RefusalSerializer}
_CHANGED = {412: RefusalSerializer, 428: RefusalSerializer, **_REFUSED}
_WRITABLE = frozenset(UnitEntry.model_fields)


class UnitSerializer(serializers.Serializer):
    """One unit. ``gear_type`` is a slug, ``case`` the tag of the case it travels in."""

    tag = serializers.CharField(max_length=20)
    code = serializers.CharField(
        read_only=True, help_text="short code with a check character, as on its label"
    )
    gear_type = serializers.CharField(source="gear_type.slug", help_text="slug of a gear type")
    kind = serializers.ChoiceField(source="gear_type.kind", choices=list(KINDS), read_only=True)
    serial = serializers.CharField(required=False, max_length=80)
    condition = serializers.ChoiceField(choices=Condition.choices, read_only=True)
    condition_note = serializers.CharField(read_only=True)
    shelf = serializers.CharField(required=False, max_length=80)
    case = serializers.CharField(
        source="case.tag", default=None, required=False, allow_null=True, help_text="tag of a case"
    )
    prep_minutes = serializers.IntegerField(required=False, allow_null=True, min_value=0)
    turnaround_minutes = serializers.IntegerField(required=False, allow_null=True, min_value=0)
    health = serializers.FloatField(
        read_only=True, allow_null=True, help_text="share of a battery's rated capacity, as last measured"
    )
    firmware = serializers.CharField(read_only=True, help_text="the version that runs on it")
    flash_count = serializers.IntegerField(
        read_only=True, allow_null=True, help_text="flashes of its tube, as last read"
    )
    radio_channel = serializers.IntegerField(required=False, allow_null=True, min_value=0)
    inspection_due = serializers.DateField(required=False, allow_null=True)
    bought_on = serializers.DateField(required=False, allow_null=True)
    notes = serializers.CharField(required=False)
    version = serializers.IntegerField(read_only=True)
    updated_at = serializers.DateTimeField(read_only=True)


class UnitChangeSerializer(serializers.Serializer):
    """The fields to change. ``version``, if it is said, is the one that If-Match names."""

    version = serializers.IntegerField(min_value=1, required=False)
    tag = serializers.CharField(required=False, max_length=20)
    gear_type = serializers.CharField(required=False, help_text="slug of a gear type")
    serial = serializers.CharField(required=False, max_length=80)
    shelf = serializers.CharField(required=False, max_length=80)
    case = serializers.CharField(required=False, allow_null=True, help_text="tag of a case")
    prep_minutes = serializers.IntegerField(required=False, allow_null=True, min_value=0)
    turnaround_minutes = serializers.IntegerField(required=False, allow_null=True, min_value=0)
    radio_channel = serializers.IntegerField(required=False, allow_null=True, min_value=0)
    inspection_due = serializers.DateField(required=False, allow_null=True)
    bought_on = serializers.DateField(required=False, allow_null=True)
    notes = serializers.CharField(required=False)


class CareEntrySerializer(serializers.Serializer):
    """One line of a care history."""

    id = serializers.IntegerField()
    kind = serializers.ChoiceField(choices=CareEntry.Kind.choices)
    text = serializers.CharField()
    happened_on = serializers.DateField()
    entered_at = serializers.DateTimeField()
    by = serializers.CharField(allow_null=True)
    health = serializers.FloatField(allow_null=True)
    flash_count = serializers.IntegerField(allow_null=True)
    firmware = serializers.CharField()
    cost = serializers.DecimalField(max_digits=10, decimal_places=2, allow_null=True)
    currency = serializers.CharField(help_text="ISO 4217 of the cost, or empty")
    condition_before = serializers.CharField()
    condition_after = serializers.CharField()


class ConditionSerializer(serializers.Serializer):
    """A change of condition. A way back to ready is a release and needs what was inspected as its text."""

    condition = serializers.ChoiceField(choices=Condition.choices)
    text = serializers.CharField(max_length=500)
    version = serializers.IntegerField(min_value=1, help_text="of the unit as the decision was made from")


class UnitPage(serializers.Serializer):
    count = serializers.IntegerField()
    next = serializers.CharField(allow_null=True)
    previous = serializers.CharField(allow_null=True)
    results = UnitSerializer(many=True)


@declares("gear", "read", POST="change")
class Units(APIView):
    """The units of the store."""

    @extend_schema(
        operation_id="units_list",
        parameters=[
            OpenApiParameter("kind", str, enum=list(KINDS)),
            OpenApiParameter("condition", str, enum=Condition.values),
            OpenApiParameter("case", str, description="tag of a case"),
            OpenApiParameter("gear_type", str, description="slug of a gear type"),
            OpenApiParameter(
                "search",
                str,
                description="words in tag, serial number, name or maker; or a short code, or what a label holds",
            ),
            OpenApiParameter("limit", int),
            OpenApiParameter("offset", int),
        ],
        responses={200: UnitPage, 422: RefusalSerializer},
    )
    def get(self, request: Request) -> Response:
        asked = request.query_params
        kind = _one_of("kind", asked.get("kind", ""), list(KINDS))
        condition = _one_of("condition", asked.get("condition", ""), Condition.values)
        pages = Pages()
        found = units(
            kind=kind,
            condition=condition,
            case=asked.get("case", "").replace("\x00", ""),
            type_slug=asked.get("gear_type", "").replace("\x00", ""),
            search=asked.get("search", ""),
        )
        page = pages.paginate_queryset(found, request, view=self)
        return pages.get_paginated_response(UnitSerializer(page, many=True).data)

    @extend_schema(
        operation_id="units_create", request=UnitSerializer, responses={201: UnitSerializer, **_REFUSED}
    )
    def post(self, request: Request) -> Response:
        made = add_unit(read_typed(UnitEntry, _body(request), "The unit"), request.user)
        return Response(UnitSerializer(made).data, status=201, headers=etag(made.version))


@declares("gear", "read", PATCH="change", PUT="change")
class OneUnit(APIView):
    """One unit."""

    @extend_schema(operation_id="units_retrieve", responses={200: UnitSerializer, 404: RefusalSerializer})
    def get(self, request: Request, tag: str) -> Response:
        unit = unit_tagged(tag)
        return Response(UnitSerializer(unit).data, headers=etag(unit.version))

    @extend_schema(
        operation_id="units_change",
        request=UnitChangeSerializer,
        responses={200: UnitSerializer, **_CHANGED},
    )
    def patch(self, request: Request, tag: str) -> Response:
        """Fields left out stay as they are."""
        stored = unit_fields(unit_tagged(tag))
        return self._change(request, tag, {name: stored[name] for name in UnitEntry.model_fields})

    @extend_schema(
        operation_id="units_replace", request=UnitSerializer, responses={200: UnitSerializer, **_CHANGED}
    )
    def put(self, request: Request, tag: str) -> Response:
        """The whole unit as it shall be; fields left out are emptied."""
        return self._change(request, tag, {})

    def _change(self, request: Request, tag: str, stays: dict[str, Any]) -> Response:
        unit = unit_tagged(tag)
        version = changed_from(request, unit.version)
        said = without_echo(_body(request), UnitSerializer(unit).data, _WRITABLE, version)
        changed = change_unit(tag, read_typed(UnitEntry, stays | said, "The unit"), version, request.user)
        return Response(UnitSerializer(changed).data, headers=etag(changed.version))


@declares("gear", "report")
class Faults(APIView):
    """Faults of a unit."""

    @extend_schema(
        operation_id="units_report_fault",
        request=FaultReport,
        responses={201: CareEntrySerializer, **_REFUSED},
    )
    def post(self, request: Request, tag: str) -> Response:
        """Report a fault; the unit is out of use at once."""
        said = read_typed(FaultReport, _body(request), "The report")
        entry = report_fault(tag, said.text, request.user, said.happened_on)
        return Response(CareEntrySerializer(entry).data, status=201)


@declares("gear", "release")
class ConditionOfUnit(APIView):
    """The condition of a unit."""

    @extend_schema(
        operation_id="units_change_condition",
        request=ConditionSerializer,
        responses={201: CareEntrySerializer, 412: RefusalSerializer, **_REFUSED},
    )
    def post(self, request: Request, tag: str) -> Response:
        """Change the condition; a way back to ready says what was inspected."""
        body = _body(request)
        entry = change_condition(
            tag,
            str(body.get("condition", "")),
            str(body.get("text", "")),
            request.user,
            _version(body.get("version")),
        )
        return Response(CareEntrySerializer(entry).data, status=201)


@declares("gear", "read", POST="report")
class Care(APIView):
    """The care history of a unit."""

    @extend_schema(
        operation_id="units_care_list",
        responses={200: CareEntrySerializer(many=True), 404: RefusalSerializer},
    )
    def get(self, request: Request, tag: str) -> Response:
        return Response(CareEntrySerializer(care_of(unit_tagged(tag), at_most=500), many=True).data)

    @extend_schema(
        operation_id="units_care_add", request=CareNote, responses={201: CareEntrySerializer, **_REFUSED}
    )
    def post(self, request: Request, tag: str) -> Response:
        """Write into the history: a note, repair, inspection or measurement."""
        note = read_typed(CareNote, _body(request), "The entry")
        return Response(CareEntrySerializer(add_care_entry(tag, note, request.user)).data, status=201)


@declares("gear", "export")
class InventoryExport(APIView):
    """The whole inventory as the file that the import takes."""

    @extend_schema(operation_id="units_export", responses={(200, "text/csv"): OpenApiTypes.STR})
    def get(self, request: Request) -> StreamingHttpResponse:
        return StreamingHttpResponse(whole_inventory(), content_type="text/csv; charset=utf-8")


def _body(request: Request) -> dict[str, Any]:
    if not isinstance(request.data, dict):
        raise Invalid("The request holds no object with named fields.")
    return dict(request.data)


def _version(value: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int):
        raise Invalid(
            "Say which version of the unit this was decided from.",
            (FieldProblem("version", "expects the whole number that the last read gave"),),
        )
    return value


def _one_of(name: str, value: str, known: list[str]) -> str:
    if value and value not in known:
        raise Invalid(
            f"There is no {name} “{value[:40]}”.",
            (FieldProblem(name, f"expects one of {', '.join(known)}"),),
        )
    return value
