"""The pages of an import: choose a file, look at what it would do, confirm."""

from __future__ import annotations

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from gear.access import declares
from gear.errors import Refusal
from gear.inventory.columns import COLUMNS, empty_template
from gear.inventory.csv_text import BYTES_AT_MOST, ROWS_AT_MOST
from gear.inventory.drafts import confirm_import, discard_import, dry_run_of, start_import
from gear.inventory.forms import UploadForm
from gear.inventory.models import ImportDraft
from gear.inventory.queries import draft_of

ROWS_A_PAGE = 100


@declares("gear", "import")
def choose(request: HttpRequest) -> HttpResponse:
    """What an import file looks like, and where to choose one."""
    form = UploadForm(request.POST, request.FILES) if request.method == "POST" else None
    refusal: Refusal | None = None
    what = request.POST.get("what", "")
    if form and form.is_valid() and what in ImportDraft.What.values:
        upload = form.cleaned_data["file"]
        try:
            content = upload.read(BYTES_AT_MOST + 1)
            return redirect(
                "inventory:import-draft", start_import(what, upload.name, content, request.user).pk
            )
        except Refusal as refused:
            refusal = refused
    context = {
        "columns": COLUMNS,
        "form": form,
        "what": what,
        "refusal": refusal,
        "megabytes": BYTES_AT_MOST // 1024 // 1024,
        "rows": ROWS_AT_MOST,
        "new_form": UploadForm(),
    }
    status = refusal.status if refusal else 422 if form else 200
    return render(request, "inventory/import.html", context, status=status)


@declares("gear", "import")
def draft(request: HttpRequest, pk: int) -> HttpResponse:
    """What an uploaded file would do, and the button that does it."""
    refusal: Refusal | None = None
    waiting = draft_of(pk, request.user)
    if request.method == "POST" and request.POST.get("discard"):
        discard_import(pk, request.user)
        messages.info(request, "The upload is discarded; nothing was imported.")
        return redirect("inventory:import")
    if request.method == "POST":
        try:
            done = confirm_import(pk, request.POST.get("digest", ""), request.user)
            messages.success(
                request, f"Imported: {done.counts['new']} new, {done.counts['changed']} changed {done.what}."
            )
            return redirect(
                "inventory:units" if waiting.what == ImportDraft.What.UNITS else "catalogue:types"
            )
        except Refusal as refused:
            refusal = refused
    report = dry_run_of(waiting)
    show = request.GET.get("show", "")
    if show not in report.counts:
        show = next((name for name in ("refused", "changed", "new") if report.counts[name]), "unchanged")
    rows = [row for row in report.rows if row.outcome == show]
    context = {
        "draft": waiting,
        "report": report,
        "show": show,
        "outcomes": [(name, count) for name, count in report.counts.items() if count],
        "page": Paginator(rows, ROWS_A_PAGE).get_page(request.GET.get("page")),
        "refusal": refusal,
    }
    return render(request, "inventory/dry_run.html", context, status=refusal.status if refusal else 200)


@declares("gear", "import")
def template(request: HttpRequest) -> HttpResponse:
    """An inventory file with the columns and nothing under them."""
    return HttpResponse(
        empty_template(),
        content_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": 'attachment; filename="inventory-template.csv"'},
    )
