"""Writing a recipe as text."""

from __future__ import annotations

import json
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from gear.access import declares
from recipes.look import LookError, dump_look, parse_look
from recipes.records.drafts import (
    keep_text,
    take_text,
)
from recipes.records.edit_pages import save
from recipes.records.editing import frame, sent_number, step_url, to_change
from recipes.records.forms import ImportForm
from recipes.records.models import Draft, Recipe
from recipes.records.pages import problem_rows
from recipes.records.queries import draft_of
from recipes.records.steps import STEPS
from recipes.records.typed import document_of, read


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
    recipe = to_change(request, pk)
    draft = draft_of(request.user, recipe)
    if request.method != "POST":
        return _show_text(request, recipe, draft, _text_of(recipe, draft))
    form = ImportForm(request.POST, request.FILES)
    text, note = form.document()
    kept = form.again()
    try:
        look = parse_look(text)
    except LookError as error:
        draft = keep_text(request.user, recipe, sent_number(request), kept.initial["text"], note)
        return _show_text(request, recipe, draft, kept.initial["text"], 422, note=note, **problem_rows(error))
    draft = take_text(request.user, recipe, sent_number(request), look, note)
    if request.POST.get("do") == "save":
        return save(request, recipe, draft)
    messages.success(request, "The text is a recipe. Look it over and save it.")
    return redirect(step_url(recipe, STEPS[-1]))


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
    return render(request, "records/text.html", {**frame(recipe, draft), "form": form, **more}, status=status)


def _text_of(recipe: Recipe | None, draft: Draft | None) -> str:
    if draft is None:
        return dump_look(recipe.head.look) if recipe else ""
    if draft.text:
        return draft.text
    look, _ = read(draft.typed)
    return (
        dump_look(look) if look else json.dumps(document_of(draft.typed), indent=2, ensure_ascii=False) + "\n"
    )
