"""The pages of borrowed units."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from gear.access import declares
from gear.booking.queries import coming_promises
from gear.booking.usual_zone import usual_zone
from gear.booking.wall_time import moment
from gear.errors import FieldProblem, Refusal
from gear.form_problems import show_problems
from gear.subhire import services
from gear.subhire.forms import BorrowForm, price_of
from gear.subhire.queries import open_sub_hires, sub_hire_numbered

SHOWN = 200


@declares("gear", "read")
def sub_hires(request: HttpRequest) -> HttpResponse:
    """What is lent to us, by the day it must be back."""
    return render(request, "subhire/list.html", {"found": open_sub_hires()[:SHOWN]})


@declares("gear", "read")
def sub_hire(request: HttpRequest, pk: int) -> HttpResponse:
    """One agreement, and what the unit is promised for."""
    found = sub_hire_numbered(pk)
    return render(
        request, "subhire/one.html", {"one": found, "promises": coming_promises(found.unit)[:SHOWN]}
    )


@declares("gear", "change")
def borrow(request: HttpRequest) -> HttpResponse:
    """Borrow a unit."""
    zone = usual_zone()
    form = BorrowForm(request.POST or None, type_slug=request.GET.get("type", "")[:80])
    refusal: Refusal | None = None
    left: tuple[FieldProblem, ...] = ()
    if request.method == "POST":
        try:
            made = services.borrow_unit(form.entry(), form.terms(zone), request.user)
            messages.success(request, f"{made.unit.tag} of {made.owner} can be promised now.")
            return redirect("subhire:one", made.pk)
        except Refusal as caught:
            refusal, left = caught, show_problems(form, caught)
    context = {"form": form, "refusal": refusal, "left": left, "zone": zone}
    return render(request, "subhire/borrow.html", context, status=refusal.status if refusal else 200)


@require_POST
@declares("gear", "change")
def agree(request: HttpRequest, pk: int) -> HttpResponse:
    """Another date was agreed with the owner."""
    found = sub_hire_numbered(pk)
    back_by = moment(request.POST.get("back_by", ""), found.zone, where="back_by").instant
    price = price_of(request.POST.get("price", ""))
    services.agree_return(found, back_by, request.user, version=_version(request), price=price)
    messages.success(request, f"{found.unit.tag}: the new date is written down.")
    return redirect("subhire:one", pk)


@require_POST
@declares("gear", "change")
def end(request: HttpRequest, pk: int) -> HttpResponse:
    """It went back, or it does not come."""
    found = sub_hire_numbered(pk)
    if request.POST.get("act") == "cancel":
        services.cancel_sub_hire(found, request.POST.get("why", ""), request.user, version=_version(request))
        messages.success(request, f"{found.unit.tag} is not coming; whoever waits for it is short of it now.")
    else:
        services.hand_back(found, request.user, version=_version(request))
        messages.success(request, f"{found.unit.tag} is back with {found.owner}.")
    return redirect("subhire:one", pk)


def _version(request: HttpRequest) -> int:
    typed = request.POST.get("version", "")
    return int(typed) if typed.isascii() and typed.isdigit() and len(typed) < 10 else 0
