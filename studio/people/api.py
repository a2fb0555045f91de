"""Accounts over the API. A password is never among what is read or written."""

from __future__ import annotations

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from gear.access import declares
from gear.etag import changed_from, etag
from gear.refusal_schema import RefusalSerializer
from gear.request_body import read_input
from studio.people import services
from studio.people.entry import PersonEntry
from studio.people.models import Person, Role
from studio.people.queries import everybody, somebody

__all__ = ["OnePerson", "People"]

_REFUSALS = {403: RefusalSerializer, 404: RefusalSerializer, 409: RefusalSerializer, 412: RefusalSerializer}
_REFUSALS |= {422: RefusalSerializer}
_NOBODY_SETS = ("id", "version", "last_login")


class PersonSerializer(serializers.Serializer):
    """Somebody with an account; ``is_active`` is False once it is closed."""

    id = serializers.IntegerField(read_only=True)
    username = serializers.CharField(max_length=150, help_text="capitals make no difference")
    first_name = serializers.CharField(max_length=150, allow_blank=True, default="")
    last_name = serializers.CharField(max_length=150, allow_blank=True, default="")
    email = serializers.CharField(max_length=254, allow_blank=True, default="")
    role = serializers.ChoiceField(choices=Role.choices)
    is_active = serializers.BooleanField(default=True)
    last_login = serializers.DateTimeField(read_only=True)
    version = serializers.IntegerField(read_only=True)


@declares("people", "read", POST="change")
class People(APIView):
    """Everybody who has an account."""

    @extend_schema(operation_id="people_list", responses=PersonSerializer(many=True))
    def get(self, request: Request) -> Response:
        return Response(PersonSerializer(everybody(), many=True).data)

    @extend_schema(
        operation_id="people_create",
        request=PersonSerializer,
        responses={201: PersonSerializer, **_REFUSALS},
        description="The account opens when its owner has chosen a password; a manager makes the link on its page.",
    )
    def post(self, request: Request) -> Response:
        made = services.add_person(PersonEntry(**read_input(PersonSerializer, request.data)), request.user)
        return _answer(made, 201)


@declares("people", "read", PUT="change")
class OnePerson(APIView):
    """One account."""

    @extend_schema(operation_id="people_retrieve", responses={200: PersonSerializer, 404: RefusalSerializer})
    def get(self, request: Request, pk: int) -> Response:
        return _answer(somebody(pk))

    @extend_schema(
        operation_id="people_change",
        request=PersonSerializer,
        responses={200: PersonSerializer, 428: RefusalSerializer, **_REFUSALS},
    )
    def put(self, request: Request, pk: int) -> Response:
        """The whole account as it shall be; the header If-Match names the version it was made from."""
        found = somebody(pk)
        version = changed_from(request, found.version)
        body = request.data
        if isinstance(body, dict):
            body = {name: value for name, value in body.items() if name not in _NOBODY_SETS}
        entry = PersonEntry(**read_input(PersonSerializer, body))
        return _answer(services.change_person(found, entry, request.user, version=version))


def _answer(person: Person, status: int = 200) -> Response:
    return Response(PersonSerializer(person).data, status=status, headers=etag(person.version))
