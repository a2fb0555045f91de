"""Booking a series from a form: show the days first, book all, or book those that do not clash."""

from __future__ import annotations

from collections.abc import Callable

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from gear.errors import Invalid, Refusal
from studio.shoots.series_booking import Booked, rehearsed
from studio.shoots.series_clashes import SeriesClashes
from studio.shoots.series_editing import Edited
from studio.shoots.series_forms import RepeatForm

__all__ = ["book_or_show", "tell"]

Act = Callable[[bool], Booked]
"""Books the series; the argument says whether to leave out what clashes."""


def book_or_show(
    request: HttpRequest, repeat: RepeatForm, act: Act, show: Callable[..., HttpResponse]
) -> HttpResponse:
    """Do what the pressed button says. ``show`` answers with the form, the days as they would be, and a refusal."""
    pressed = request.POST.get("act", "")
    try:
        if pressed == "show":
            return show(booked=rehearsed(lambda: act(True)))
        booked = act(pressed == "leave-out")
    except SeriesClashes as clashes:
        return show(booked=rehearsed(lambda: act(True)), clashes=clashes, status=clashes.status)
    except Refusal as refusal:
        if isinstance(refusal, Invalid):
            repeat.show(refusal)
        return show(refusal=refusal, status=refusal.status)
    left = len(booked.clashes)
    messages.success(request, f"{len(booked.lines) - left} shoots are booked.")
    if left:
        messages.warning(request, f"{left} that clash were left out; they stand in the list below.")
    return redirect("shoots:series", booked.series.pk)


def tell(request: HttpRequest, done: Edited) -> None:
    """Say what a change of several reached, kept and left."""
    messages.success(request, f"{done.reached} changed.")
    for kept in done.kept[:10]:
        messages.info(request, kept)
    for clash in done.clashes[:10]:
        messages.warning(request, f"Left as it was: {clash.day.isoformat()}. {clash.sentence}")
