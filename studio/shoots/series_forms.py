"""What people type about repeating. What it comes to is decided by `gear.booking.series_rule`."""

from __future__ import annotations

from datetime import date
from typing import Any

from django import forms

from gear.booking.models import Series
from gear.booking.series_rule import MOST_COUNTED, WEEKDAYS, Rule
from gear.errors import Invalid

__all__ = ["EndForm", "ReachForm", "RepeatForm"]

_DAYS = ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"]
_EACH = [("", "It does not repeat"), *((each, f"Every {each}") for each in Series.Each.values)]
_ENDS = [("count", "After a number of times"), ("until", "On a last day"), ("", "When somebody ends it")]


class RepeatForm(forms.Form):
    """How a shoot repeats; left at “does not repeat” it says nothing."""

    prefix = "repeat"

    each = forms.ChoiceField(label="Repeat", required=False, choices=_EACH)
    interval = forms.IntegerField(
        label="Every how many",
        required=False,
        min_value=1,
        max_value=99,
        help_text="1: each of them; 2: every second",
    )
    weekdays = forms.MultipleChoiceField(
        label="On these days of the week",
        required=False,
        choices=list(zip(WEEKDAYS, _DAYS, strict=True)),
        widget=forms.CheckboxSelectMultiple,
        help_text="weekly only; none: the weekday of the first",
    )
    monthly_on = forms.ChoiceField(
        label="Monthly on", required=False, choices=Series.MonthlyOn.choices, initial=Series.MonthlyOn.DAY
    )
    skip = forms.ChoiceField(
        label="Where a month does not have the day",
        required=False,
        choices=Series.Skip.choices,
        initial=Series.Skip.OMIT,
        help_text="for the 29th, 30th and 31st, and for 29 February",
    )
    ends = forms.ChoiceField(label="It ends", required=False, choices=_ENDS, initial="count")
    count = forms.IntegerField(
        label="Number of times",
        required=False,
        min_value=1,
        max_value=MOST_COUNTED,
        help_text="the first included",
    )
    until = forms.DateField(label="Last day", required=False, widget=forms.DateInput(attrs={"type": "date"}))
    take_next = forms.BooleanField(
        label="Where the clocks jump over its time, take the next time",
        required=False,
        help_text="otherwise such a day is listed as one that clashes",
    )

    def __init__(self, *args: Any, asks: bool = False, **more: Any) -> None:
        super().__init__(*args, **more)
        if asks:
            self.fields["each"].choices = _EACH[1:]

    @property
    def named(self) -> bool:
        """Whether something was chosen, so that the page shows it open."""
        return bool(self["each"].value()) or bool(self.errors)

    def rule(self) -> Rule | None:
        """The rule that was typed, None for none; call after `is_valid`. Raises `Invalid` that names a field."""
        said = self.cleaned_data
        if not said["each"]:
            return None
        count, until = self._end(said)
        return Rule(
            said["each"],
            said["interval"] or 1,
            tuple(said["weekdays"]) if said["each"] == "week" else (),
            said["monthly_on"] or "day",
            said["skip"] or "omit",
            count,
            until,
        )

    def show(self, refusal: Invalid) -> None:
        """Put each problem beside the field it names."""
        for problem in refusal.problems:
            if problem.where in self.fields:
                self.add_error(problem.where, f"Give {problem.expected}.")

    def clean(self) -> dict[str, Any]:
        said = super().clean() or {}
        if said.get("each") and "count" in said and said.get("ends") == "count" and not said["count"]:
            self.add_error("count", "Give the number of times, or let it end another way.")
        if said.get("each") and "until" in said and said.get("ends") == "until" and not said["until"]:
            self.add_error("until", "Give the last day, or let it end another way.")
        return said

    @staticmethod
    def _end(said: dict[str, Any]) -> tuple[int | None, date | None]:
        if said["ends"] == "until":
            return None, said["until"]
        return (said["count"], None) if said["ends"] == "count" else (None, None)


class EndForm(forms.Form):
    """Until when a series goes on."""

    ends = forms.ChoiceField(label="It ends", required=False, choices=_ENDS)
    count = forms.IntegerField(label="Number of times", required=False, min_value=1, max_value=MOST_COUNTED)
    until = forms.DateField(label="Last day", required=False, widget=forms.DateInput(attrs={"type": "date"}))

    def end(self) -> dict[str, Any]:
        """The end, for `series_extending.change_end`; call after `is_valid`."""
        said = self.cleaned_data
        return {
            "count": said["count"] if said["ends"] == "count" else None,
            "until": said["until"] if said["ends"] == "until" else None,
        }


class ReachForm(forms.Form):
    """Which of a series a change reaches."""

    which = forms.ChoiceField(
        label="Change",
        choices=[
            ("one", "only this one"),
            ("following", "this and the following"),
            ("all", "all that have not begun"),
        ],
        initial="one",
        widget=forms.RadioSelect,
    )
    leave_out = forms.BooleanField(
        label="Leave those that clash as they are", required=False, help_text="they are listed afterwards"
    )
