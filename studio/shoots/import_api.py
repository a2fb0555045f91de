"""Shoots from a table, over the API."""

from __future__ import annotations

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from gear.access import declares
from gear.refusal_schema import RefusalSerializer
from gear.request_body import read_input
from studio.shoots.importing import COLUMNS, import_shoots

__all__ = ["ImportShoots"]


class ImportSerializer(serializers.Serializer):
    """``csv`` has the columns as its first row; with ``dry_run`` nothing is kept."""

    csv = serializers.CharField(help_text=f"columns: {', '.join(COLUMNS)}")
    dry_run = serializers.BooleanField(default=False)


class ImportedSerializer(serializers.Serializer):
    row = serializers.IntegerField(source="number")
    title = serializers.CharField()
    outcome = serializers.ChoiceField(choices=["new", "there", "refused"])
    when = serializers.CharField()
    warnings = serializers.ListField(child=serializers.CharField())
    problem = serializers.CharField()
    shoot = serializers.SerializerMethodField(help_text="its number; null in a dry run")

    def get_shoot(self, row: object) -> int | None:
        dry = bool(self.context.get("dry_run"))
        shoot = getattr(row, "shoot", None)
        return None if dry or shoot is None else shoot.pk


@declares("shoot", "ask")
class ImportShoots(APIView):
    """Many shoots at once."""

    @extend_schema(
        operation_id="shoots_import",
        request=ImportSerializer,
        responses={200: ImportedSerializer(many=True), 403: RefusalSerializer, 422: RefusalSerializer},
    )
    def post(self, request: Request) -> Response:
        """All rows or none; 422 names each row that is refused. What is planned already is left as it is."""
        asked = read_input(ImportSerializer, request.data)
        done = import_shoots(asked["csv"], request.user, dry_run=asked["dry_run"])
        return Response(ImportedSerializer(done, many=True, context={"dry_run": asked["dry_run"]}).data)
