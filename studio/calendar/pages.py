"""The calendar of units, gear types, rooms or people."""

from __future__ import annotations

from zoneinfo import ZoneInfo

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from gear.access import declares
from studio.calendar.forms import CalendarFilter
from studio.calendar.queries import By, board, zones
from studio.calendar.span import VIEWS

ROWS = {"units": "Units", "types": "Gear types", "rooms": "Rooms", "people": "People"}
LEGEND = (
    ("confirmed", "confirmed", "stands"),
    ("hold", "hold", "blocks, and ends by itself"),
    ("waits", "2nd hold", "waits in line, blocks nobody"),
    ("enquiry", "enquiry", "asked for, blocks nobody"),
    ("ended", "hold ended", "blocks nobody any more"),
    ("closed", "closed", "its gear is back"),
    ("cancelled", "cancelled", "called off"),
)
"""Each state with its word and what it means for others."""


@declares("calendar", "read")
def calendar(request: HttpRequest, by: By = "units") -> HttpResponse:
    """Who has what, when: a page of rows over a day, a week, a month or three months."""
    form = CalendarFilter(request.GET, by=by, zones=zones())
    span = form.span()
    now = timezone.now()
    context = {
        "by": by,
        "title": ROWS[by],
        "legend": LEGEND,
        "tabs": ROWS,
        "views": VIEWS,
        "form": form,
        "filtered": any(request.GET.get(name) for name in ("kind", "q", "show")),
        "span": span,
        "today": now.astimezone(ZoneInfo(span.zone)),
        "board": board(form.asked(request.GET.get("page")), span, now),
    }
    return render(request, "calendar/calendar.html", context, status=422 if form.errors else 200)
