"""The pages on which a recipe is written: step by step, as text, and the merge of two people's changes.

What is typed is kept in a draft with every post, so that nothing is lost between steps or in a crash. Reading a page
never writes one.
"""

from __future__ import annotations

import json
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from gear.access import declares
from gear.errors import Conflict, Gone, Invalid, Refusal
from recipes.look import LookError, Problem, dump_look, parse_look
from recipes.records.compare import compare, summary
from recipes.records.drafts import (
    discard,
    keep_text,
    keep_typed,
    merge_of,
    save_draft,
    save_merged,
    start_of,
    take_text,
)
from recipes.records.forms import ImportForm, NoteForm
from recipes.records.models import Draft, Recipe
from recipes.records.pages import problem_rows
from recipes.records.plan import draw_plan
from recipes.records.queries import a_recipe, draft_of
from recipes.records.rules import require_change
from recipes.records.services import NeedsMerge
from recipes.records.spoken import speak
from recipes.records.step_forms import forms_of
from recipes.records.steps import STEPS, Step, after, before, row_changed, step_of, step_of_problem, take_in
from recipes.records.typed import Typed, document_of, read
from recipes.records.words import problem_in_words, value_in_words, where_in_words


def _step(request: HttpRequest, pk: int | None, slug: str) -> HttpResponse:
    found = step_of(slug)
    if found is None:
        raise Gone(f"There is no step “{slug[:40]}”; the steps are {', '.join(step.slug for step in STEPS)}.")
    recipe = _to_change(request, pk)
    if request.method == "POST":
        return _post_step(request, recipe, found)
    draft = draft_of(request.user, recipe)
    typed = draft.typed if draft else start_of(recipe)
    return _show_step(request, recipe, draft, found, typed, tell="problems" in request.GET)


def _post_step(request: HttpRequest, recipe: Recipe | None, step: Step) -> HttpResponse:
    do = request.POST.get("do", "next")
    anchor = ""

    def change(typed: Typed) -> Typed:
        nonlocal anchor
        typed, anchor = row_changed(do, take_in(step, request.POST, typed))
        return typed

    draft = keep_typed(request.user, recipe, _number(request), change)
    if step.slug == "save" and do == "save":
        return _save(request, recipe, draft)
    if do == "next":
        _, problems = read(draft.typed)
        if any(step_of_problem(problem.field) == step for problem in problems):
            return _show_step(request, recipe, draft, step, draft.typed, tell=True, status=422)
        return redirect(_step_url(recipe, after(step)))
    if do == "back":
        return redirect(_step_url(recipe, before(step)))
    if do == "keep":
        messages.success(request, "Kept as your unsaved draft. Nobody else sees it until you save.")
        return redirect("recipes:recipe", pk=recipe.pk) if recipe else redirect("recipes:list")
    wanted = step_of(do.removeprefix("go-"))
    return redirect(_step_url(recipe, wanted or step) + (f"#{anchor}" if anchor else ""))


def _save(request: HttpRequest, recipe: Recipe | None, draft: Draft) -> HttpResponse:
    note = request.POST.get("note", "")
    try:
        saved = save_draft(draft, note)
    except NeedsMerge:
        keep_typed(request.user, recipe, None, lambda typed: typed, note=note)
        return redirect(reverse("recipes:merge", args=[draft.recipe_id]))
    except (Invalid, Conflict) as refusal:
        return _show_step(
            request, recipe, draft, STEPS[-1], draft.typed, tell=True, status=refusal.status, refusal=refusal
        )
    messages.success(request, f"Saved “{saved.title}” as revision {saved.head.number}.")
    return redirect("recipes:recipe", pk=saved.pk)


def _show_step(
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
        **_frame(recipe, draft),
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
                    _step_url(recipe, step_of_problem(p.field)),
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
@require_http_methods(["GET", "POST"])
def new_text(request: HttpRequest) -> HttpResponse:
    """A new recipe as text."""
    return _as_text(request, None)


@declares("recipe", "change")
@require_http_methods(["GET", "POST"])
def edit_text(request: HttpRequest, pk: int) -> HttpResponse:
    """A recipe as text."""
    return _as_text(request, pk)


def _as_text(request: HttpRequest, pk: int | None) -> HttpResponse:
    recipe = _to_change(request, pk)
    draft = draft_of(request.user, recipe)
    if request.method != "POST":
        return _show_text(request, recipe, draft, _text_of(recipe, draft))
    form = ImportForm(request.POST, request.FILES)
    text, note = form.document()
    kept = form.again()
    try:
        look = parse_look(text)
    except LookError as error:
        draft = keep_text(request.user, recipe, _number(request), kept.initial["text"], note)
        return _show_text(request, recipe, draft, kept.initial["text"], 422, note=note, **problem_rows(error))
    draft = take_text(request.user, recipe, _number(request), look, note)
    if request.POST.get("do") == "save":
        return _save(request, recipe, draft)
    messages.success(request, "The text is a recipe. Look it over and save it.")
    return redirect(_step_url(recipe, STEPS[-1]))


def _show_text(
    request: HttpRequest,
    recipe: Recipe | None,
    draft: Draft | None,
    text: str,
    status: int = 200,
    **more: Any,
) -> HttpResponse:
    note = more.pop("note", draft.note if draft else "")
    form = ImportForm(initial={"text": text, "note": note})
    return render(
        request, "records/text.html", {**_frame(recipe, draft), "form": form, **more}, status=status
    )


def _text_of(recipe: Recipe | None, draft: Draft | None) -> str:
    if draft is None:
        return dump_look(recipe.head.look) if recipe else ""
    if draft.text:
        return draft.text
    look, _ = read(draft.typed)
    return (
        dump_look(look) if look else json.dumps(document_of(draft.typed), indent=2, ensure_ascii=False) + "\n"
    )


@declares("recipe", "change")
@require_http_methods(["GET", "POST"])
def merge_page(request: HttpRequest, pk: int) -> HttpResponse:
    """Both changes side by side, and what comes out; saved only when a person says so."""
    recipe = _to_change(request, pk)
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
            saved = save_merged(draft, choices, _number(request, "theirs") or 0, note)
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
        return redirect(_step_url(recipe, STEPS[-1]))
    if needs is None:
        return redirect(_step_url(recipe, STEPS[-1]))
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
            value_in_words(conflict.path, conflict.base),
            value_in_words(conflict.path, conflict.theirs),
            value_in_words(conflict.path, conflict.mine),
        )
        for conflict in needs.merge.conflicts
    ]
    conflicting = {conflict.key for conflict in needs.merge.conflicts}
    context = {
        **_frame(recipe, draft),
        "needs": needs,
        "conflicts": conflicts,
        "theirs": [d for d in compare(needs.base.look, needs.head.look) if d.key not in conflicting],
        "mine": [d for d in compare(needs.base.look, mine) if d.key not in conflicting],
        "note_form": NoteForm(initial={"note": note}),
        "refusal": refusal,
    }
    return render(request, "records/merge.html", context, status=refusal.status if refusal else 200)


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


def _to_change(request: HttpRequest, pk: int | None) -> Recipe | None:
    if pk is None:
        return None
    recipe = a_recipe(pk)
    require_change(recipe, request.user)
    return recipe


def _frame(recipe: Recipe | None, draft: Draft | None) -> dict[str, Any]:
    """What every page of editing shows around its form."""
    begun_from = draft.based_on if draft else (recipe.head if recipe else None)
    return {
        "recipe": recipe,
        "draft": draft,
        "begun_from": begun_from,
        "overtaken": bool(recipe and begun_from and begun_from.pk != recipe.head_id),
        "text_url": reverse("recipes:edit-text", args=[recipe.pk]) if recipe else reverse("recipes:new-text"),
        "steps_url": _step_url(recipe, STEPS[0]),
        "discard_url": reverse("recipes:edit-discard", args=[recipe.pk])
        if recipe
        else reverse("recipes:new-discard"),
    }


def _step_url(recipe: Recipe | None, step: Step) -> str:
    if recipe is None:
        return reverse("recipes:new-step", args=[step.slug])
    return reverse("recipes:edit-step", args=[recipe.pk, step.slug])


def _wrong(step: Step, problems: tuple[Problem, ...]) -> int:
    return sum(step_of_problem(problem.field) == step for problem in problems)


def _number(request: HttpRequest, name: str = "based_on") -> int | None:
    text = request.POST.get(name, "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 8 else None
