"""What people type about places and rooms."""

from __future__ import annotations

from typing import Any

from django import forms

from gear.errors import Invalid
from studio.places.entries import CircuitEntry, PlaceEntry, RoomEntry, WindowEntry
from studio.places.models import Place, Room, RoomCircuit, RoomWindow

__all__ = ["PlaceForm", "RoomEditor"]

_LABELS = {
    "latitude_deg": "Latitude, degrees",
    "longitude_deg": "Longitude, degrees",
    "altitude_m": "Altitude, m",
    "travel_minutes": "Travel from the store, min",
    "width_m": "Width, m",
    "depth_m": "Depth, m",
    "height_m": "Height, m",
    "beam_height_m": "Lowest beam, m",
    "mark_x_m": "Mark from the left wall, m",
    "mark_y_m": "Mark from the far wall, m",
    "wall_reflectance": "Walls reflect",
    "floor_reflectance": "Floor reflects",
    "ceiling_reflectance": "Ceiling reflects",
    "north_deg": "Compass bearing from mark to camera, degrees",
    "temperature_c": "Temperature, °C",
    "wind_m_per_s": "Wind, m/s",
    "outdoors": "Outdoors",
    "offset_m": "From left end, m",
    "sill_m": "Lower edge, m",
    "transmittance": "Lets through",
    "voltage_v": "Voltage, V",
    "rated_a": "Rated, A",
}


class PlaceForm(forms.ModelForm):
    class Meta:
        model = Place
        fields = [
            "name",
            "zone",
            "country",
            "latitude_deg",
            "longitude_deg",
            "altitude_m",
            "travel_minutes",
            "directions",
        ]
        labels = _LABELS
        widgets = {"directions": forms.Textarea(attrs={"rows": 3})}

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["travel_minutes"].required = False

    def clean_travel_minutes(self) -> int:
        """Nothing typed is no way: the place is where the store is."""
        return self.cleaned_data["travel_minutes"] or 0

    def entry(self) -> PlaceEntry:
        """What was typed; call after `is_valid`."""
        return PlaceEntry(**self.cleaned_data)


class RoomForm(forms.ModelForm):
    version = forms.IntegerField(required=False, widget=forms.HiddenInput)

    class Meta:
        model = Room
        fields = [
            "name",
            "width_m",
            "depth_m",
            "height_m",
            "beam_height_m",
            "mark_x_m",
            "mark_y_m",
            "wall_reflectance",
            "floor_reflectance",
            "ceiling_reflectance",
            "north_deg",
            "outdoors",
            "temperature_c",
            "wind_m_per_s",
        ]
        labels = _LABELS


class WindowForm(forms.ModelForm):
    class Meta:
        model = RoomWindow
        fields = ["name", "wall", "offset_m", "sill_m", "width_m", "height_m", "transmittance"]
        labels = _LABELS
        help_texts = {
            "sill_m": "roof: distance from the far wall",
            "height_m": "roof: length along the depth",
        }


class CircuitForm(forms.ModelForm):
    class Meta:
        model = RoomCircuit
        fields = ["name", "voltage_v", "rated_a", "breaker", "sockets"]
        labels = _LABELS


WindowRows = forms.inlineformset_factory(
    Room, RoomWindow, form=WindowForm, extra=2, max_num=60, can_delete_extra=False
)
CircuitRows = forms.inlineformset_factory(
    Room, RoomCircuit, form=CircuitForm, extra=2, max_num=60, can_delete_extra=False
)


class RoomEditor:
    """A room's form with the rows of its windows and circuits; keeps what was typed, whatever is refused."""

    def __init__(self, data: Any = None, room: Room | None = None) -> None:
        shown = room or Room()
        self.form = RoomForm(data, instance=shown, initial={"version": shown.version if room else None})
        self.windows = WindowRows(data, instance=shown, prefix="windows")
        self.circuits = CircuitRows(data, instance=shown, prefix="circuits")

    def is_valid(self) -> bool:
        """Judges all three, so that every fault shows at once."""
        return all([self.form.is_valid(), self.windows.is_valid(), self.circuits.is_valid()])

    @property
    def version(self) -> int | None:
        """The version that the form was made from."""
        version: int | None = self.form.cleaned_data.get("version")
        return version

    @property
    def forms_at_fault(self) -> list[forms.BaseForm]:
        """For the list of problems at the top."""
        return [form for form in (self.form, *self.windows, *self.circuits) if form.is_bound and form.errors]

    def entry(self) -> RoomEntry:
        """What was typed; call after `is_valid`."""
        said = {name: value for name, value in self.form.cleaned_data.items() if name != "version"}
        return RoomEntry(
            **said,
            windows=tuple(WindowEntry(**_said(form)) for form in _kept(self.windows)),
            circuits=tuple(CircuitEntry(**_said(form)) for form in _kept(self.circuits)),
        )

    def show(self, refusal: Invalid) -> None:
        """Put each problem beside the field that it names."""
        for problem in refusal.problems:
            where, _, rest = problem.where.partition(".")
            rows = {"windows": self.windows, "circuits": self.circuits}.get(where)
            if rows is not None and rest:
                index, _, field = rest.partition(".")
                form = _kept(rows)[int(index)]
                form.add_error(field if field in form.fields else None, f"Give {problem.expected}.")
            elif problem.where in self.form.fields:
                self.form.add_error(problem.where, f"Give {problem.expected}.")


def _kept(rows: forms.BaseInlineFormSet) -> list[forms.ModelForm]:
    return [
        form
        for form in rows.forms
        if (form.has_changed() or form.instance.pk) and not form.cleaned_data.get("DELETE")
    ]


def _said(form: forms.ModelForm) -> dict[str, Any]:
    return {name: value for name, value in form.cleaned_data.items() if name not in ("id", "room", "DELETE")}
