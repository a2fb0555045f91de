"""The pages of the store: units, and what happens to them."""

from __future__ import annotations

from collections.abc import Callable

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from gear.access import declares
from gear.catalogue.differences import ChangedMeanwhile
from gear.errors import FieldProblem, Invalid, Refusal
from gear.inventory.forms import CareForm, ConditionForm, FaultForm, UnitFilter, UnitForm
from gear.inventory.models import Unit
from gear.inventory.photos import LARGEST, photo_of, with_photo_ids
from gear.inventory.queries import (
    care_of,
    contents_of,
    firmwares_beside,
    inspections_due,
    repair_costs,
    series_of,
    unit_tagged,
    whole_inventory,
    why_not_found,
)
from gear.inventory.queries import units as units_found
from gear.inventory.services import add_care_entry, add_unit, change_condition, change_unit, report_fault
from gear.paging import page_of

UNITS_A_PAGE = 50


@declares("gear", "read")
def units(request: HttpRequest) -> HttpResponse:
    """Every unit, narrowed by kind, condition, case and words."""
    asked = UnitFilter(request.GET)
    filters = asked.asked()
    page = page_of(units_found(**filters), UNITS_A_PAGE, request.GET.get("page"))
    misread = why_not_found(filters["search"]) if filters.get("search") and not page.paginator.count else None
    context = {"page": page, "filter": asked, "filters": filters, "today": timezone.localdate()}
    if misread and misread.code == "misread":
        context["misread"] = misread
    return render(request, "inventory/units.html", context)


@declares("gear", "read")
def unit(request: HttpRequest, tag: str) -> HttpResponse:
    """One unit: what it is, where, in which state, and its history."""
    stored = unit_tagged(tag)
    is_case = stored.gear_type.kind == "case"
    context = {
        "unit": stored,
        "care": with_photo_ids(care_of(stored)),
        "costs": repair_costs(stored),
        "series": series_of(stored),
        "firmwares": firmwares_beside(stored) if stored.firmware else [],
        "is_case": is_case,
        "contents": contents_of(stored) if is_case else [],
        "inspection_overdue": bool(stored.inspection_due and stored.inspection_due < timezone.localdate()),
    }
    return render(request, "inventory/unit.html", context)


@declares("gear", "read")
def inspections(request: HttpRequest) -> HttpResponse:
    """Which units are to be inspected: overdue, within 30 days, and without a date."""
    today = timezone.localdate()
    return render(request, "inventory/inspections.html", {"due": inspections_due(today), "today": today})


@declares("gear", "change")
def unit_new(request: HttpRequest) -> HttpResponse:
    """Enter a unit."""
    form = UnitForm(request.POST or None, type_slug=request.GET.get("type", ""))
    refusal: Refusal | None = None
    left: tuple[FieldProblem, ...] = ()
    if request.method == "POST":
        try:
            made = add_unit(form.entry(), request.user)
            messages.success(request, f"{made.tag} is in the store, ready.")
            return redirect("inventory:unit", made.tag)
        except Invalid as invalid:
            refusal, left = invalid, form.show(invalid)
        except Refusal as other:
            refusal = other
    context = {"form": form, "refusal": refusal, "left": left, "version": 0}
    return render(request, "inventory/edit.html", context, status=refusal.status if refusal else 200)


@declares("gear", "change")
def unit_edit(request: HttpRequest, tag: str) -> HttpResponse:
    """Correct what the store says of a unit."""
    stored = unit_tagged(tag)
    form = UnitForm(request.POST or None, stored)
    version = _version(request, stored)
    refusal: Refusal | None = None
    left: tuple[FieldProblem, ...] = ()
    if request.method == "POST":
        try:
            changed = change_unit(stored.tag, form.entry(), version, request.user)
            messages.success(request, f"{changed.tag} is saved.")
            return redirect("inventory:unit", changed.tag)
        except Invalid as invalid:
            refusal, left = invalid, form.show(invalid)
        except ChangedMeanwhile as stale:
            refusal, version = stale, stale.version
        except Refusal as other:
            refusal = other
    context = {"form": form, "refusal": refusal, "left": left, "unit": stored, "version": version}
    return render(request, "inventory/edit.html", context, status=refusal.status if refusal else 200)


@declares("gear", "report")
def fault(request: HttpRequest, tag: str) -> HttpResponse:
    """Report a fault: the unit is out of use at once."""
    stored = unit_tagged(tag)
    form = FaultForm(request.POST or None)

    def send() -> str:
        photo = request.FILES.get("photo")
        if photo and (photo.size or 0) > LARGEST:
            raise Invalid("The picture is too large; take a smaller one.")
        entry = report_fault(
            stored.tag, request.POST.get("text", ""), request.user, photo=photo.read() if photo else None
        )
        return f"{stored.tag} is out of use: {entry.get_condition_after_display().lower()}."

    return _act(request, stored, form, send, "inventory/fault.html")


@declares("gear", "read")
def photo(request: HttpRequest, tag: str, pk: int) -> HttpResponse:
    """A picture from the care history. It is shown as a picture and as nothing else."""
    kept = photo_of(tag, pk)
    return HttpResponse(
        bytes(kept.data),
        content_type=kept.kind,
        headers={
            "Content-Security-Policy": "default-src 'none'; sandbox",
            "X-Content-Type-Options": "nosniff",
            "Cache-Control": "private, max-age=86400",
        },
    )


@declares("gear", "release")
def condition(request: HttpRequest, tag: str) -> HttpResponse:
    """Change the condition of a unit, or release it after an inspection."""
    stored = unit_tagged(tag)
    form = ConditionForm(
        request.POST or None, initial={"version": stored.version, "condition": stored.condition}
    )

    def send() -> str:
        typed = form.typed()
        entry = change_condition(
            stored.tag,
            typed.get("condition", ""),
            typed.get("text", ""),
            request.user,
            _version(request, stored),
        )
        return f"{stored.tag} is now {entry.get_condition_after_display().lower()}."

    return _act(request, stored, form, send, "inventory/condition.html")


@declares("gear", "report")
def care(request: HttpRequest, tag: str) -> HttpResponse:
    """Write into the care history of a unit."""
    stored = unit_tagged(tag)
    form = CareForm(
        request.POST or None,
        of=stored.gear_type.kind,
        interval_days=stored.gear_type.inspection_days,
        kind=request.GET.get("kind", ""),
    )

    def send() -> str:
        add_care_entry(stored.tag, form.note(), request.user)
        return f"The entry is in the history of {stored.tag}."

    return _act(request, stored, form, send, "inventory/care.html")


@declares("gear", "export")
def export(request: HttpRequest) -> StreamingHttpResponse:
    """The whole inventory as the file that the import takes."""
    return StreamingHttpResponse(
        whole_inventory(),
        content_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": 'attachment; filename="inventory.csv"'},
    )


def _act(
    request: HttpRequest,
    stored: Unit,
    form: FaultForm | ConditionForm | CareForm,
    send: Callable[[], str],
    template: str,
) -> HttpResponse:
    """Show a form about a unit, or send it: back to the unit with a message, or the form again with the refusal."""
    refusal: Refusal | None = None
    left: tuple[FieldProblem, ...] = ()
    version = stored.version
    if request.method == "POST":
        try:
            messages.success(request, send())
            return redirect("inventory:unit", stored.tag)
        except Invalid as invalid:
            refusal, left = invalid, form.show(invalid)
        except Refusal as other:
            refusal = other
            stored.refresh_from_db()
            version = getattr(other, "version", stored.version)
    context = {"form": form, "unit": stored, "refusal": refusal, "left": left, "version": version}
    return render(request, template, context, status=refusal.status if refusal else 200)


def _version(request: HttpRequest, stored: Unit) -> int:
    """The version that the form was made from; a form without one counts as older than any."""
    if request.method != "POST":
        return stored.version
    typed = request.POST.get("version", "")
    return int(typed) if typed.isascii() and typed.isdigit() and len(typed) < 10 else 0
