"""The manager's page on background work."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from gear.access import declares
from studio.outbox.handing import has_broker
from studio.outbox.queries import failing, waiting


@declares("work", "read")
def work(request: HttpRequest) -> HttpResponse:
    """What waits, since when, and what failed."""
    shown = {"waiting": waiting(), "failing": failing()[:50], "has_broker": has_broker()}
    return render(request, "outbox/work.html", shown)
