"""The units of a shoot beyond their jobs, as a page."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from gear.access import declares
from gear.booking.any_unit import Changed
from gear.errors import FieldProblem, Invalid, Refusal
from studio.people.policy import may
from studio.shoots import around
from studio.shoots.around_queries import may_follow, types_to_ask, units_of_shoot
from studio.shoots.models import Shoot
from studio.shoots.queries import a_shoot


@declares("shoot", "read", POST="change")
@require_http_methods(["GET", "POST"])
def units(request: HttpRequest, pk: int) -> HttpResponse:
    """Minutes around the use, what stays on set, any unit of a type; a refusal stands above what was typed."""
    shoot = a_shoot(pk)
    refusal: Refusal | None = None
    if request.method == "POST":
        try:
            return _done(request, shoot)
        except Refusal as caught:
            refusal, shoot = caught, a_shoot(pk)
    return render(
        request,
        "shoots/units.html",
        {
            "shoot": shoot,
            "refusal": refusal,
            "typed": request.POST,
            "promises": units_of_shoot(shoot),
            "followers": may_follow(shoot),
            "types": types_to_ask(),
            "changes": may(request.user, "shoot", "change", shoot.photographer or "nobody yet"),
            "grants": may(request.user, "shoot", "override"),
        },
        status=refusal.status if refusal else 200,
    )


def _done(request: HttpRequest, shoot: Shoot) -> HttpResponse:
    said = request.POST
    tag = said.get("unit", "").strip().upper()
    match said.get("act"):
        case "grant":
            around.grant_minutes(
                shoot,
                tag,
                request.user,
                prep=_minutes(said.get("prep_minutes", ""), "prep_minutes"),
                turnaround=_minutes(said.get("turnaround_minutes", ""), "turnaround_minutes"),
                why=said.get("why", ""),
            )
            messages.success(
                request,
                f"{tag} has these minutes here; who granted them stands on the packing list.",
            )
        case "usual":
            around.take_minutes_back(shoot, tag, request.user)
            messages.success(request, f"{tag} has its usual minutes again.")
        case "stay":
            later = a_shoot(_number(said.get("for", ""), "for"))
            around.follow_on(shoot, later, said.getlist("stays"), request.user)
            messages.success(request, f"They stay on set for “{later.title}”.")
        case "any":
            count = _number(said.get("count", ""), "count")
            promises, moved = around.add_any(shoot, said.get("type", ""), count, request.user)
            messages.success(
                request, f"Promised {', '.join(one.unit.tag for one in promises)}.{_exchanged(moved)}"
            )
        case "fix" | "unfix":
            around.fix_unit(shoot, tag, said["act"] == "fix", request.user)
        case _:
            raise Invalid("That is no step here. Go back and choose again.")
    return redirect("shoots:units", shoot.pk)


def _exchanged(moved: list[Changed]) -> str:
    said = [f"“{one.booking.title}” has {one.new.tag} instead of {one.old.tag} now" for one in moved]
    return f" {'; '.join(said)}." if said else ""


def _minutes(text: str, where: str) -> int | None:
    text = text.strip()
    return _number(text, where) if text else None


def _number(text: str, where: str) -> int:
    text = text.strip()
    if not (text.isascii() and text.isdigit() and len(text) < 10):
        raise Invalid(f"{text[:20]!r} is no whole number.", (FieldProblem(where, "a whole number"),))
    return int(text)
