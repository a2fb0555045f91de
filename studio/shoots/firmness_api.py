"""How firmly a shoot stands, over the API: holding, confirming, cancelling, and who has to decide by when."""

from __future__ import annotations

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from gear.access import declares
from gear.booking.wall_time import moment
from gear.refusal_schema import RefusalSerializer
from gear.request_body import read_input
from studio.shoots import challenging, services
from studio.shoots.api_answers import answer, shoot_numbered, version_said
from studio.shoots.api_shapes import (
    DecideSerializer,
    FirmnessSerializer,
    OpenEndSerializer,
    ShootSerializer,
    StepBackSerializer,
)

__all__ = ["AskToDecide", "Firmness", "OpenEnd", "StepBack"]

_ANSWERS = {
    200: ShootSerializer,
    403: RefusalSerializer,
    404: RefusalSerializer,
    409: RefusalSerializer,
    412: RefusalSerializer,
    422: RefusalSerializer,
}


@declares("shoot", "change")
class Firmness(APIView):
    """How firmly a shoot stands: hold, confirm, cancel, take up again."""

    act = "hold"

    @extend_schema(
        operation_id="shoot_firmness",
        request=FirmnessSerializer,
        responses=_ANSWERS,
    )
    def post(self, request: Request, pk: int) -> Response:
        """409 says what is in the way; holding and taking up again may then be asked for ``behind`` it."""
        asked = read_input(FirmnessSerializer, request.data or {})
        shoot, version, behind = shoot_numbered(pk), version_said(request, asked), asked["behind"]
        match self.act:
            case "hold":
                until = asked.get("until")
                ends = moment(until, shoot.booking.zone, where="until").instant if until else None
                services.hold_shoot(shoot, request.user, ends, version=version, behind=behind)
            case "confirm":
                services.confirm_shoot(shoot, request.user, version=version)
            case "cancel":
                services.cancel_shoot(shoot, request.user, version=version)
            case "uncancel":
                services.uncancel_shoot(shoot, request.user, version=version, behind=behind)
        return answer(pk)


@declares("shoot", "change")
class OpenEnd(APIView):
    """Out with no return date."""

    @extend_schema(operation_id="shoot_open_end", request=OpenEndSerializer, responses=_ANSWERS)
    def post(self, request: Request, pk: int) -> Response:
        """409 says what comes after it. A change with ``ends`` gives it an end again."""
        asked = read_input(OpenEndSerializer, request.data)
        version = version_said(request, asked)
        services.leave_shoot_open(shoot_numbered(pk), asked["review"], request.user, version=version)
        return answer(pk)


@declares("shoot", "change")
class AskToDecide(APIView):
    """Asking the one on 1st hold to confirm, or to let go by a deadline in working hours."""

    @extend_schema(operation_id="shoot_ask", request=DecideSerializer, responses=_ANSWERS)
    def post(self, request: Request, pk: int) -> Response:
        """Asking again while it is open changes nothing. 409 says why there is nothing to ask."""
        asked = read_input(DecideSerializer, request.data)
        challenging.ask_to_decide(
            shoot_numbered(pk), asked["booking"], request.user, hours=asked.get("hours")
        )
        return answer(pk)

    @extend_schema(operation_id="shoot_ask_no_more", request=DecideSerializer, responses=_ANSWERS)
    def delete(self, request: Request, pk: int) -> Response:
        """Ask no more; the first keeps its hold."""
        asked = read_input(DecideSerializer, request.data)
        challenging.stop_asking(shoot_numbered(pk), asked["booking"], request.user)
        return answer(pk)


@declares("shoot", "change")
class StepBack(APIView):
    """Letting those go first who wait."""

    @extend_schema(operation_id="shoot_step_back", request=StepBackSerializer, responses=_ANSWERS)
    def post(self, request: Request, pk: int) -> Response:
        """These units go to the next in line; this shoot waits behind."""
        asked = read_input(StepBackSerializer, request.data)
        challenging.wait_behind(shoot_numbered(pk), asked["units"], request.user)
        return answer(pk)
