"""Waiting in line for what others have: asking them to decide, and answering."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from gear.access import declares
from gear.booking.wall_time import say
from gear.errors import FieldProblem, Invalid
from studio.shoots import challenging
from studio.shoots.queries import a_shoot


@declares("shoot", "change")
@require_POST
def ask(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask the one on 1st hold to confirm, or to let go."""
    shoot = a_shoot(pk)
    made = challenging.ask_to_decide(shoot, _first(request), request.user, hours=_hours(request))
    until = say(made[0].deadline, shoot.booking.zone)
    messages.success(request, f"They were written, and have until {until} to decide.")
    return redirect("shoots:shoot", pk)


@declares("shoot", "change")
@require_POST
def ask_no_more(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask no more."""
    challenging.stop_asking(a_shoot(pk), _first(request), request.user)
    return redirect("shoots:shoot", pk)


@declares("shoot", "change")
@require_POST
def step_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Let those go first who wait."""
    challenging.wait_behind(a_shoot(pk), [tag[:20] for tag in request.POST.getlist("unit")], request.user)
    return redirect("shoots:shoot", pk)


def _first(request: HttpRequest) -> int:
    text = request.POST.get("first", "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else 0


def _hours(request: HttpRequest) -> float | None:
    text = request.POST.get("hours", "").strip().replace(",", ".")
    try:
        return float(text) if text else None
    except ValueError:
        raise Invalid(
            f"{text[:20]!r} is no number of hours. Leave it empty, or write for example 4.",
            (FieldProblem("hours", "a number"),),
        ) from None
