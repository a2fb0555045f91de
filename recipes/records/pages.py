"""The pages of recipes: find one, read it, compare its revisions, take it in and out as text."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.utils.http import content_disposition_header
from django.utils.text import slugify
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from gear.access import declares, everyone
from gear.errors import Gone, Invalid
from gear.paging import page_of
from recipes.look import LookError, dump_look, look_schema, parse_look
from recipes.records.compare import compare, summary
from recipes.records.forms import CopyForm, ImportForm, OwnerForm, SearchForm
from recipes.records.models import Revision
from recipes.records.plan import draw_plan
from recipes.records.queries import (
    a_recipe,
    a_revision,
    draft_of,
    new_draft,
    possible_owners,
    recipes,
    revisions,
)
from recipes.records.rules import may_change
from recipes.records.services import archive, copy_recipe, hand_over, unarchive, write_recipe
from recipes.records.spoken import exposure_line, speak
from recipes.records.words import problem_in_words

PER_PAGE = 40


@declares("recipe", "read")
@require_GET
def recipe_list(request: HttpRequest) -> HttpResponse:
    """All recipes, or one's own; archived ones apart."""
    form = SearchForm(request.GET)
    form.is_valid()
    wanted = form.cleaned_data
    found = recipes(
        wanted.get("search", ""),
        owner=request.user if wanted.get("whose") == "mine" else None,
        archived=wanted.get("state") == "archived",
    )
    page = page_of(found, PER_PAGE, request.GET.get("page"))
    rows = [(recipe, recipe.head.look, exposure_line(recipe.head.look)) for recipe in page]
    context = {"form": form, "page": page, "rows": rows, "draft": new_draft(request.user)}
    return render(request, "records/list.html", context)


@declares("recipe", "read")
@require_GET
def recipe(request: HttpRequest, pk: int) -> HttpResponse:
    """The look in plain words, as it stands now."""
    found = a_recipe(pk)
    changes = may_change(found, request.user)
    draft = draft_of(request.user, found) if changes else None
    return render(
        request,
        "records/recipe.html",
        {
            **_look_of(found.head),
            "recipe": found,
            "revisions": revisions(found),
            "draft": draft,
            "may_change": changes,
            "copy_form": CopyForm(initial={"title": _title_of_copy(found.title)}),
            "owner_form": OwnerForm(people=possible_owners(found)) if changes else None,
        },
    )


@declares("recipe", "read")
@require_GET
def revision(request: HttpRequest, pk: int, number: int) -> HttpResponse:
    """One revision as it was, with what it changed."""
    found = a_revision(pk, number)
    before = a_revision(pk, number - 1) if number > 1 else None
    differences = compare(before.look, found.look) if before else ()
    context = {
        **_look_of(found),
        "recipe": found.recipe,
        "before": before,
        "differences": differences,
        "summary": summary(before.look, found.look) if before else "",
    }
    return render(request, "records/revision.html", context)


@declares("recipe", "read")
@require_GET
def compare_page(request: HttpRequest, pk: int) -> HttpResponse:
    """What differs between two revisions; without asking, between the newest two."""
    found = a_recipe(pk)
    newest = found.head.number
    before = a_revision(pk, _asked(request, "from", max(newest - 1, 1)))
    after = a_revision(pk, _asked(request, "to", newest))
    context = {
        "recipe": found,
        "before": before,
        "after": after,
        "numbers": range(1, newest + 1),
        "differences": compare(before.look, after.look),
        "summary": summary(before.look, after.look),
    }
    return render(request, "records/compare.html", context)


@declares("recipe", "read")
@require_GET
def export(request: HttpRequest, pk: int) -> HttpResponse:
    """The document as a file."""
    found = a_recipe(pk)
    shown = a_revision(pk, _asked(request, "revision", found.head.number))
    response = HttpResponse(dump_look(shown.look), content_type="application/json; charset=utf-8")
    name = f"{slugify(shown.look.title) or 'recipe'}-r{shown.number}.json"
    response["Content-Disposition"] = content_disposition_header(True, name) or "attachment"
    return response


@everyone
@require_GET
def schema(request: HttpRequest) -> HttpResponse:
    """The JSON Schema of the document, for editors and other programs."""
    published = {**look_schema(), "$id": request.build_absolute_uri()}
    return JsonResponse(published, json_dumps_params={"indent": 2}, content_type="application/schema+json")


@declares("recipe", "create")
@require_http_methods(["GET", "POST"])
def import_recipe(request: HttpRequest) -> HttpResponse:
    """A recipe from a file or from text."""
    if request.method != "POST":
        return render(request, "records/import.html", {"form": ImportForm()})
    form = ImportForm(request.POST, request.FILES)
    text, note = form.document()
    try:
        made = write_recipe(parse_look(text), request.user, note)
    except LookError as error:
        return render(
            request, "records/import.html", {"form": form.again(), **problem_rows(error)}, status=422
        )
    except Invalid as refusal:
        return render(
            request, "records/import.html", {"form": form.again(), "refusal": refusal}, status=refusal.status
        )
    messages.success(request, f"“{made.title}” is imported as a new recipe of yours.")
    return redirect("recipes:recipe", pk=made.pk)


@declares("recipe", "change")
@require_POST
def archive_recipe(request: HttpRequest, pk: int) -> HttpResponse:
    """Into the archive, or out of it with ``undo``."""
    found = a_recipe(pk)
    if request.POST.get("undo"):
        unarchive(found, request.user)
        messages.success(request, f"“{found.title}” is back in the list.")
    else:
        archive(found, request.user)
        messages.success(request, f"“{found.title}” is archived. Shoots that use it keep their revision.")
    return redirect("recipes:recipe", pk=pk)


@declares("recipe", "create")
@require_POST
def copy(request: HttpRequest, pk: int) -> HttpResponse:
    """The same look as a recipe of one's own, to be changed next."""
    found = a_revision(pk, _asked(request, "revision", a_recipe(pk).head.number))
    made = copy_recipe(found, request.POST.get("title", ""), request.user)
    messages.success(
        request, f"“{made.title}” is yours and still the same as “{found.recipe.title}”. Change it here."
    )
    return redirect("recipes:edit", pk=made.pk)


@declares("recipe", "change")
@require_POST
def change_owner(request: HttpRequest, pk: int) -> HttpResponse:
    """Hand a recipe over."""
    found = a_recipe(pk)
    form = OwnerForm(request.POST, people=possible_owners(found))
    if not form.is_valid():
        raise Invalid("Choose who the recipe goes to.")
    hand_over(found, form.cleaned_data["owner"], request.user)
    messages.success(request, f"“{found.title}” now belongs to {form.cleaned_data['owner']}.")
    return redirect("recipes:recipe", pk=pk)


def problem_rows(error: LookError, document: Any = None) -> dict[str, Any]:
    """The problems of a text for a template: path, path in words, what is expected."""
    return {
        "text_problems": [(p.field, problem_in_words(p.field, document), p.expected) for p in error.problems]
    }


def _look_of(shown: Revision) -> dict[str, Any]:
    look = shown.look
    return {"revision": shown, "look": look, "spoken": speak(look), "plan": draw_plan(look)}


def _asked(request: HttpRequest, name: str, usual: int) -> int:
    text = request.GET.get(name) or request.POST.get(name) or str(usual)
    if not (text.isascii() and text.isdigit() and len(text) < 8):
        raise Gone(f"Revisions have whole numbers; “{text[:20]}” is none.")
    return int(text)


def _title_of_copy(title: str) -> str:
    return f"{title[:50]}, moodier"
