"""What a phone asks and sends."""

from __future__ import annotations

from typing import Any

from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.utils.decorators import method_decorator
from django.views.decorators.csrf import ensure_csrf_cookie
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from gear.access import declares, everyone
from gear.refusal_schema import RefusalSerializer
from studio.packing.models import PackingClosure
from studio.packing.queries import packing_list
from studio.packing.services import update_list
from studio.people.policy import may
from studio.phones.formats import NEWEST
from studio.phones.models import Operation
from studio.phones.queries import list_for_phone, shoots_to_keep
from studio.phones.services import Sending, take
from studio.shoots.models import Shoot

__all__ = ["KeptLists", "OneKeptList", "Operations", "WhoIsHere"]

AT_MOST = 200


class WhoSerializer(serializers.Serializer):
    """Who is signed in, null for nobody; and the server's clock."""

    person = serializers.IntegerField(allow_null=True)
    name = serializers.CharField(allow_blank=True)
    packs = serializers.BooleanField(help_text="whether this person may change packing lists")
    now = serializers.DateTimeField()
    newest_format = serializers.IntegerField(help_text="the newest format of an act that this server reads")


class ShootToKeepSerializer(serializers.Serializer):
    shoot = serializers.IntegerField(source="shoot.pk")
    title = serializers.CharField(source="shoot.title")
    when = serializers.CharField()
    where = serializers.CharField(source="shoot.room")


class KeptLineSerializer(serializers.Serializer):
    tag = serializers.CharField()
    code = serializers.CharField()
    name = serializers.CharField()
    why = serializers.CharField()
    shelf = serializers.CharField()
    case = serializers.CharField(help_text="tag of the case it travels in, or empty")
    wanted = serializers.BooleanField()
    unfit = serializers.CharField(help_text="its condition in words where it is not to leave")
    state = serializers.ChoiceField(choices=["wanted", "out", "in", "used", "reported"])


class KeptCountSerializer(serializers.Serializer):
    line = serializers.IntegerField()
    name = serializers.CharField()
    shelf = serializers.CharField()
    wanted = serializers.CharField(help_text="a decimal number")
    out = serializers.CharField()
    back = serializers.CharField()
    accounted = serializers.CharField(help_text="back, used and reported together")


class KeptListSerializer(serializers.Serializer):
    """A packing list as a phone keeps it."""

    shoot = serializers.IntegerField()
    title = serializers.CharField()
    when = serializers.CharField()
    where = serializers.CharField()
    closed = serializers.BooleanField()
    made_at = serializers.DateTimeField()
    lines = KeptLineSerializer(many=True)
    counted = KeptCountSerializer(many=True)


class SendingSerializer(serializers.Serializer):
    """A batch of acts. ``lowest_kept`` is the lowest number that the phone still has, or the next one it will use: what
    is missing below it will never come. Each act is an object in one of the formats that the server reads."""

    device = serializers.UUIDField(help_text="made on the phone, once")
    name = serializers.CharField(max_length=80, allow_blank=True, default="")
    now = serializers.DateTimeField(help_text="the phone's clock")
    lowest_kept = serializers.IntegerField(min_value=1, max_value=2**31 - 1)
    unsent = serializers.IntegerField(min_value=0, max_value=2**31 - 1, default=0)
    operations = serializers.ListField(child=serializers.JSONField(), max_length=AT_MOST)


class AnswerSerializer(serializers.Serializer):
    """What became of an act. Only when ``kept`` is true may the phone let it go."""

    key = serializers.CharField()
    number = serializers.IntegerField(allow_null=True)
    kept = serializers.BooleanField()
    state = serializers.CharField(
        help_text=f"{', '.join(Operation.State.values)}; or why the server does not keep it"
    )
    sentence = serializers.CharField()
    unit = serializers.CharField(allow_null=True)


class AnswersSerializer(serializers.Serializer):
    answers = AnswerSerializer(many=True)


@everyone
@method_decorator(ensure_csrf_cookie, name="dispatch")
class WhoIsHere(APIView):
    """Asked before sending: whether anybody is signed in on this phone. Sets the cookie that sending needs."""

    @extend_schema(responses=WhoSerializer, operation_id="phones_who")
    def get(self, request: Request) -> Response:
        person = request.user if request.user.is_authenticated else None
        return Response(
            WhoSerializer(
                {
                    "person": person.pk if person else None,
                    "name": str(person) if person else "",
                    "packs": bool(person and may(person, "packing", "change")),
                    "now": timezone.now(),
                    "newest_format": NEWEST,
                }
            ).data
        )


@declares("packing", "read")
class KeptLists(APIView):
    """The shoots whose lists a phone keeps."""

    @extend_schema(responses=ShootToKeepSerializer(many=True), operation_id="phones_lists")
    def get(self, request: Request) -> Response:
        return Response(ShootToKeepSerializer(shoots_to_keep(), many=True).data)


@declares("packing", "read")
class OneKeptList(APIView):
    """One list as a phone keeps it."""

    @extend_schema(responses=KeptListSerializer, operation_id="phones_list")
    def get(self, request: Request, pk: int) -> Response:
        shoot = get_object_or_404(
            Shoot.objects.select_related("booking", "room__place", "packing_closure"), pk=pk
        )
        if not PackingClosure.objects.filter(shoot=shoot).exists():
            update_list(shoot)
        return Response(KeptListSerializer(list_for_phone(packing_list(shoot))).data)


@declares("phone", "send")
class Operations(APIView):
    """Send acts: each has one effect, however often it is sent, and gets the same answer each time."""

    @extend_schema(
        request=SendingSerializer,
        responses={200: AnswersSerializer, 422: RefusalSerializer},
        operation_id="phones_send",
    )
    def post(self, request: Request) -> Response:
        asked = SendingSerializer(data=request.data)
        asked.is_valid(raise_exception=True)
        answers = take(_sending(asked.validated_data), request.user)
        return Response(AnswersSerializer({"answers": answers}).data)


def _sending(sent: dict[str, Any]) -> Sending:
    return Sending(
        device_id=sent["device"],
        name=sent["name"],
        now=sent["now"],
        lowest_kept=sent["lowest_kept"],
        unsent=sent["unsent"],
        documents=sent["operations"],
    )
