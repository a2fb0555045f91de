"""How a refusal reaches the person: a page with the sentence, or a JSON answer with the same sentence."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from rest_framework.response import Response
from rest_framework.views import exception_handler

from gear.errors import Invalid, Refusal

__all__ = ["RefusalPages", "api_refusal", "refusal_body"]


class RefusalPages:
    """A `Refusal` that a page did not show beside its form becomes a page of its own."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, exception: Exception) -> HttpResponse | None:
        if not isinstance(exception, Refusal):
            return None
        return render(request, "web/refusal.html", {"refusal": exception}, status=exception.status)


def refusal_body(refusal: Refusal) -> dict[str, Any]:
    """``{code, sentence, ways_out, problems}``: the one shape in which the API refuses."""
    problems = refusal.problems if isinstance(refusal, Invalid) else ()
    return {
        "code": refusal.code,
        "sentence": refusal.sentence,
        "ways_out": list(refusal.ways_out),
        "problems": [{"where": p.where, "expected": p.expected} for p in problems],
    }


def api_refusal(error: Exception, context: dict[str, Any]) -> Response | None:
    """DRF's exception handler with our refusals added."""
    if isinstance(error, Refusal):
        return Response(refusal_body(error), status=error.status)
    return exception_handler(error, context)
