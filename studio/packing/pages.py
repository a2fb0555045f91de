"""The packing list on a phone: out of the store, and back in."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from gear.access import declares
from gear.errors import Conflict, Refusal
from studio.packing import services
from studio.packing.found import into_the_tray
from studio.packing.models import PackingLine
from studio.packing.queries import packing_list
from studio.shoots.models import Shoot

__all__ = ["close", "packing", "report", "tick"]

_ACTS = {
    "out": services.pack_out,
    "in": services.take_back,
    "undo": services.undo,
    "used": services.mark_used,
}
_SAID = {"out": "packed", "in": "is back", "undo": "undone", "used": "marked as used up"}


@declares("packing", "read")
def packing(request: HttpRequest, pk: int, refusal: Refusal | None = None, said: str = "") -> HttpResponse:
    """The list by case. ``?way=in`` is the way back; without it the list decides by how far it has come."""
    shoot = _shoot(pk)
    if not hasattr(shoot, "packing_closure"):
        services.update_list(shoot)
    seen = packing_list(shoot)
    way = (
        request.GET.get("way")
        or request.POST.get("way")
        or ("in" if seen.progress.to_pack == 0 < seen.progress.out else "out")
    )
    return render(
        request,
        "packing/list.html",
        {
            "shoot": shoot,
            "packing": seen,
            "way": "in" if way == "in" else "out",
            "refusal": refusal,
            "said": said,
        },
        status=refusal.status if refusal else 200,
    )


@require_POST
@declares("packing", "change")
def tick(request: HttpRequest, pk: int) -> HttpResponse:
    """One tag, one act; answers with the list itself so that a wrong item is said beside it."""
    act, tag = request.POST.get("act", ""), request.POST.get("tag", "")
    shoot = _shoot(pk)
    refusal, said = None, ""
    try:
        if act not in _ACTS:
            raise Conflict("This list does not know that act; reload the page and try again.")
        line: PackingLine = _ACTS[act](shoot, tag, request.user)
        said = f"{line.unit.tag} {_SAID[act]}"
    except Refusal as error:
        refusal = error
        if error.code == "not-found":
            into_the_tray(tag, shoot, request.user)
    if request.headers.get("HX-Request"):
        return packing(request, pk, refusal=refusal, said=said)
    if refusal:
        return packing(request, pk, refusal=refusal)
    messages.success(request, f"{said}.")
    way = "in" if request.POST.get("way") == "in" else "out"
    return redirect(f"{reverse('packing:list', args=[pk])}?way={way}")


@declares("packing", "change")
def report(request: HttpRequest, pk: int, tag: str) -> HttpResponse:
    """Something is missing or damaged: what happened, in words."""
    shoot = _shoot(pk)
    line = get_object_or_404(
        PackingLine.objects.select_related("unit__gear_type"), shoot=shoot, unit__tag=tag
    )
    refusal = None
    if request.method == "POST":
        trouble = "missing" if request.POST.get("trouble") == "missing" else "damaged"
        try:
            sent = request.FILES.get("photo")
            photo = sent.read() if sent else None
            services.report_line(shoot, tag, trouble, request.POST.get("note", ""), request.user, photo=photo)
        except Refusal as error:
            refusal = error
        else:
            messages.success(request, f"{tag} reported as {trouble}.")
            return redirect(f"{reverse('packing:list', args=[pk])}?way=in")
    return render(
        request,
        "packing/report.html",
        {"shoot": shoot, "line": line, "refusal": refusal, "note": request.POST.get("note", "")},
        status=refusal.status if refusal else 200,
    )


@require_POST
@declares("packing", "close")
def close(request: HttpRequest, pk: int) -> HttpResponse:
    """Close the list when out = in + used + reported."""
    try:
        services.close_list(_shoot(pk), request.user, request.POST.get("note", ""))
    except Refusal as error:
        return packing(request, pk, refusal=error)
    messages.success(request, "Closed: everything that went out is accounted for.")
    return redirect("packing:list", pk=pk)


def _shoot(pk: int) -> Shoot:
    return get_object_or_404(
        Shoot.objects.select_related("booking", "room__place", "photographer", "packing_closure"), pk=pk
    )
