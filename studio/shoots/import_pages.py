"""Shoots from a table, as a page: paste or choose it, see what it would come to, then plan them all."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from gear.access import declares
from gear.errors import Refusal
from gear.inventory.csv_text import BYTES_AT_MOST, text_of
from studio.shoots.importing import COLUMNS, ImportedShoot, import_shoots


@declares("shoot", "ask")
@require_http_methods(["GET", "POST"])
def shoots_import(request: HttpRequest) -> HttpResponse:
    """The text stays in the form between looking and planning, so that both read the same."""
    refusal: Refusal | None = None
    rows: list[ImportedShoot] = []
    text = request.POST.get("text", "")
    if request.method == "POST":
        try:
            if upload := request.FILES.get("file"):
                text = text_of(upload.read(BYTES_AT_MOST + 1))
            rows = import_shoots(text, request.user, dry_run=True)
            if request.POST.get("act") == "plan":
                done = import_shoots(text, request.user)
                new = sum(row.outcome == "new" for row in done)
                messages.success(request, f"Planned {new} shoot{'s' if new != 1 else ''}.")
                return redirect("shoots:list")
        except Refusal as refused:
            refusal = refused
    context = {"columns": COLUMNS.items(), "text": text, "rows": rows, "refusal": refusal}
    status = refusal.status if refusal else 200
    return render(request, "shoots/import.html", context, status=status)
