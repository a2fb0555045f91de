"""The readiness of a shoot: every recipe with its scale, its plan and its findings."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from gear.access import declares
from gear.booking.wall_time import say_period
from gear.errors import Gone, Refusal
from recipes.checks.registry import explanation, explanations
from studio.drawings.floor_plan import floor_plan
from studio.readiness.drawings import drawings_of, scene_of
from studio.readiness.forms import MapForm
from studio.readiness.light_maps import MapAsked, map_of, with_contours
from studio.readiness.mending import mend
from studio.readiness.queries import readiness_of, recipe_at, shoot_at
from studio.readiness.services import check_shoots

__all__ = ["check_now", "how_it_works", "how_one_works", "light_map", "mend_finding", "shoot_readiness"]


@declares("readiness", "read")
def shoot_readiness(request: HttpRequest, pk: int) -> HttpResponse:
    """Each recipe of the shoot: where the zones will lie, and what is missing."""
    shoot = shoot_at(pk)
    recipes = [(one, drawings_of(one)) for one in readiness_of([shoot], just_read=True)[shoot.pk]]
    return render(
        request,
        "readiness/shoot.html",
        {
            "shoot": shoot,
            "recipes": recipes,
            "any_stale": any(one.stale for one, _ in recipes),
            "period": say_period(shoot.booking.starts_at, shoot.booking.ends_at, shoot.booking.zone),
        },
    )


@require_POST
@declares("readiness", "run")
def check_now(request: HttpRequest, pk: int) -> HttpResponse:
    """Compute it again, here and now."""
    shoot = shoot_at(pk)
    check_shoots([shoot])
    messages.success(request, "Checked with the figures of this moment.")
    return redirect("readiness:shoot", pk=pk)


@require_POST
@declares("readiness", "run")
def mend_finding(request: HttpRequest, pk: int, position: int) -> HttpResponse:
    """Apply one remedy: the form names the finding and the remedy, and what they were computed from."""
    said = mend(
        shoot=shoot_at(pk),
        position=position,
        computed_from=request.POST.get("fingerprint", ""),
        finding_number=request.POST.get("finding", ""),
        remedy_number=request.POST.get("remedy", ""),
        by=request.user,
    )
    messages.success(request, said)
    return redirect("readiness:shoot", pk=pk)


@declares("readiness", "read")
def light_map(request: HttpRequest, pk: int, position: int) -> HttpResponse:
    """The light over the floor plan, at a height and for a facing that the form asks for."""
    one = recipe_at(pk, position)
    form = MapForm(request.GET or None)
    asked = form.asked() if form.is_valid() else MapAsked()
    refusal = seen = None
    scene = scene_of(one.setup, one.stored.prediction if one.stored else {})
    try:
        seen = map_of(one.setup, asked)
        scene = with_contours(scene, seen)
    except Refusal as error:
        refusal = error
    if seen and not request.GET:
        form = MapForm.showing(seen)
    return render(
        request,
        "readiness/light_map.html",
        {
            "one": one,
            "shoot": one.shoot_recipe.shoot,
            "form": form,
            "seen": seen,
            "plan": floor_plan(scene),
            "refusal": refusal,
        },
        status=refusal.status if refusal else 200,
    )


@declares("readiness", "read")
def how_it_works(request: HttpRequest) -> HttpResponse:
    """Every check, by family, with its question."""
    return render(request, "readiness/checks.html", {"families": explanations()})


@declares("readiness", "read")
def how_one_works(request: HttpRequest, name: str) -> HttpResponse:
    """One check explained: question, formula, source, what it takes for granted."""
    try:
        check = explanation(name)
    except KeyError:
        raise Gone(f"There is no check “{name[:40]}”; the list of checks has them all.") from None
    return render(request, "readiness/check.html", {"check": check})
