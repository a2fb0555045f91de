"""The pages of kits."""

from __future__ import annotations

from datetime import timedelta

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from gear.access import declares
from gear.booking.interval import Interval
from gear.booking.rules import now
from gear.booking.usual_zone import usual_zone
from gear.errors import FieldProblem, Refusal
from gear.form_problems import show_problems
from gear.kits.forms import KitForm
from gear.kits.models import Kit
from gear.kits.queries import contents, incomplete, kit_numbered
from gear.kits.queries import kits as kits_found
from gear.kits.services import remove_kit, save_kit
from gear.paging import page_of

KITS_A_PAGE = 50
AHEAD = timedelta(days=14)


@declares("gear", "read")
def kits(request: HttpRequest) -> HttpResponse:
    """Every kit."""
    search = request.GET.get("q", "")[:100]
    page = page_of(kits_found(search), KITS_A_PAGE, request.GET.get("page"))
    return render(request, "kits/list.html", {"page": page, "q": search})


@declares("gear", "read")
def kit(request: HttpRequest, pk: int) -> HttpResponse:
    """One kit: its parts, and when it is not whole."""
    found = kit_numbered(pk)
    whole, at = contents(found), now()
    return render(
        request,
        "kits/kit.html",
        {
            "kit": found,
            "whole": whole,
            "gaps": incomplete(whole, Interval(at, at + AHEAD)),
            "outer": Kit.objects.filter(parts__options__sub_kit=found).distinct(),
            "zone": usual_zone(),
        },
    )


@declares("gear", "change")
def kit_new(request: HttpRequest) -> HttpResponse:
    """Put a kit together."""
    return _edit(request, None)


@declares("gear", "change")
def kit_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change what is in it."""
    return _edit(request, kit_numbered(pk))


@require_POST
@declares("gear", "change")
def kit_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """The kit is no more."""
    found = kit_numbered(pk)
    remove_kit(pk, request.user)
    messages.success(request, f"{found} is removed. What was promised of it stays promised.")
    return redirect("kits:list")


def _edit(request: HttpRequest, found: Kit | None) -> HttpResponse:
    form = KitForm(request.POST or None, found)
    typed = request.POST.get("version", "")
    version = found.version if found else 0
    if request.method == "POST":
        version = int(typed) if typed.isascii() and typed.isdigit() and len(typed) < 10 else 0
    refusal: Refusal | None = None
    left: tuple[FieldProblem, ...] = ()
    if request.method == "POST":
        try:
            saved = save_kit(
                form.entry(),
                request.user,
                pk=found.pk if found else None,
                version=version if found else None,
            )
            messages.success(request, f"{saved} is saved.")
            return redirect("kits:kit", saved.pk)
        except Refusal as caught:
            refusal, left = caught, show_problems(form, caught)
    context = {"form": form, "kit": found, "refusal": refusal, "left": left, "version": version}
    return render(request, "kits/edit.html", context, status=refusal.status if refusal else 200)
