"""The pages of shortages: what is open, and what to do about each."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from gear.access import declares
from gear.booking.usual_zone import usual_zone
from gear.booking.wall_time import moment
from gear.errors import Refusal
from gear.paging import page_of
from gear.shortages import services
from gear.shortages.acts import take_way_out
from gear.shortages.queries import shortage_numbered
from gear.shortages.queries import shortages as shortages_found
from gear.shortages.ways_out import ways_out

SHORTAGES_A_PAGE = 50


@declares("shortage", "read")
def shortages(request: HttpRequest) -> HttpResponse:
    """Open ones by the start of their booking; ``?closed=1`` is the archive."""
    closed = request.GET.get("closed") == "1"
    mine = request.GET.get("mine") == "1"
    found = shortages_found(closed=closed, owner=request.user if mine else None)
    page = page_of(found, SHORTAGES_A_PAGE, request.GET.get("page"))
    context = {"page": page, "closed": closed, "mine": mine, "zone": usual_zone()}
    return render(request, "shortages/list.html", context)


@declares("shortage", "read")
def shortage(request: HttpRequest, pk: int, refusal: Refusal | None = None) -> HttpResponse:
    """One shortage: what is missing and why, the ways out with their cost, and the trail."""
    found = shortage_numbered(pk)
    context = {
        "shortage": found,
        "ways": ways_out(found),
        "notes": found.notes.select_related("by"),
        "refusal": refusal,
        "typed": request.POST.get("text", ""),
    }
    return render(request, "shortages/one.html", context, status=refusal.status if refusal else 200)


@require_POST
@declares("shortage", "resolve")
def resolve(request: HttpRequest, pk: int) -> HttpResponse:
    """Take one of the ways out, or see to it oneself."""
    found = shortage_numbered(pk)
    act = request.POST.get("act", "")
    try:
        if act == "mine":
            services.give_to(found, request.user, request.user)
        else:
            done = take_way_out(found, act, request.POST.get("value", "")[:60], request.user)
            messages.success(request, f"{found.thing}: {done.get_how_display().lower()}.")
    except Refusal as refusal:
        return shortage(request, pk, refusal=refusal)
    return redirect("shortages:one", pk)


@require_POST
@declares("shortage", "note")
def note(request: HttpRequest, pk: int) -> HttpResponse:
    """A line for the trail."""
    try:
        services.add_note(shortage_numbered(pk), request.POST.get("text", ""), request.user)
    except Refusal as refusal:
        return shortage(request, pk, refusal=refusal)
    return redirect("shortages:one", pk)


@declares("gear", "report")
def late(request: HttpRequest) -> HttpResponse:
    """A unit that is out comes back later than promised."""
    refusal: Refusal | None = None
    zone = usual_zone()
    if request.method == "POST":
        try:
            back_at = moment(request.POST.get("back_at", ""), zone, where="back_at").instant
            found = services.report_late(request.POST.get("tag", "")[:40], back_at, request.user)
        except Refusal as caught:
            refusal = caught
        else:
            words = (
                f"{len(found)} booking{'s are' if len(found) != 1 else ' is'} short of it" if found else ""
            )
            messages.success(request, f"Written down: {words or 'nobody waits for it'}.")
            return redirect("shortages:list")
    context = {
        "refusal": refusal,
        "zone": zone,
        "tag": request.POST.get("tag", request.GET.get("tag", ""))[:40],
    }
    return render(request, "shortages/late.html", context, status=refusal.status if refusal else 200)
