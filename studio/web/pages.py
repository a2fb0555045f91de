"""The first page, and the pages that belong to nobody else."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render

from gear.access import declares, everyone
from studio.outbox.queries import waiting
from studio.web.queries import first_look


@declares("today", "read")
def today(request: HttpRequest) -> HttpResponse:
    """What is coming, what is wrong with it, what is out."""
    return render(request, "web/today.html", {"look": first_look(request.user)})


@everyone
def health(request: HttpRequest) -> JsonResponse:
    """Whether this process and its database answer, and for how long background work waits; names the service so that a
    second start can tell it is ours."""
    left = waiting()
    return JsonResponse(
        {
            "service": "fullstop",
            "database": "answers",
            "outbox": {"waiting": left.count, "failed": left.failed, "oldest_s": round(left.oldest_s, 1)},
        }
    )
