"""Counting a case again, and everything that is out with whom and until when."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from gear.access import declares
from gear.errors import Refusal
from studio.packing.models import PackingClosure
from studio.packing.outside import what_is_out
from studio.packing.recount import case_to_count, recount
from studio.packing.services import update_list
from studio.shoots.models import Shoot

__all__ = ["outside", "recount_case"]


@declares("packing", "change")
def recount_case(request: HttpRequest, pk: int) -> HttpResponse:
    """One case by its label: tick what is in it."""
    shoot = get_object_or_404(Shoot.objects.select_related("booking", "packing_closure"), pk=pk)
    asked = request.POST if request.method == "POST" else request.GET
    mark, way = asked.get("case", "")[:500], "in" if asked.get("way") == "in" else "out"
    group, refusal = None, None
    try:
        if mark.strip():
            if not PackingClosure.objects.filter(shoot=shoot).exists():
                update_list(shoot)
            group = case_to_count(shoot, mark)
        if request.method == "POST" and group is not None:
            told = recount(shoot, mark, asked.getlist("here"), way, request.user)
            for sentence in told.refused:
                messages.error(request, sentence)
            missing = f" Not in it: {', '.join(told.not_there)}." if told.not_there else ""
            messages.success(request, f"{group.name} is counted, {told.changed} changed.{missing}")
            return redirect(f"{reverse('packing:list', args=[pk])}?way={way}")
    except Refusal as error:
        refusal = error
    return render(
        request,
        "packing/recount.html",
        {"shoot": shoot, "group": group, "mark": mark, "way": way, "refusal": refusal},
        status=refusal.status if refusal else 200,
    )


@declares("packing", "read")
def outside(request: HttpRequest) -> HttpResponse:
    """Everything that is out of the store: with whom, and when it is due."""
    return render(request, "packing/outside.html", {"outside": what_is_out(timezone.now())})
