"""Splitting a shoot, merging it with another, and shifting it with those that stand back to back with it."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from gear.access import declares
from gear.booking.queries import promised_to
from gear.errors import FieldProblem, Invalid, Refusal
from studio.shoots import parting
from studio.shoots.chain import chain_of, shift_shoots
from studio.shoots.models import Shoot
from studio.shoots.queries import a_shoot, shoots_to_merge


@declares("shoot", "change")
@require_http_methods(["GET", "POST"])
def part(request: HttpRequest, pk: int) -> HttpResponse:
    """Split it at a time, split units off, merge it, or shift it; a refusal stands above what was typed."""
    shoot = a_shoot(pk)
    refusal: Refusal | None = None
    if request.method == "POST":
        try:
            return _done(request, shoot)
        except Refusal as caught:
            refusal, shoot = caught, a_shoot(pk)
    context = {
        "shoot": shoot,
        "refusal": refusal,
        "typed": request.POST,
        "chosen": request.POST.getlist("unit"),
        "promises": list(promised_to(shoot.booking)),
        "others": shoots_to_merge(shoot),
        "chain": chain_of(shoot),
    }
    return render(request, "shoots/part.html", context, status=refusal.status if refusal else 200)


def _done(request: HttpRequest, shoot: Shoot) -> HttpResponse:
    said = request.POST
    title, version = said.get("title", ""), _number(said.get("version", ""))
    match said.get("act"):
        case "at":
            second = said.get("which") == "second"
            made = parting.split_shoot_at(
                shoot, said.get("at", ""), request.user, title=title, second=second, version=version
            )
            messages.success(request, f"“{shoot.title}” is two shoots now; this is the later one.")
        case "off":
            made = parting.split_shoot_off(
                shoot, said.getlist("unit"), request.user, title=title, version=version
            )
            messages.success(request, f"These units have a shoot of their own now, beside “{shoot.title}”.")
        case "merge":
            other = a_shoot(_number(said.get("with", "")) or 0)
            made = parting.merge_shoots(shoot, other, request.user, version=version)
            messages.success(request, "The two are one shoot now. The other stands among the cancelled ones.")
        case "shift":
            asked = [_number(one) or 0 for one in said.getlist("shoot")]
            shifted = shift_shoots(asked, _minutes(said.get("minutes", "")), request.user)
            messages.success(
                request, f"Shifted {len(shifted)} shoot{'s' if len(shifted) > 1 else ''} in one step."
            )
            made = shoot
        case _:
            raise Invalid("That is no step here. Go back and choose again.")
    return redirect("shoots:shoot", made.pk)


def _minutes(text: str) -> int:
    try:
        return int(text.strip().replace("−", "-")[:8])
    except ValueError:
        raise Invalid(
            f"{text[:20]!r} is no number of minutes. Write for example 60, or -30 for earlier.",
            (FieldProblem("minutes", "a whole number other than 0"),),
        ) from None


def _number(text: str) -> int | None:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else None
