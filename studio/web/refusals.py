"""How a refusal reaches the person: a page with the sentence, or a JSON answer with the same sentence."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from rest_framework.exceptions import MethodNotAllowed, UnsupportedMediaType
from rest_framework.response import Response
from rest_framework.views import exception_handler

from gear.errors import Gone, Invalid, Refusal

__all__ = ["BodyLimit", "RefusalPages", "TooLarge", "api_refusal", "refusal_body"]


class BodyLimit:
    """Refuses a body that is too large before anything reads it; DRF reads JSON bodies whatever their size."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        length = request.META.get("CONTENT_LENGTH") or "0"
        if length.isdigit() and int(length) > settings.DATA_UPLOAD_MAX_MEMORY_SIZE:
            megabytes = settings.DATA_UPLOAD_MAX_MEMORY_SIZE // 2**20
            sentence = f"This is more than {megabytes} MB at once; send it in smaller parts."
            return JsonResponse(refusal_body(TooLarge(sentence)), status=TooLarge.status)
        return self.get_response(request)


class TooLarge(Refusal):
    """More than the service takes at once."""

    status = 413
    code = "too-large"


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
    if isinstance(error, Http404):
        gone = Gone("There is no such thing here; it may have been removed. Look it up in its list.")
        return Response(refusal_body(gone), status=gone.status)
    answer = exception_handler(error, context)
    if answer is not None:
        answer.data = _in_our_shape(error, answer)
    return answer


def _in_our_shape(error: Exception, answer: Response) -> dict[str, Any]:
    """What the framework refuses by itself: who may not, another method, another kind of body, broken JSON."""
    said = answer.data.get("detail", "") if isinstance(answer.data, dict) else ""
    ways_out = []
    if isinstance(error, UnsupportedMediaType):
        ways_out = ["Send the body as application/json, with that as its Content-Type."]
    if isinstance(error, MethodNotAllowed):
        ways_out = [f"This address takes {answer.headers['Allow']}."] if "Allow" in answer.headers else []
    return {
        "code": getattr(said, "code", None) or "refused",
        "sentence": _sentence(str(said)),
        "ways_out": ways_out,
        "problems": [],
    }


def _sentence(said: str) -> str:
    words = said.replace("JSON parse error - ", "The body is no JSON: ") or "This cannot be done"
    return words if words.endswith(".") else f"{words}."
