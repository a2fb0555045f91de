"""The planning desk of one shoot: its recipes in order, their jobs, and who does each."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from gear.access import declares
from gear.booking.clashes import UnitTaken
from gear.booking.rules import has_lapsed
from gear.errors import Gone, Invalid, Refusal
from gear.shortages.queries import shortages_of
from recipes.records.models import Revision
from studio.people.policy import may
from studio.shoots import services
from studio.shoots.desk import desk, picker
from studio.shoots.jobs import Slot
from studio.shoots.models import Shoot, ShootRecipe
from studio.shoots.pages import a_shoot, default_hold_end
from studio.shoots.queries import in_the_room, recipes_to_choose
from studio.shoots.rules import refuse_misplaced, slot_name
from studio.shoots.series_queries import place_in_series
from studio.shoots.suggesting import suggest_units


@declares("shoot", "read")
@require_GET
def shoot(request: HttpRequest, pk: int) -> HttpResponse:
    """The planning desk."""
    return _desk(request, a_shoot(pk))


@declares("shoot", "change")
@require_http_methods(["GET", "POST"])
def job(request: HttpRequest, pk: int, recipe: int) -> HttpResponse:
    """Choose a unit for one job. The loser of a race reads who has it and gets buttons for what is free."""
    here = _recipe(pk, recipe)
    asked = request.POST or request.GET
    slot = _slot(asked)
    refuse_misplaced(slot, here.revision.look)
    refusal: Refusal | None = None
    if request.method == "POST":
        try:
            _put(request, here, slot)
            return redirect(_back(pk, here, slot))
        except Refusal as caught:
            refusal = caught
    words = asked.get("q", "")[:80]
    found = picker(here, slot, words=words)
    context = {
        "shoot": here.shoot,
        "here": here,
        "slot": slot,
        "name": slot_name(slot),
        "picker": found,
        "q": words,
        "typed": request.POST.get("unit", ""),
        "refusal": refusal,
        "instead": refusal.free if isinstance(refusal, UnitTaken) else (),
        "may_wait": here.shoot.booking.state == "hold" and not has_lapsed(here.shoot.booking),
        "back": _back(pk, here, slot),
    }
    return render(request, "shoots/job.html", context, status=refusal.status if refusal else 200)


@declares("shoot", "change")
@require_POST
def unassign(request: HttpRequest, pk: int, recipe: int) -> HttpResponse:
    """Take a unit off its job."""
    here, slot = _recipe(pk, recipe), _slot(request.POST)
    services.unassign(here, *slot, request.user, seen_tag=request.POST.get("seen"))
    return redirect(_back(pk, here, slot))


@declares("shoot", "change")
@require_POST
def circuit(request: HttpRequest, pk: int, recipe: int) -> HttpResponse:
    """Plug a head into a circuit of the room."""
    here, slot = _recipe(pk, recipe), _slot(request.POST)
    services.set_circuit(here, slot.light, slot.number, request.POST.get("circuit", ""), request.user)
    return redirect(_back(pk, here, slot))


@declares("shoot", "change")
@require_POST
def suggest(request: HttpRequest, pk: int) -> HttpResponse:
    """Fill the empty jobs with free units that fit."""
    made = suggest_units(a_shoot(pk), request.user)
    if made:
        tags = ", ".join(sorted({assignment.unit.tag for assignment in made}))
        messages.success(request, f"Filled {len(made)} job{'s' if len(made) > 1 else ''} with {tags}.")
    else:
        messages.warning(
            request,
            "Nothing free fits the empty jobs at this time. Choose by hand to see what is taken, and by whom.",
        )
    return redirect("shoots:shoot", pk)


@declares("shoot", "change")
@require_POST
def extra(request: HttpRequest, pk: int) -> HttpResponse:
    """Add a unit without a job, or let one go."""
    found = a_shoot(pk)
    behind = request.POST.get("behind", "")[:40]
    tag = behind or request.POST.get("unit", "")[:40]
    try:
        if request.POST.get("act") == "remove":
            services.remove_extra_unit(found, tag, request.user)
        else:
            services.add_extra_unit(found, tag, request.user, behind=bool(behind))
    except Refusal as refusal:
        return _desk(request, a_shoot(pk), extra_refusal=refusal, extra_typed=tag)
    return redirect(reverse("shoots:shoot", args=[pk]) + "#extras")


@declares("shoot", "change")
@require_POST
def recipes(request: HttpRequest, pk: int) -> HttpResponse:
    """Add a recipe, reorder, take over its newest revision, or take it off."""
    act = request.POST.get("act", "")
    if act == "add":
        chosen = recipes_to_choose().filter(pk=_number(request.POST.get("recipe", ""))).first()
        if chosen is None or chosen.head is None:
            raise Invalid("Choose a recipe from the list first.")
        added = services.add_recipe(a_shoot(pk), chosen.head, request.user)
        return redirect(_back(pk, added))
    here = _recipe(pk, _number(request.POST.get("on", "")))
    if act == "up":
        services.move_recipe(here, here.position - 1, request.user)
    elif act == "down":
        services.move_recipe(here, here.position + 1, request.user)
    elif act == "newest":
        newest = Revision.objects.filter(recipe=here.revision.recipe_id).order_by("-number").first()
        services.update_recipe(here, newest or here.revision, request.user)
    elif act == "remove":
        services.remove_recipe(here, request.user)
        return redirect("shoots:shoot", pk)
    else:
        raise Invalid("That is no step of the plan. Go back and choose again.")
    return redirect(_back(pk, here))


def _desk(request: HttpRequest, found: Shoot, **more: object) -> HttpResponse:
    refusal = more.get("extra_refusal")
    changes = may(request.user, "shoot", "change", found.photographer or "nobody yet")
    return render(
        request,
        "shoots/shoot.html",
        {
            "shoot": found,
            "desk": desk(found),
            "beside": in_the_room(found),
            "shortages": shortages_of(found.booking),
            "changes": changes and found.booking.state not in ("cancelled", "closed"),
            "firm": changes,
            "place": place_in_series(found),
            "confirms": may(request.user, "shoot", "confirm"),
            "circuits": [circuit.name for circuit in found.room.circuits.all()] if changes else [],
            "recipes": recipes_to_choose() if changes else (),
            "hold_end": default_hold_end(found),
            "extra_instead": refusal.free if isinstance(refusal, UnitTaken) else (),
            **more,
        },
        status=refusal.status if isinstance(refusal, Refusal) else 200,
    )


def _put(request: HttpRequest, here: ShootRecipe, slot: Slot) -> None:
    other = request.POST.get("swap_with", "")
    if other:
        there = here.assignments.filter(unit__tag=other).first()
        if there is None:
            raise Gone(f"{other[:20]} has no job in this recipe any more. Look again, then choose.")
        services.swap_units(here, slot, Slot(there.light, there.job, there.number), request.user)
        return
    behind = request.POST.get("behind", "")[:40]
    tag = behind or request.POST.get("unit", "")[:40]
    services.assign_unit(
        here, *slot, tag, request.user, seen_tag=request.POST.get("seen"), behind=bool(behind)
    )


def _recipe(pk: int, recipe: int) -> ShootRecipe:
    found = (
        ShootRecipe.objects.select_related("shoot__booking", "shoot__room__place", "revision__recipe")
        .filter(shoot=pk, pk=recipe)
        .first()
    )
    if found is None:
        raise Gone("That recipe is not on this shoot any more. Go back to the shoot and look again.")
    return found


def _slot(asked: dict[str, str]) -> Slot:
    return Slot(asked.get("light", "")[:60], asked.get("job", "")[:20], _number(asked.get("number", "1")))


def _number(text: str) -> int:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else 0


def _back(pk: int, here: ShootRecipe, slot: Slot | None = None) -> str:
    anchor = f"r{here.pk}" if slot is None else f"r{here.pk}-{slot.anchor}"
    return f"{reverse('shoots:shoot', args=[pk])}#{anchor}"
