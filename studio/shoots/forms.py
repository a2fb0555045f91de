"""What people type about shoots. Forms repeat kindly what the services and the database hold to."""

from __future__ import annotations

from typing import Any

from django import forms

from gear.booking.wall_time import OPEN_END, moment
from gear.errors import Refusal
from recipes.records.models import Recipe, Revision
from studio.people.models import Person, Role
from studio.people.policy import may
from studio.places.models import Room
from studio.shoots.models import MOST_TRAVELLERS, Shoot
from studio.shoots.queries import recipes_to_choose

__all__ = ["HoldForm", "NewShootForm", "ShootFilter", "ShootForm"]

RECIPES_AT_FIRST = 4
WHICH = [("first", "the first time, before the clocks go back"), ("second", "the second time, after it")]


class WallTime(forms.CharField):
    """A date and a time as the wall clock shows it; what it means is decided with the place's zone."""

    widget = forms.DateTimeInput(attrs={"type": "datetime-local", "step": 60}, format="%Y-%m-%dT%H:%M")

    def __init__(self, **more: Any) -> None:
        super().__init__(max_length=40, **more)


class ShootFilter(forms.Form):
    when = forms.ChoiceField(
        label="Which",
        required=False,
        choices=[("coming", "Coming"), ("past", "Past"), ("cancelled", "Cancelled"), ("all", "All")],
    )
    whose = forms.ChoiceField(label="Whose", required=False, choices=[("", "Everybody's"), ("mine", "Mine")])
    q = forms.CharField(label="Title, room or place", required=False, max_length=80)


class ShootForm(forms.Form):
    """A shoot's own words and its period. A wall time that does not exist is refused with the next one; for one that
    happens twice a choice appears, and the first is chosen until the person says otherwise."""

    title = forms.CharField(max_length=120)
    room = forms.ModelChoiceField(queryset=Room.objects.none(), empty_label=None)
    starts = WallTime(label="Starts", help_text="on the clock of the room's place")
    starts_which = forms.ChoiceField(
        label="That time happens twice that night", choices=WHICH, widget=forms.RadioSelect
    )
    ends = WallTime(label="Ends")
    ends_which = forms.ChoiceField(
        label="That time happens twice that night", choices=WHICH, widget=forms.RadioSelect
    )
    photographer = forms.ModelChoiceField(
        queryset=Person.objects.none(), required=False, empty_label="nobody yet"
    )
    assistant = forms.ModelChoiceField(
        queryset=Person.objects.none(), required=False, empty_label="nobody yet"
    )
    travels_by_air = forms.BooleanField(
        label="The gear travels by air",
        required=False,
        help_text="then the batteries are held to the rules for lithium in baggage",
    )
    travellers = forms.IntegerField(
        label="People who travel with it",
        required=False,
        min_value=1,
        max_value=MOST_TRAVELLERS,
        help_text="they share the batteries out among them; empty: one",
    )
    notes = forms.CharField(required=False, max_length=10_000, widget=forms.Textarea(attrs={"rows": 3}))
    version = forms.IntegerField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, by: Person, **more: Any) -> None:
        super().__init__(*args, **more)
        self.asks_which: set[str] = set()
        people = Person.objects.filter(is_active=True)
        self.fields["room"].queryset = Room.objects.select_related("place")
        self.fields["assistant"].queryset = people
        self.fields["photographer"].queryset = people.exclude(role=Role.ASSISTANT)
        if may(by, "shoot", "confirm") is False:
            del self.fields["photographer"]
        for name in ("starts", "ends"):
            if not self._twice(name):
                del self.fields[f"{name}_which"]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        room = cleaned.get("room")
        for name in ("starts", "ends"):
            if room is None or not cleaned.get(name):
                continue
            try:
                moment(cleaned[name], room.place.zone, where=name)
            except Refusal as refusal:
                self.add_error(name, refusal.sentence)
            if name in self.asks_which:
                self.add_error(
                    f"{name}_which",
                    "The clocks go back over it. The first time is marked: choose, then send again.",
                )
        return cleaned

    def second(self, name: str) -> bool:
        """Whether the second of two equal wall times is meant."""
        return self.cleaned_data.get(f"{name}_which") == "second"

    def _twice(self, name: str) -> bool:
        """Whether this wall time happens twice at the chosen room; then the form lets choose."""
        asked = self.data.get(name) if self.is_bound else self.initial.get(name)
        room = self.data.get("room") if self.is_bound else getattr(self.initial.get("room"), "pk", None)
        found = Room.objects.select_related("place").filter(pk=room).first() if str(room).isdigit() else None
        if not asked or found is None:
            return False
        try:
            twice = moment(str(asked), found.place.zone).twice
        except Refusal:
            return False
        if twice:
            self.initial.setdefault(f"{name}_which", "first")
            if self.is_bound and not self.data.get(f"{name}_which"):
                self.data = self.data.copy()
                self.data[f"{name}_which"] = "first"
                self.asks_which.add(name)
        return twice

    @staticmethod
    def initial_of(shoot: Shoot) -> dict[str, Any]:
        """What the form shows of a shoot that is to be changed."""
        booking = shoot.booking
        initial: dict[str, Any] = {
            "title": shoot.title,
            "room": shoot.room,
            "starts": booking.starts_wall or None,
            "ends": (booking.ends_at < OPEN_END and booking.ends_wall) or None,
            "photographer": shoot.photographer_id,
            "assistant": shoot.assistant_id,
            "notes": shoot.notes,
            "travels_by_air": shoot.travels_by_air,
            "travellers": shoot.travellers,
            "version": shoot.version,
        }
        for name, instant in (("starts", booking.starts_at), ("ends", booking.ends_at)):
            wall = initial[name]
            if wall and instant < OPEN_END:
                first = moment(wall, booking.zone)
                initial[f"{name}_which"] = "first" if first.instant == instant else "second"
        return initial


class NewShootForm(ShootForm):
    """The same with recipes in order and how firmly it is asked."""

    state = forms.ChoiceField(
        label="It starts as",
        choices=[
            ("hold", "Hold: blocks its units, ends by itself"),
            ("enquiry", "Enquiry: notes the units, blocks nobody"),
            ("confirmed", "Confirmed"),
        ],
    )
    hold_until = WallTime(
        label="Hold until", required=False, help_text="empty: for a week, at the latest until it starts"
    )

    def __init__(self, *args: Any, by: Person, **more: Any) -> None:
        super().__init__(*args, by=by, **more)
        if not may(by, "shoot", "confirm"):
            self.fields["state"].choices = list(self.fields["state"].choices)[:2]
        chosen = recipes_to_choose()
        for number in range(1, RECIPES_AT_FIRST + 1):
            self.fields[f"recipe_{number}"] = forms.ModelChoiceField(
                label=f"{_ORDINALS[number - 1]} recipe", queryset=chosen, required=False, empty_label="none"
            )

    @property
    def recipe_fields(self) -> list[forms.BoundField]:
        """The choices of recipes, in order."""
        return [self[f"recipe_{number}"] for number in range(1, RECIPES_AT_FIRST + 1)]

    def revisions(self) -> list[Revision]:
        """The newest revision of each chosen recipe, in order."""
        chosen: list[Recipe | None] = [
            self.cleaned_data.get(f"recipe_{number}") for number in range(1, RECIPES_AT_FIRST + 1)
        ]
        return [recipe.head for recipe in chosen if recipe is not None and recipe.head is not None]


class HoldForm(forms.Form):
    until = WallTime(label="Hold until", required=False)


_ORDINALS = ["First", "Second", "Third", "Fourth"]
