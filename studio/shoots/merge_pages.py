"""Two people's changes of a shoot side by side, saved together when a person says so."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from gear.access import declares
from gear.errors import Invalid, Refusal, StaleEdit
from studio.shoots import services
from studio.shoots.merging import Said, changes_to, merged, read, said_of, signed
from studio.shoots.models import Shoot
from studio.shoots.queries import a_shoot

__all__ = ["merge", "show_merge"]


@declares("shoot", "change")
@require_POST
def merge(request: HttpRequest, pk: int) -> HttpResponse:
    """Save both changes as they were decided, unless somebody saved once more in between: then look again."""
    was, mine = read(request.POST.get("was", "")), read(request.POST.get("mine", ""))
    if was is None or mine is None:
        raise Invalid(
            "What you had typed cannot be read any more. Open the shoot and make your change again."
        )
    shoot = a_shoot(pk)
    choices: dict[str, Any] = {
        key.removeprefix("choice:"): value
        for key, value in request.POST.items()
        if key.startswith("choice:") and value in ("theirs", "mine")
    }
    both = merged(was, said_of(shoot), mine, choices)
    refusal: Refusal
    if request.POST.get("theirs") != str(shoot.version):
        refusal = StaleEdit("Somebody saved once more in the meantime; nothing was overwritten. Look again.")
    elif both.undecided:
        refusal = Invalid("Say for each whose stands.")
    else:
        try:
            services.edit_shoot(shoot, changes_to(both.said), request.user, version=shoot.version)
        except Refusal as caught:
            refusal = caught
        else:
            messages.success(request, "Saved, with both changes in it.")
            return redirect("shoots:shoot", pk)
    return show_merge(request, a_shoot(pk), was, mine, choices=choices, refusal=refusal)


def show_merge(
    request: HttpRequest,
    shoot: Shoot,
    was: Said,
    mine: Said,
    *,
    choices: dict[str, Any] | None = None,
    refusal: Refusal | None = None,
) -> HttpResponse:
    """The page: mine, theirs, as it was. Shown instead of an edit that came too late, with 412."""
    context = {
        "shoot": shoot,
        "both": merged(was, said_of(shoot), mine, choices),
        "was": signed(was),
        "mine": signed(mine),
        "refusal": refusal,
    }
    context["conflicts"] = context["both"].conflicts
    return render(request, "shoots/merge.html", context, status=refusal.status if refusal else 412)
