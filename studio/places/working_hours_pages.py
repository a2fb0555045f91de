"""The form for when a place is at work."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from gear.access import declares
from gear.booking.working_time import WEEKDAYS
from gear.errors import Invalid, Refusal
from studio.people.policy import may
from studio.places.models import Place
from studio.places.queries import a_place
from studio.places.working_hours import (
    WorkingWeek,
    holidays_in_words,
    hours_in_words,
    read_holidays,
    read_hours,
    set_working_hours,
    week_of,
)


class WorkingHoursForm(forms.Form):
    """A line for each day of the week, the holidays one a line, and how long somebody has to answer."""

    answer_hours = forms.DecimalField(
        label="Working hours to answer",
        max_digits=4,
        decimal_places=1,
        help_text="when somebody on 2nd hold asks the first to confirm or to let go",
    )
    holidays = forms.CharField(
        required=False,
        max_length=40_000,
        widget=forms.Textarea(attrs={"rows": 6}),
        help_text="one a line, as 2026-12-25 Christmas Day; on these days nobody works",
    )
    version = forms.IntegerField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        for day, name in enumerate(WEEKDAYS):
            self.fields[f"day{day}"] = forms.CharField(
                label=name,
                required=False,
                max_length=200,
                help_text="as 09:00-18:00, or 09:00-12:30, 13:30-18:00; empty: closed" if day == 0 else "",
            )

    @property
    def days(self) -> list[forms.BoundField]:
        """The fields of the week, Monday first."""
        return [self[f"day{day}"] for day in range(7)]

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        for name in [*(f"day{day}" for day in range(7)), "holidays"]:
            try:
                read_holidays(cleaned[name]) if name == "holidays" else read_hours(cleaned[name], name)
            except Invalid as refusal:
                self.add_error(name, refusal.sentence)
        return cleaned

    def week(self) -> WorkingWeek:
        """What was typed; call after `is_valid`."""
        said = self.cleaned_data
        return WorkingWeek(
            {day: read_hours(said[f"day{day}"], f"day{day}") for day in range(7)},
            read_holidays(said["holidays"]),
            said["answer_hours"],
        )

    @staticmethod
    def initial_of(place: Place) -> dict[str, Any]:
        """What the form shows of a place."""
        week = week_of(place)
        days = {f"day{day}": hours_in_words(week.hours.get(day, ())) for day in range(7)}
        return {
            **days,
            "holidays": holidays_in_words(week.holidays),
            "answer_hours": week.answer_hours,
            "version": week.version,
        }


@declares("place", "read", POST="change")
@require_http_methods(["GET", "POST"])
def working_hours(request: HttpRequest, pk: int) -> HttpResponse:
    """When a place is at work."""
    place = a_place(pk)
    form = WorkingHoursForm(request.POST or None, initial=WorkingHoursForm.initial_of(place))
    refusal: Refusal | None = None
    if form.is_valid():
        try:
            set_working_hours(place, form.week(), request.user, version=form.cleaned_data["version"])
            messages.success(request, f"The working hours of {place} are kept.")
            return redirect("places:working-hours", pk)
        except Refusal as caught:
            refusal = caught
    status = refusal.status if refusal else 422 if form.is_bound else 200
    context = {
        "place": place,
        "form": form,
        "refusal": refusal,
        "changes": may(request.user, "place", "change"),
    }
    return render(request, "places/working_hours.html", context, status=status)
