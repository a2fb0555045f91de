"""Writing a recipe step by step.

What is typed is kept in a draft with every post, so that nothing is lost between steps or in a crash. Reading a page
never writes one.
"""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from gear.access import declares
from gear.errors import Conflict, Gone, Invalid, Refusal
from recipes.look import Problem
from recipes.records.compare import compare, summary
from recipes.records.drafts import (
    discard,
    keep_typed,
    save_draft,
    start_of,
)
from recipes.records.editing import frame, sent_number, step_url, to_change
from recipes.records.forms import NoteForm
from recipes.records.models import Draft, Recipe
from recipes.records.plan import draw_plan
from recipes.records.queries import a_recipe, draft_of
from recipes.records.services import NeedsMerge
from recipes.records.spoken import speak
from recipes.records.step_forms import forms_of
from recipes.records.steps import STEPS, Step, after, before, row_changed, step_of, step_of_problem, take_in
from recipes.records.typed import Typed, read
from recipes.records.words import problem_in_words


def _step(request: HttpRequest, pk: int | None, slug: str) -> HttpResponse:
    found = step_of(slug)
    if found is None:
        raise Gone(f"There is no step “{slug[:40]}”; the steps are {', '.join(step.slug for step in STEPS)}.")
    recipe = to_change(request, pk)
    if request.method == "POST":
        return _post_step(request, recipe, found)
    draft = draft_of(request.user, recipe)
    typed = draft.typed if draft else start_of(recipe)
    return show_step(request, recipe, draft, found, typed, tell="problems" in request.GET)


def _post_step(request: HttpRequest, recipe: Recipe | None, step: Step) -> HttpResponse:
    do = request.POST.get("do", "next")
    anchor = ""

    def change(typed: Typed) -> Typed:
        nonlocal anchor
        typed, anchor = row_changed(do, take_in(step, request.POST, typed))
        return typed

    draft = keep_typed(request.user, recipe, sent_number(request), change)
    if step.slug == "save" and do == "save":
        return save(request, recipe, draft)
    if do == "next":
        _, problems = read(draft.typed)
        if any(step_of_problem(problem.field) == step for problem in problems):
            return show_step(request, recipe, draft, step, draft.typed, tell=True, status=422)
        return redirect(step_url(recipe, after(step)))
    if do == "back":
        return redirect(step_url(recipe, before(step)))
    if do == "keep":
        messages.success(request, "Kept as your unsaved draft. Nobody else sees it until you save.")
        return redirect("recipes:recipe", pk=recipe.pk) if recipe else redirect("recipes:list")
    wanted = step_of(do.removeprefix("go-"))
    return redirect(step_url(recipe, wanted or step) + (f"#{anchor}" if anchor else ""))


def save(request: HttpRequest, recipe: Recipe | None, draft: Draft) -> HttpResponse:
    note = request.POST.get("note", "")
    try:
        saved = save_draft(draft, note)
    except NeedsMerge:
        keep_typed(request.user, recipe, None, lambda typed: typed, note=note)
        return redirect(reverse("recipes:merge", args=[draft.recipe_id]))
    except (Invalid, Conflict) as refusal:
        return show_step(
            request, recipe, draft, STEPS[-1], draft.typed, tell=True, status=refusal.status, refusal=refusal
        )
    messages.success(request, f"Saved “{saved.title}” as revision {saved.head.number}.")
    return redirect("recipes:recipe", pk=saved.pk)


def show_step(
    request: HttpRequest,
    recipe: Recipe | None,
    draft: Draft | None,
    step: Step,
    typed: Typed,
    tell: bool,
    status: int = 200,
    refusal: Refusal | None = None,
) -> HttpResponse:
    look, problems = read(typed)
    context: dict[str, Any] = {
        **frame(recipe, draft),
        "step": step,
        "steps": [(one, _wrong(one, problems) if tell or step.slug == "save" else 0) for one in STEPS],
        "last": step == STEPS[-1],
        "first": step == STEPS[0],
        "forms": forms_of(step, typed, problems if tell else ()),
        "refusal": refusal if refusal is not None and not problems else None,
    }
    if step.slug == "save":
        base = draft.based_on if draft else None
        context |= {
            "look": look,
            "spoken": speak(look) if look else None,
            "plan": draw_plan(look) if look else None,
            "differences": compare(base.look, look) if base and look else (),
            "summary": summary(base.look, look) if base and look else "",
            "base": base,
            "problems": [
                (
                    step_of_problem(p.field),
                    step_url(recipe, step_of_problem(p.field)),
                    problem_in_words(p.field, typed),
                    p.expected,
                )
                for p in problems
            ],
            "note_form": NoteForm(
                initial={"note": request.POST.get("note") or (draft.note if draft else "")}
            ),
        }
    return render(request, f"records/step_{step.slug}.html", context, status=status)


@declares("recipe", "create")
@require_http_methods(["GET", "POST"])
def new_step(request: HttpRequest, slug: str = "camera") -> HttpResponse:
    """One step of writing a new recipe."""
    return _step(request, None, slug)


@declares("recipe", "change")
@require_http_methods(["GET", "POST"])
def edit_step(request: HttpRequest, pk: int, slug: str = "camera") -> HttpResponse:
    """One step of changing a recipe."""
    return _step(request, pk, slug)


@declares("recipe", "create")
@require_POST
def new_discard(request: HttpRequest) -> HttpResponse:
    """Throw away the draft of a new recipe."""
    discard(request.user, None)
    messages.success(request, "The draft is discarded.")
    return redirect("recipes:list")


@declares("recipe", "change")
@require_POST
def edit_discard(request: HttpRequest, pk: int) -> HttpResponse:
    """Throw away one's own draft of a recipe."""
    discard(request.user, a_recipe(pk))
    messages.success(request, "The draft is discarded; the recipe is as it was saved.")
    return redirect("recipes:recipe", pk=pk)


def _wrong(step: Step, problems: tuple[Problem, ...]) -> int:
    return sum(step_of_problem(problem.field) == step for problem in problems)
