"""Putting things into a case, scan by scan."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from gear.access import declares
from gear.errors import Refusal
from gear.inventory.casing import InAnotherCase, put_into_case
from gear.inventory.queries import contents_of, unit_by_mark, unit_tagged

__all__ = ["into_case"]


@declares("gear", "change")
def into_case(request: HttpRequest, tag: str) -> HttpResponse:
    """Scan a thing into this case. One that is in another case is moved only when somebody says so."""
    case = unit_tagged(tag)
    mark, refusal = request.POST.get("unit", "")[:500], None
    if request.method == "POST":
        try:
            unit = put_into_case(
                unit_by_mark(mark).tag, case.tag, request.user, move=bool(request.POST.get("move"))
            )
        except Refusal as error:
            refusal = error
        else:
            messages.success(request, f"{unit.tag} travels in {case.tag}.")
            return redirect("inventory:into-case", case.tag)
    context = {
        "unit": case,
        "contents": contents_of(case),
        "refusal": refusal,
        "asks": isinstance(refusal, InAnotherCase),
        "mark": mark,
    }
    return render(request, "inventory/into_case.html", context, status=refusal.status if refusal else 200)
