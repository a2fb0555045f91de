"""What people choose on a calendar, and which feed they want."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.http import QueryDict
from django.utils import timezone

from gear.specs import KINDS
from studio.calendar.models import FeedAddress
from studio.calendar.queries import Asked, By
from studio.calendar.span import VIEWS, Span, span_of
from studio.people.models import Person, Role
from studio.people.policy import may
from studio.places.models import Place, Room

__all__ = ["CalendarFilter", "FeedForm"]

FIRST, LAST = date(1970, 1, 1), date(2100, 12, 31)
_KIND_LABELS: dict[By, str] = {"units": "Kind", "types": "Kind", "rooms": "Place", "people": "Role"}
_SEARCH_LABELS: dict[By, str] = {
    "units": "Tag, serial or type",
    "types": "Name or maker",
    "rooms": "Room or place",
    "people": "Name",
}
_SHOWN_FIRST: dict[By, str] = {"units": "busy", "types": "busy", "rooms": "all", "people": "all"}


class CalendarFilter(forms.Form):
    """Which days and which rows. What cannot be read is named, and the calendar shows today's week instead."""

    view = forms.ChoiceField(required=False, choices=[(v, v.title()) for v in VIEWS])
    date = forms.DateField(
        label="Day", required=False, widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    kind = forms.ChoiceField(required=False)
    q = forms.CharField(required=False, max_length=80, widget=forms.TextInput(attrs={"type": "search"}))
    show = forms.ChoiceField(
        label="Rows",
        required=False,
        choices=[("busy", "With promises"), ("all", "All"), ("conflicts", "With conflicts")],
    )
    zone = forms.ChoiceField(label="Clock of", required=False)

    def __init__(self, data: QueryDict, *, by: By, zones: Sequence[str]) -> None:
        self.today = timezone.now().astimezone(ZoneInfo(zones[0])).date()
        usual = {"view": "week", "date": f"{self.today}", "show": _SHOWN_FIRST[by], "zone": zones[0]}
        super().__init__({**usual, **{name: value for name, value in data.items() if value}})
        self.by, self.zones = by, zones
        self.fields["kind"].label = _KIND_LABELS[by]
        self.fields["kind"].choices = [("", "All"), *self._kinds()]
        self.fields["q"].label = _SEARCH_LABELS[by]
        self.fields["zone"].choices = [(zone, zone.replace("_", " ")) for zone in zones]

    def clean_date(self) -> date | None:
        chosen: date | None = self.cleaned_data["date"]
        if chosen is not None and not FIRST <= chosen <= LAST:
            raise forms.ValidationError("Give a day between 1970 and 2100, for example 2026-12-01.")
        return chosen

    def span(self) -> Span:
        """The days that are asked for."""
        chosen = self._chosen()
        return span_of(
            chosen.get("view", "week"), chosen.get("date") or self.today, chosen.get("zone", self.zones[0])
        )

    def asked(self, page: str | None) -> Asked:
        """The rows that are asked for."""
        chosen = self._chosen()
        show = chosen.get("show", _SHOWN_FIRST[self.by])
        return Asked(self.by, chosen.get("kind", ""), chosen.get("q", ""), show, page)

    def _chosen(self) -> dict[str, Any]:
        self.is_valid()
        return self.cleaned_data

    def _kinds(self) -> list[tuple[Any, str]]:
        if self.by == "rooms":
            return [(str(pk), name) for pk, name in Place.objects.values_list("pk", "name")]
        if self.by == "people":
            return list(Role.choices)
        return [(kind, label) for kind, (label, _) in KINDS.items()]


class FeedForm(forms.Form):
    """Which shoots a new address shows."""

    what = forms.ChoiceField(label="Shoots of")

    def __init__(self, data: Any = None, *, by: Person) -> None:
        super().__init__(data)
        choices = [("own", f"{by}: mine")]
        if may(by, "feed", "all"):
            choices.append(("all", "Everybody: all shoots"))
        rooms = Room.objects.select_related("place")
        self.fields["what"].choices = [*choices, *((f"room-{room.pk}", str(room)) for room in rooms)]

    @property
    def scope(self) -> str:
        """The chosen scope."""
        return "room" if self.cleaned_data["what"].startswith("room-") else self.cleaned_data["what"]

    @property
    def room_id(self) -> int | None:
        """The chosen room, if the feed is of one."""
        return (
            int(self.cleaned_data["what"].removeprefix("room-"))
            if self.scope == FeedAddress.Scope.ROOM
            else None
        )
