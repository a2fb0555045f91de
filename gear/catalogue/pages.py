"""The pages of the catalogue."""

from __future__ import annotations

from dataclasses import dataclass

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from gear.access import declares
from gear.catalogue.differences import ChangedMeanwhile
from gear.catalogue.forms import GearTypeEditor, TypeFilter
from gear.catalogue.models import GearType
from gear.catalogue.queries import gear_type_named, gear_types, type_document, units_of
from gear.catalogue.services import change_gear_type, create_gear_type
from gear.catalogue.sheet_reading import Figure, headline_of, readable_sheet
from gear.errors import FieldProblem, Invalid, Refusal
from gear.paging import page_of
from gear.specs import KINDS

TYPES_A_PAGE = 60
UNITS_SHOWN = 60


@dataclass(frozen=True)
class ListedType:
    """One line of the list: the kind it stands under, the type, and the figure people look for first."""

    kind: str
    gear_type: GearType
    headline: Figure | None


@declares("gear", "read")
def types(request: HttpRequest) -> HttpResponse:
    """The catalogue by kind."""
    asked = TypeFilter(request.GET)
    asked.is_valid()
    kind, search = asked.cleaned_data.get("kind", ""), asked.cleaned_data.get("q", "")
    page = page_of(gear_types(kind, search), TYPES_A_PAGE, request.GET.get("page"))
    context = {
        "page": page,
        "rows": [ListedType(one.get_kind_display(), one, headline_of(one.sheet)) for one in page],
        "filter": asked,
        "kind": kind,
        "kind_label": KINDS[kind][0] if kind else "",
        "search": search,
    }
    return render(request, "catalogue/types.html", context)


@declares("gear", "read")
def type_page(request: HttpRequest, slug: str) -> HttpResponse:
    """One gear type: its sheet with sources, and its units."""
    gear_type = gear_type_named(slug)
    return render(
        request,
        "catalogue/type.html",
        {
            "gear_type": gear_type,
            "sheet": readable_sheet(gear_type.sheet),
            "units": units_of(gear_type, UNITS_SHOWN),
            "unit_count": gear_type.units.count(),
        },
    )


@declares("gear", "export")
def types_export(request: HttpRequest) -> HttpResponse:
    """The catalogue as the document that the import takes."""
    name = 'attachment; filename="gear-types.json"'
    return HttpResponse(
        type_document(), content_type="application/json; charset=utf-8", headers={"Content-Disposition": name}
    )


@declares("gear", "change")
def type_new(request: HttpRequest) -> HttpResponse:
    """Choose a kind, then state its sheet."""
    kind = request.GET.get("kind", "")
    if kind not in KINDS:
        kinds = [(name, words) for name, (words, _) in KINDS.items()]
        return render(request, "catalogue/choose_kind.html", {"kinds": kinds, "asked": kind})
    return _edit(request, kind, None)


@declares("gear", "change")
def type_edit(request: HttpRequest, slug: str) -> HttpResponse:
    """Correct what the catalogue says of a gear type."""
    gear_type = gear_type_named(slug)
    return _edit(request, gear_type.kind, gear_type)


def _edit(request: HttpRequest, kind: str, gear_type: GearType | None) -> HttpResponse:
    data = request.POST if request.method == "POST" else None
    as_text = (request.GET if data is None else data).get("as") == "text"
    editor = GearTypeEditor(kind, data, gear_type, as_text=as_text)
    refusal: Refusal | None = None
    left: tuple[FieldProblem, ...] = ()
    if data is not None and data.get("rows"):
        editor.sheet.more_rows(data["rows"])
    elif data is not None:
        try:
            if data.get("turn"):
                editor.turn()
                return _edit_page(request, editor, gear_type)
            entry = editor.entry()
            if gear_type is None:
                saved = create_gear_type(entry, request.user)
            else:
                saved = change_gear_type(gear_type.slug, entry, editor.version, request.user)
            messages.success(request, f"{saved} is saved.")
            return redirect("catalogue:type", saved.slug)
        except Invalid as invalid:
            refusal, left = invalid, editor.show(invalid)
        except ChangedMeanwhile as stale:
            refusal, editor.version = stale, stale.version
        except Refusal as other:
            refusal = other
    return _edit_page(request, editor, gear_type, refusal, left)


def _edit_page(
    request: HttpRequest,
    editor: GearTypeEditor,
    gear_type: GearType | None,
    refusal: Refusal | None = None,
    left: tuple[FieldProblem, ...] = (),
) -> HttpResponse:
    return render(
        request,
        "catalogue/edit.html",
        {"editor": editor, "gear_type": gear_type, "refusal": refusal, "left": left},
        status=refusal.status if refusal else 200,
    )
