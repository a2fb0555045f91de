"""Labels to print: choose units, the paper, and where on the first sheet to begin."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from gear.access import declares
from gear.inventory.forms import LabelChoice
from gear.inventory.label_sheets import sheet_named
from gear.inventory.labels import LabelFor, draw_sheets
from gear.inventory.queries import units

__all__ = ["labels"]

AT_MOST = 400


@declares("gear", "read")
def labels(request: HttpRequest) -> HttpResponse:
    """Labels of the units that the filters leave, on the paper chosen; printing takes the sheets and nothing else."""
    choice = LabelChoice(request.GET)
    filters = choice.asked()
    paper = sheet_named(choice.cleaned_data.get("paper", ""))
    found = units(**filters)
    count = found.count()
    chosen = [LabelFor(unit.tag, unit.code, unit.gear_type.name) for unit in found[:AT_MOST]]
    sheets = list(draw_sheets(chosen, paper, choice.cleaned_data.get("skip") or 0))
    return render(
        request,
        "inventory/labels.html",
        {
            "choice": choice,
            "paper": paper,
            "sheets": sheets,
            "count": count,
            "shown": len(chosen),
            "filters": filters,
        },
    )
