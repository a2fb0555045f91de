"""Counted things and kits of one shoot, as a page or as the part of the shoot's page that htmx asks for."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from gear.access import declares
from gear.errors import Invalid, Refusal
from gear.kits.promising import KitIncomplete
from gear.kits.queries import differences, kits, kits_of
from gear.stock.queries import promises_to, stock_items
from studio.people.policy import may
from studio.shoots import stocking
from studio.shoots.models import Shoot
from studio.shoots.queries import a_shoot

CHOICES = 500


@declares("shoot", "read", POST="change")
@require_http_methods(["GET", "POST"])
def stock(request: HttpRequest, pk: int) -> HttpResponse:
    """What is promised of counted things and kits; POST changes it."""
    found = a_shoot(pk)
    if request.method == "GET":
        return _page(request, found)
    try:
        _change(request, found)
    except Refusal as refusal:
        return _page(request, found, refusal)
    return redirect(reverse("shoots:shoot", args=[pk]) + "#stock")


def _change(request: HttpRequest, found: Shoot) -> None:
    asked, by = request.POST, request.user
    number = _number(asked.get("number", ""))
    match asked.get("act"):
        case "set":
            stocking.set_shoot_stock(found, number, asked.get("quantity", "")[:20], by)
        case "kit":
            part, _, tag = asked.get("instead", "").partition(":")
            instead = _kept(asked.getlist("kept"))
            if tag:
                instead[_number(part)] = tag[:20]
            stocking.add_kit(found, number, by, instead=instead)
        case "let-go":
            stocking.let_kit_go(found, number, by)
        case "take-over":
            stocking.take_over_kit(found, number, by)
        case _:
            raise Invalid("That is no step of the plan. Go back and choose again.")


def _page(request: HttpRequest, found: Shoot, refusal: Refusal | None = None) -> HttpResponse:
    changes = may(request.user, "shoot", "change", found.photographer or "nobody yet")
    changes = changes and found.booking.state not in ("cancelled", "closed")
    promised = list(kits_of(found.booking))
    changed = differences(promised)
    part, _, tag = request.POST.get("instead", "").partition(":")
    context = {
        "shoot": found,
        "lines": promises_to(found.booking),
        "kits": [(promise, changed[promise.pk]) for promise in promised],
        "changes": changes,
        "items": stock_items()[:CHOICES] if changes else (),
        "every_kit": kits()[:CHOICES] if changes else (),
        "refusal": refusal,
        "offers": refusal.offers if isinstance(refusal, KitIncomplete) else (),
        "asked": request.POST,
        "kept": [*request.POST.getlist("kept"), *([f"{part}:{tag}"] if tag else [])],
    }
    is_part = bool(request.headers.get("HX-Request"))
    return render(
        request,
        "shoots/stock.html" if is_part else "shoots/stock_page.html",
        context,
        status=refusal.status if refusal else 200,
    )


def _kept(texts: list[str]) -> dict[int, str]:
    pairs = (text.partition(":") for text in texts[:100])
    return {_number(part): tag[:20] for part, _, tag in pairs if tag}


def _number(text: str) -> int:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else 0
