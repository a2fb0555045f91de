"""What a unit is promised for."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from gear.access import declares
from gear.booking.line import line_of
from gear.booking.queries import coming_promises, past_promises
from gear.booking.today import would_clash
from gear.catalogue.models import GearType
from gear.errors import Gone
from gear.inventory.models import Unit

SHOWN = 50
PAST_SHOWN = 20


@declares("gear", "read")
def unit_promises(request: HttpRequest, tag: str) -> HttpResponse:
    """What one unit is promised for, and the last of what is over: a page, or the part of another one that htmx asks
    for."""
    unit = Unit.objects.select_related("gear_type").filter(tag=tag).first()
    if unit is None:
        raise Gone(f"There is no unit with the tag {tag[:20]!r}.")
    promises = list(coming_promises(unit)[:SHOWN])
    part = bool(request.headers.get("HX-Request"))
    return render(
        request,
        "booking/promises_of_unit.html" if part else "booking/unit_promises.html",
        {
            "unit": unit,
            "promises": promises,
            "line": line_of(unit),
            "past": list(past_promises(unit)[:PAST_SHOWN]),
            "clashing": would_clash([unit.pk]),
        },
    )


@declares("gear", "read")
def type_clashes(request: HttpRequest, slug: str) -> HttpResponse:
    """What is promised of a type's units and would clash with the prep and turnaround of today: a page, or the part of
    another one that htmx asks for."""
    kind = GearType.objects.filter(slug=slug).first()
    if kind is None:
        raise Gone(f"There is no gear type {slug[:40]!r}.")
    part = bool(request.headers.get("HX-Request"))
    return render(
        request,
        "booking/clashing.html" if part else "booking/type_clashes.html",
        {"gear_type": kind, "clashing": would_clash(list(kind.units.values_list("pk", flat=True)))},
    )
