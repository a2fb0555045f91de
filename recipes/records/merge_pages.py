"""Two people's changes side by side, saved together when a person says so."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from gear.access import declares
from gear.errors import Conflict, Invalid, Refusal
from recipes.records.compare import compare
from recipes.records.drafts import (
    merge_of,
    save_merged,
)
from recipes.records.editing import frame, sent_number, step_url, to_change
from recipes.records.forms import NoteForm
from recipes.records.models import Draft, Recipe
from recipes.records.queries import draft_of
from recipes.records.services import NeedsMerge
from recipes.records.steps import STEPS
from recipes.records.typed import read
from recipes.records.words import values_in_words, where_in_words


@declares("recipe", "change")
@require_http_methods(["GET", "POST"])
def merge_page(request: HttpRequest, pk: int) -> HttpResponse:
    """Both changes side by side, and what comes out; saved only when a person says so."""
    recipe = to_change(request, pk)
    draft = draft_of(request.user, recipe)
    if draft is None or recipe is None:
        return redirect("recipes:recipe", pk=pk)
    choices: dict[str, Any] = {
        key.removeprefix("choice:"): value
        for key, value in request.POST.items()
        if key.startswith("choice:") and value in ("theirs", "mine")
    }
    note, refusal = request.POST.get("note", draft.note), None
    if request.method == "POST":
        try:
            saved = save_merged(draft, choices, sent_number(request, "theirs") or 0, note)
        except (NeedsMerge, Conflict, Invalid) as error:
            refusal = error
        else:
            messages.success(
                request, f"Saved “{saved.recipe.title}” as revision {saved.number}, with both changes in it."
            )
            return redirect("recipes:recipe", pk=pk)
    try:
        needs = merge_of(draft, choices)
    except Invalid:
        return redirect(step_url(recipe, STEPS[-1]))
    if needs is None:
        return redirect(step_url(recipe, STEPS[-1]))
    return _show_merge(request, recipe, draft, needs, note, refusal)


def _show_merge(
    request: HttpRequest, recipe: Recipe, draft: Draft, needs: NeedsMerge, note: str, refusal: Refusal | None
) -> HttpResponse:
    mine, _ = read(draft.typed)
    assert mine is not None
    conflicts = [
        (
            conflict,
            where_in_words(conflict.path),
            *values_in_words(conflict.path, conflict.base, conflict.theirs, conflict.mine),
        )
        for conflict in needs.merge.conflicts
    ]
    conflicting = {conflict.key for conflict in needs.merge.conflicts}
    context = {
        **frame(recipe, draft),
        "needs": needs,
        "conflicts": conflicts,
        "theirs": [d for d in compare(needs.base.look, needs.head.look) if d.key not in conflicting],
        "mine": [d for d in compare(needs.base.look, mine) if d.key not in conflicting],
        "note_form": NoteForm(initial={"note": note}),
        "refusal": refusal,
    }
    return render(request, "records/merge.html", context, status=refusal.status if refusal else 200)
