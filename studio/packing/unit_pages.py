"""When one unit left and came back, for the page about it."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from gear.access import declares
from gear.inventory.queries import unit_tagged
from studio.packing.queries import travels_of

__all__ = ["unit_travels"]

SHOWN = 30


@declares("packing", "read")
def unit_travels(request: HttpRequest, tag: str) -> HttpResponse:
    """The lists on which this unit went out, as a page or as the part of another page that htmx asks for."""
    unit = unit_tagged(tag)
    part = bool(request.headers.get("HX-Request"))
    return render(
        request,
        "packing/travels.html" if part else "packing/unit_travels.html",
        {"unit": unit, "travels": list(travels_of(unit)[:SHOWN])},
    )
