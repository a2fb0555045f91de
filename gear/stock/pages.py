"""The pages of counted things."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from gear.access import declares
from gear.booking.interval import Interval
from gear.booking.rules import now
from gear.booking.usual_zone import usual_zone
from gear.booking.wall_time import moment
from gear.catalogue.differences import ChangedMeanwhile
from gear.errors import FieldProblem, Refusal
from gear.form_problems import show_problems
from gear.paging import page_of
from gear.stock import services
from gear.stock.forms import CountForm, MovementForm, StockFilter, StockForm
from gear.stock.models import StockItem
from gear.stock.queries import availability, item_numbered, promises_of, stock_items
from gear.stock.shortfall import free_by_day
from gear.stock.today import would_be_too_few

ITEMS_A_PAGE = 50
SHOWN = 50
WEEK = timedelta(days=7)


@declares("gear", "read")
def stock(request: HttpRequest) -> HttpResponse:
    """Every counted thing, with how many there are."""
    asked = StockFilter(request.GET)
    asked.is_valid()
    search, kind = asked.cleaned_data.get("q", ""), asked.cleaned_data.get("kind", "")
    page = page_of(stock_items(search, kind), ITEMS_A_PAGE, request.GET.get("page"))
    return render(
        request, "stock/list.html", {"page": page, "filter": asked, "narrowed": bool(search or kind)}
    )


@declares("gear", "read")
def item(request: HttpRequest, pk: int) -> HttpResponse:
    """One item: how many, how many free this week, who has them, and what changed the number."""
    return _item(request, item_numbered(pk))


@declares("gear", "change")
def item_new(request: HttpRequest) -> HttpResponse:
    """Enter a counted thing."""
    form = StockForm(request.POST or None)

    def save() -> StockItem:
        return services.add_item(form.entry(), request.user, there_are=request.POST.get("there_are"))

    return _edit(request, form, save, None)


@declares("gear", "change")
def item_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Correct what the store says of it."""
    found = item_numbered(pk)
    form = StockForm(request.POST or None, found)

    def save() -> StockItem:
        return services.change_item(pk, form.entry(), _number(request.POST.get("version", "")), request.user)

    return _edit(request, form, save, found)


@require_POST
@declares("gear", "change")
def movement(request: HttpRequest, pk: int) -> HttpResponse:
    """A purchase, a loss, a breakage, a use."""
    form = MovementForm(request.POST)

    def act() -> str:
        when = request.POST.get("effective_at", "").strip()
        at = moment(when, usual_zone(), where="effective_at").instant if when else None
        made = services.record_movement(
            pk,
            request.POST.get("kind", ""),
            request.POST.get("quantity", ""),
            request.user,
            effective_at=at,
            note=request.POST.get("note", ""),
        )
        return f"{made.get_kind_display()}: written down."

    return _act(request, pk, act, movement=form)


@require_POST
@declares("gear", "report")
def count(request: HttpRequest, pk: int) -> HttpResponse:
    """Somebody counted."""
    form = CountForm(request.POST)

    def act() -> str:
        counted, said = request.POST.get("counted", ""), request.POST.get("note", "")
        made = services.count_stock(pk, counted, request.user, note=said)
        return "The count is written down." if made else "That is what was known; nothing changed."

    return _act(request, pk, act, count=form)


def _act(request: HttpRequest, pk: int, act: Callable[[], str], **form: forms.Form) -> HttpResponse:
    try:
        messages.success(request, act())
    except Refusal as refusal:
        left = tuple(problem for one in form.values() for problem in show_problems(one, refusal))
        return _item(request, item_numbered(pk), refusal=refusal, left=left, **form)
    return redirect("stock:item", pk)


def _item(
    request: HttpRequest,
    found: StockItem,
    *,
    refusal: Refusal | None = None,
    left: tuple[FieldProblem, ...] = (),
    **form: forms.Form,
) -> HttpResponse:
    at, zone = now(), usual_zone()
    week = availability(found, Interval(at, at + WEEK))
    context = {
        "item": found,
        "zone": zone,
        "free": week.free,
        "free_words": free_by_day(week, zone),
        "promises": list(promises_of(found)[:SHOWN]),
        "too_few": would_be_too_few(found),
        "movements": list(found.movements.select_related("by")[:SHOWN]),
        "movement_form": form.get("movement") or MovementForm(),
        "count_form": form.get("count") or CountForm(),
        "refusal": refusal,
        "left": left,
    }
    return render(request, "stock/item.html", context, status=refusal.status if refusal else 200)


def _edit(
    request: HttpRequest, form: StockForm, save: Callable[[], StockItem], found: StockItem | None
) -> HttpResponse:
    refusal: Refusal | None = None
    left: tuple[FieldProblem, ...] = ()
    version = (
        _number(request.POST.get("version", "")) if request.method == "POST" else getattr(found, "version", 0)
    )
    if request.method == "POST":
        try:
            saved = save()
            messages.success(request, f"{saved} is saved.")
            return redirect("stock:item", saved.pk)
        except Refusal as caught:
            refusal, left = caught, show_problems(form, caught)
            if isinstance(caught, ChangedMeanwhile):
                version = caught.version
    context = {"form": form, "item": found, "refusal": refusal, "left": left, "version": version}
    return render(request, "stock/edit.html", context, status=refusal.status if refusal else 200)


def _number(text: str) -> int:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else 0
