"""Pages of series: repeating a shoot, the series with all its days, what is done to several at once."""

from __future__ import annotations

from datetime import date

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from gear.access import declares
from gear.errors import Gone, Invalid, Refusal
from studio.people.policy import may
from studio.shoots.queries import a_shoot
from studio.shoots.series_booking import Booked, repeat_shoot, try_again
from studio.shoots.series_clashes import SeriesClashes
from studio.shoots.series_desk import book_or_show, tell
from studio.shoots.series_editing import firm_series, refuse_strange_reach, take_over
from studio.shoots.series_extending import change_end
from studio.shoots.series_forms import EndForm, RepeatForm
from studio.shoots.series_queries import series_whole


@declares("shoot", "change")
@require_http_methods(["GET", "POST"])
def repeat(request: HttpRequest, pk: int) -> HttpResponse:
    """Make a shoot the first of a series, with all that is on it."""
    shoot = a_shoot(pk)
    form = RepeatForm(request.POST or None, asks=True)

    def show(*, status: int = 200, **more: object) -> HttpResponse:
        context = {"shoot": shoot, "repeat": form, **more}
        return render(request, "shoots/series_repeat.html", context, status=status)

    if not form.is_valid():
        return show(status=422 if form.is_bound else 200)
    try:
        rule = form.rule()
        if rule is None:
            raise Invalid("Choose how it repeats.")
    except Invalid as refusal:
        form.show(refusal)
        return show(refusal=refusal, status=refusal.status)

    def act(leave_out: bool) -> Booked:
        return repeat_shoot(
            shoot, rule, request.user, leave_out=leave_out, take_next=form.cleaned_data["take_next"]
        )

    return book_or_show(request, form, act, show)


@declares("shoot", "read")
@require_GET
def series(request: HttpRequest, pk: int) -> HttpResponse:
    """The series with all its days."""
    return _series(request, pk)


@declares("shoot", "change")
@require_POST
def again(request: HttpRequest, pk: int, day: str) -> HttpResponse:
    """Try to book a day that was left out."""
    try:
        made = try_again(pk, _day(day), request.user)
    except Refusal as refusal:
        return _series(request, pk, refusal=refusal, status=refusal.status)
    messages.success(request, f"{made.booking.starts_wall[:10]} is booked.")
    return redirect("shoots:series", pk)


@declares("shoot", "change")
@require_POST
def several(request: HttpRequest, pk: int, act: str) -> HttpResponse:
    """Hold, confirm, cancel, or give what is on this shoot to the following or to all."""
    shoot = a_shoot(pk)
    which = refuse_strange_reach(request.POST.get("which", "following"))
    leave_out = bool(request.POST.get("leave_out"))
    whole = shoot.booking.occurrence.series_id if hasattr(shoot.booking, "occurrence") else None
    try:
        if act == "take-over":
            done = take_over(shoot, request.user, which, leave_out=leave_out)
        else:
            done = firm_series(shoot, act, request.user, which, leave_out=leave_out)
    except SeriesClashes as clashes:
        again_with = {"clashes": clashes, "act": act, "which": which, "on": shoot}
        return _series(request, whole, status=clashes.status, **again_with)
    tell(request, done)
    return redirect("shoots:series", whole)


@declares("shoot", "change")
@require_POST
def end(request: HttpRequest, pk: int) -> HttpResponse:
    """Let the series of a shoot go on longer."""
    shoot = a_shoot(pk)
    whole = shoot.booking.occurrence.series_id if hasattr(shoot.booking, "occurrence") else None
    form = EndForm(request.POST)
    if not form.is_valid():
        return _series(request, whole, end_form=form, status=422)
    try:
        lines = change_end(shoot, request.user, leave_out=bool(request.POST.get("leave_out")), **form.end())
    except Refusal as refusal:
        return _series(request, whole, end_form=form, end_refusal=refusal, status=refusal.status)
    booked = sum(line.clash is None for line in lines)
    messages.success(request, f"{booked} more {'is' if booked == 1 else 'are'} booked.")
    return redirect("shoots:series", whole)


def _series(request: HttpRequest, pk: int | None, *, status: int = 200, **more: object) -> HttpResponse:
    if pk is None:
        raise Gone("That shoot is not one of a series.")
    whole = series_whole(pk)
    owner = whole.here.photographer if whole.here else None
    context = {
        "whole": whole,
        "changes": whole.here is not None and may(request.user, "shoot", "change", owner or "nobody yet"),
        "confirms": may(request.user, "shoot", "confirm"),
        "end_form": EndForm(initial=_end_of(whole.series)),
        **more,
    }
    return render(request, "shoots/series.html", context, status=status)


def _end_of(series: object) -> dict[str, object]:
    count, until = getattr(series, "count", None), getattr(series, "until", None)
    return {"ends": "count" if count else "until" if until else "", "count": count, "until": until}


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise Gone(f"{text[:20]!r} is no day. Go back to the series and choose one.") from None
