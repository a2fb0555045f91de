"""Who changes something is told to the database with every statement of the request, for its triggers to write down."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from pghistory.middleware import HistoryMiddleware

__all__ = ["KnownByHistory"]

_READING = ("GET", "HEAD", "OPTIONS", "TRACE")


class KnownByHistory(HistoryMiddleware):
    """The signed-in person, also one whom the API finds later in the request. A request that reads names nobody."""

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if request.method in _READING:
            return self.get_response(request)
        return super().__call__(request)

    def get_context(self, request: HttpRequest) -> dict[str, Any]:
        return {"user": request.user.pk}
