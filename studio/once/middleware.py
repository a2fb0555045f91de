"""Where a key is honoured: at every API route that changes something, whichever area it belongs to."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse
from rest_framework.exceptions import APIException
from rest_framework.request import Request
from rest_framework.views import APIView

from gear.errors import Refusal
from studio.once.asked import asked_in
from studio.once.services import answer_once

__all__ = ["OnceOnly"]

_CHANGING = {"POST", "PUT", "PATCH", "DELETE"}


class OnceOnly:
    """Changing API requests with the header ``Idempotency-Key`` happen once. The last of the middleware: it calls the
    view itself, since only there what the database says of a lost race can still be heard."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(
        self, request: HttpRequest, view: Callable[..., HttpResponse], args: Any, kwargs: Any
    ) -> HttpResponse | None:
        area = getattr(view, "cls", None)
        if (
            request.method not in _CHANGING
            or "Idempotency-Key" not in request.headers
            or not (isinstance(area, type) and issubclass(area, APIView))
        ):
            return None
        route: APIView = area(**getattr(view, "initkwargs", {}))
        asking = route.initialize_request(request, *args, **kwargs)
        person_id = _who(asking)
        if person_id is None:
            return None  # the view says why they may not
        try:
            return answer_once(
                asked_in(request, person_id), lambda: _rendered(view(request, *args, **kwargs))
            )
        except Refusal as refusal:
            route.headers = route.default_response_headers
            return _rendered(route.finalize_response(asking, route.handle_exception(refusal)))


def _who(asking: Request) -> int | None:
    try:
        return asking.user.pk if asking.user.is_authenticated else None
    except APIException:
        return None


def _rendered(answer: HttpResponse) -> HttpResponse:
    if not getattr(answer, "is_rendered", True):
        answer.render()  # type: ignore[attr-defined]
    return answer
