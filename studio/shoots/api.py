"""Shoots over the API."""

from __future__ import annotations

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from gear.access import declares
from gear.booking.wall_time import moment
from gear.errors import FieldProblem, Gone, Invalid
from gear.etag import changed_from, without_echo
from gear.paging import Pages
from gear.refusal_schema import RefusalSerializer
from gear.request_body import read_input
from recipes.records.models import Revision
from studio.shoots import services
from studio.shoots.api_answers import answer, shoot_numbered, version_said
from studio.shoots.api_shapes import (
    AssignmentSerializer,
    ChangeSerializer,
    MoveSerializer,
    NewShootSerializer,
    ShootPageSerializer,
    ShootSerializer,
    ShootSummarySerializer,
    UnitJobSerializer,
)
from studio.shoots.asked import changes_from, person_named, room_numbered
from studio.shoots.inspections import inspection_said
from studio.shoots.models import Shoot, ShootRecipe
from studio.shoots.queries import shoot_whole, shoots
from studio.shoots.rules import period_in
from studio.shoots.standing import with_ranks

__all__ = ["Move", "OneShoot", "ShootUnits", "Shoots"]

_REFUSALS = {404: RefusalSerializer, 409: RefusalSerializer, 412: RefusalSerializer, 422: RefusalSerializer}


@declares("shoot", "read", POST="ask")
class Shoots(APIView):
    """Shoots in the order of time."""

    @extend_schema(
        operation_id="shoots_list",
        parameters=[
            OpenApiParameter("when", str, enum=["coming", "past", "cancelled", "all"]),
            OpenApiParameter("search", str),
            OpenApiParameter("limit", int),
            OpenApiParameter("offset", int),
        ],
        responses=ShootPageSerializer,
    )
    def get(self, request: Request) -> Response:
        when = request.query_params.get("when", "all")
        if when not in ("coming", "past", "cancelled", "all"):
            raise Invalid(
                f"{when[:20]!r} is no part of the list.",
                (FieldProblem("when", "coming, past, cancelled or all"),),
            )
        pages = Pages()
        found = shoots(when=when, words=request.query_params.get("search", ""))
        page = pages.paginate_queryset(found, request, view=self)
        return pages.get_paginated_response(ShootSummarySerializer(with_ranks(page), many=True).data)

    @extend_schema(
        operation_id="shoots_create",
        request=NewShootSerializer,
        responses={201: ShootSerializer, 403: RefusalSerializer, **_REFUSALS},
    )
    def post(self, request: Request) -> Response:
        asked = read_input(NewShootSerializer, request.data)
        room = room_numbered(asked["room"])
        period = period_in(
            room,
            asked["starts"],
            asked["ends"],
            starts_second=asked["starts_second"],
            ends_second=asked["ends_second"],
        )
        until = asked.get("hold_until")
        shoot = services.plan_shoot(
            asked["title"],
            room,
            period,
            person_named(asked.get("photographer"), "photographer"),
            request.user,
            recipes=[_newest(pk, index) for index, pk in enumerate(asked["recipes"])],
            state=asked["state"],
            hold_until=moment(until, room.place.zone, where="hold_until").instant if until else None,
            assistant=person_named(asked.get("assistant"), "assistant"),
            notes=asked["notes"],
            travels_by_air=asked["travels_by_air"],
            travellers=asked["travellers"],
        )
        return answer(shoot.pk, 201)


@declares("shoot", "read", PATCH="change")
class OneShoot(APIView):
    """One shoot with its recipes, jobs and units."""

    @extend_schema(operation_id="shoots_retrieve", responses={200: ShootSerializer, 404: RefusalSerializer})
    def get(self, request: Request, pk: int) -> Response:
        return answer(pk)

    @extend_schema(
        operation_id="shoots_change",
        request=ChangeSerializer,
        responses={200: ShootSerializer, 403: RefusalSerializer, 428: RefusalSerializer, **_REFUSALS},
    )
    def patch(self, request: Request, pk: int) -> Response:
        """Fields left out stay as they are; the header If-Match names the version they were made from."""
        shown = shoot_whole(pk)
        version = changed_from(request, shown.version)
        said = request.data
        if isinstance(said, dict):
            said = without_echo(said, ShootSerializer(shown).data, frozenset(), version)
        asked = read_input(ChangeSerializer, said, partial=True)
        changes = changes_from(asked)
        services.edit_shoot(shown, changes, request.user, version=version)
        return answer(pk)


@declares("shoot", "change")
class ShootUnits(APIView):
    """Units of a shoot: with a job in a recipe, or without one."""

    @extend_schema(
        operation_id="shoot_units_add",
        request=UnitJobSerializer,
        responses={201: AssignmentSerializer, 403: RefusalSerializer, **_REFUSALS},
    )
    def post(self, request: Request, pk: int) -> Response:
        """Promise a unit, and give it a job when ``recipe`` names a position. 409 says who has it and what is free."""
        asked = read_input(UnitJobSerializer, request.data)
        shoot = shoot_numbered(pk)
        if asked["recipe"] is None:
            unit = services.add_extra_unit(shoot, asked["unit"], request.user, behind=asked["behind"])
            said = inspection_said(unit, shoot.booking)
            return Response(
                {"unit": unit.tag, "recipe": None, "light": "", "job": "", "number": 1, "warnings": said},
                status=201,
            )
        here = _at_position(shoot, asked["recipe"])
        done = services.assign_unit(
            here,
            asked["light"],
            asked["job"],
            asked["number"],
            asked["unit"],
            request.user,
            behind=asked["behind"],
        )
        said = inspection_said(done.unit, shoot.booking)
        return Response({**AssignmentSerializer(done).data, "warnings": said}, status=201)

    @extend_schema(
        operation_id="shoot_units_remove",
        request=UnitJobSerializer,
        responses={204: None, 403: RefusalSerializer, **_REFUSALS},
    )
    def delete(self, request: Request, pk: int) -> Response:
        """Take a unit off its job, or let an extra one go. Repeating it changes nothing."""
        asked = read_input(UnitJobSerializer, request.data)
        shoot = shoot_numbered(pk)
        if asked["recipe"] is None:
            services.remove_extra_unit(shoot, asked["unit"], request.user)
        else:
            services.unassign(
                _at_position(shoot, asked["recipe"]),
                asked["light"],
                asked["job"],
                asked["number"],
                request.user,
                seen_tag=asked["unit"].strip().upper(),
            )
        return Response(status=204)


@declares("shoot", "change")
class Move(APIView):
    """Another time for the same shoot."""

    @extend_schema(
        operation_id="shoot_move",
        request=MoveSerializer,
        responses={200: ShootSerializer, 403: RefusalSerializer, **_REFUSALS},
    )
    def post(self, request: Request, pk: int) -> Response:
        """As a whole or not at all; 409 says which unit is in the way, and until when it could be used."""
        asked = read_input(MoveSerializer, request.data)
        changes = services.Changes(
            starts=asked["starts"],
            ends=asked["ends"],
            starts_second=asked["starts_second"],
            ends_second=asked["ends_second"],
        )
        services.edit_shoot(shoot_numbered(pk), changes, request.user, version=version_said(request, asked))
        return answer(pk)


def _at_position(shoot: Shoot, position: int) -> ShootRecipe:
    found = shoot.recipes.filter(position=position).first()
    if found is None:
        count = shoot.recipes.count()
        raise Gone(f"“{shoot.title}” has no recipe at position {position}; it has {count}.")
    return found


def _newest(recipe: int, index: int) -> Revision:
    found = Revision.objects.filter(recipe=recipe, recipe__archived=False).order_by("-number").first()
    if found is None:
        raise Invalid(
            f"There is no recipe {recipe}.", (FieldProblem(f"recipes.{index}", "the id of a recipe"),)
        )
    return found
