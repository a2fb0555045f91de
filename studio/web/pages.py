"""The first page, and the pages that belong to nobody else."""

from __future__ import annotations

from django.db import connection
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render

from gear.access import declares, everyone
from studio.web.queries import first_look


@declares("today", "read")
def today(request: HttpRequest) -> HttpResponse:
    """What is coming, what is wrong with it, what is out."""
    return render(request, "web/today.html", {"look": first_look(request.user)})


@everyone
def health(request: HttpRequest) -> JsonResponse:
    """Whether this process and its database answer; names the service so that a second start can tell it is ours."""
    with connection.cursor() as cursor:
        cursor.execute("select 1")
    return JsonResponse({"service": "fullstop", "database": "answers"})
