"""What is answered where no view answers: a page for people, the one shape of refusals for programs."""

from __future__ import annotations

import sys
from typing import Any

from django.db import InterfaceError, OperationalError
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.template.loader import render_to_string
from django.views import defaults

__all__ = ["failed", "not_found"]

TRY_AGAIN_S = 5


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    """No view stands at this address, or none for this thing."""
    if not _by_a_program(request):
        return defaults.page_not_found(request, exception)
    return _refused(
        404, "gone", "There is no such address here.", "The addresses of the API stand in /api/schema."
    )


def failed(request: HttpRequest) -> HttpResponse:
    """Something went wrong that nobody foresaw, and the log has it; or the database is away for the moment."""
    if isinstance(sys.exc_info()[1], OperationalError | InterfaceError):
        return _database_away(request)
    if not _by_a_program(request):
        return defaults.server_error(request)
    return _refused(
        500,
        "failed",
        "Something went wrong here, and it is in the log.",
        "Ask again; with the same Idempotency-Key what is done already is not done twice.",
    )


def _database_away(request: HttpRequest) -> HttpResponse:
    if _by_a_program(request):
        answer: HttpResponse = _refused(
            503,
            "database-away",
            "The database does not answer at the moment.",
            "Ask again in a few seconds; with the same Idempotency-Key what is done already is not done twice.",
        )
    else:
        # Without the request: whoever is signed in is written in the database too.
        answer = HttpResponse(render_to_string("503.html"), status=503)
    answer["Retry-After"] = str(TRY_AGAIN_S)
    return answer


def _by_a_program(request: HttpRequest) -> bool:
    return request.path.startswith("/api/")


def _refused(status: int, code: str, sentence: str, way_out: str) -> JsonResponse:
    said: dict[str, Any] = {"code": code, "sentence": sentence, "ways_out": [way_out], "problems": []}
    return JsonResponse(said, status=status)
