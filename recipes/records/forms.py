"""The fields of a recipe, step by step.

The forms only show what was typed and what the document says about it: every rule lives in `recipes.look`, and its
problems are laid beside the fields that their paths name.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, cast

from django import forms
from django.db.models import QuerySet
from django.forms.utils import ErrorDict

from recipes.look import MOST_CHARACTERS, Problem
from recipes.records.typed import Typed

__all__ = [
    "CameraForm",
    "GelForm",
    "LiftForm",
    "LightForm",
    "NoteForm",
    "PanelForm",
    "PartForm",
    "ReadingForm",
    "SessionForm",
    "SubjectForm",
    "TitleForm",
    "ZoneForm",
    "problems_under",
    "read_part",
]

SERIES = [("third", "Third stops"), ("half", "Half stops"), ("full", "Full stops")]


def problems_under(problems: Iterable[Problem], path: str) -> list[Problem]:
    """The problems of one part of the document, with their paths from that part on."""
    return [
        Problem(problem.field[len(path) :].removeprefix("."), problem.expected)
        for problem in problems
        if problem.field == path or problem.field.startswith(f"{path}.")
    ]


def read_part(form: type[PartForm], post: Mapping[str, Any], prefix: str) -> Typed:
    """What was typed into one form, in the shape of the document; a field that was not sent is empty."""
    typed: Typed = {}
    for name, field in form.base_fields.items():
        sent = post.get(f"{prefix}-{name}", "")
        value: Any = bool(sent) if isinstance(field, forms.BooleanField) else _clean(str(sent))
        *groups, last = name.split("__")
        part = typed
        for group in groups:
            part = part.setdefault(group, {})
        part[last] = value
    return typed


class PartForm(forms.Form):
    """One part of the document as typed. A field ``bounce__width_m`` stands for the path ``bounce.width_m``."""

    use_required_attribute = False
    aliases: dict[str, str] = {}

    def __init__(
        self,
        typed: Typed,
        problems: Iterable[Problem] = (),
        prefix: str = "part",
        **offers: list[tuple[str, str]],
    ) -> None:
        self.problems = [*problems]
        data = {f"{prefix}-{name}": value for name, value in _flat(typed).items()}
        super().__init__(data=data, prefix=prefix)
        for name, field in self.fields.items():
            if isinstance(field, forms.ChoiceField):
                field.choices = [*field.choices, *offers.get(name, [])]
                _offer(field, str(data.get(f"{prefix}-{name}", "")))

    def full_clean(self) -> None:
        """No rules here: the errors are the document's problems."""
        self._errors = ErrorDict()
        self.cleaned_data: dict[str, Any] = {}
        for problem in self.problems:
            name = self.field_of(problem.field)
            self.add_error(name, problem.expected if name else _said(problem))

    def field_of(self, path: str) -> str | None:
        """Which field a path of the document stands for."""
        parts = path.split(".") if path else [""]
        for length in range(len(parts), 0, -1):
            name = "__".join(parts[:length])
            name = self.aliases.get(name, name)
            if name in self.fields:
                return name
        return None


# ``required`` only decides whether a label says "(optional)": the document alone knows what must be there.


def _text(label: str, help_text: str = "", long: bool = False, **more: Any) -> forms.CharField:
    widget = forms.Textarea(attrs={"rows": 3}) if long else forms.TextInput(attrs=more)
    return forms.CharField(label=label, help_text=help_text, required=not long, widget=widget)


def _number(label: str, help_text: str = "") -> forms.CharField:
    return _text(label, help_text, inputmode="decimal", autocomplete="off")


def _choice(label: str, choices: list[tuple[str, str]], help_text: str = "") -> forms.ChoiceField:
    return forms.ChoiceField(label=label, choices=choices, help_text=help_text)


def _tick(label: str, help_text: str = "") -> forms.BooleanField:
    return forms.BooleanField(label=label, help_text=help_text)


class TitleForm(PartForm):
    title = _text("Title", "What you will look for it by.", maxlength="60")
    notes = _text("Notes", long=True)
    extras = _text("Also pack", "Kinds of gear besides the lights, one a line: meter, grey card.", long=True)


class CameraForm(PartForm):
    aperture = _text("Aperture", "As engraved: f/5.6")
    shutter = _text("Shutter", "As engraved: 1/200 or 2s")
    iso = _text("ISO", inputmode="numeric")
    series = _choice(
        "Engraved in steps of", SERIES, "f/13 and 1/20 mean different exposures in half and third stops."
    )
    distance_m = _number("Camera to mark (m)")
    height_m = _number("Lens height (m)")
    focal_length_mm = _number("Focal length (mm)")
    nd_stops = _number("Neutral density (stops)", "Dims ambient and flash alike.")
    high_speed_sync = _tick("High-speed sync", "Flash then acts like ambient light, with a loss of its own.")


class ZoneForm(PartForm):
    was = forms.CharField(required=False, widget=forms.HiddenInput)
    name = _text("Name", "lit cheek, window, backdrop", maxlength="60")
    reading = _choice(
        "Read by",
        [("incident", "Incident meter"), ("luminance", "Spot meter")],
        "At the subject, or from the camera.",
    )
    target__placement_stops = _number("Target (stops)", "0 is what the meter would give.")
    target__tolerance_stops = _number("Tolerance (± stops)")
    bearing_deg = _number("Bearing (°)", "Clockwise from above, from the mark-to-camera line.")
    distance_m = _number("Distance (m)", "From the mark; 0 is at it.")
    height_m = _number("Height (m)")
    facing_deg = _number("Faces bearing (°)")
    facing_up_deg = _number("Looks up by (°)")
    reflectance = _number("Reflectance", "0 to 1; 0.18 is mid grey.")
    stays_dark = _tick("Stays dark", "A silhouette or a black ground: darker is never wrong.")
    glows = _tick("Has its own light", "A window or a screen: the lamps do not change it.")


class ReadingForm(PartForm):
    aliases = {"ev100": "value", "lux": "value", "cd_m2": "value", "triple": "form", "": "form"}

    zone = forms.CharField(required=False, widget=forms.HiddenInput)
    form = _choice(
        "Reading",
        [
            ("", "No reading"),
            ("ev100", "EV at ISO 100"),
            ("lux", "lux (incident)"),
            ("cd_m2", "cd/m² (spot)"),
            ("triple", "An exposure"),
        ],
    )
    value = _number("EV, lux or cd/m²")
    triple__aperture = _text("Aperture", "f/4")
    triple__shutter = _text("Shutter", "1/60")
    triple__iso = _text("ISO", "400", inputmode="numeric")
    triple__series = _choice("In steps of", SERIES)
    at = _text("Time of day", "HH:MM, when daylight has a part in it.")
    cct_k = _number("Colour temperature (K)", "When you know it.")
    spread_stops = _number("Spread (stops)", "One standard deviation of the reading.")


class LightForm(PartForm):
    name = _text("Name", maxlength="60")
    role = _choice(
        "Role", [(role, role.capitalize()) for role in ("key", "fill", "rim", "background", "practical")]
    )
    source = _choice("Source", [("strobe", "Strobe (flash)"), ("continuous", "Continuous")])
    heads = _number("Heads")
    bearing_deg = _number("Bearing (°)", "90 is the left of the picture, 180 behind the mark.")
    distance_m = _number("Distance (m)", "From the mark.")
    height_m = _number("Height (m)")
    on_boom = _tick("On a boom")
    aim = _choice("Aimed at", [("", "The mark")], "The mark is at head height.")
    modifier__shape = _choice("Face", [("rectangle", "Rectangle"), ("disc", "Disc")])
    modifier__width_m = _number("Width or diameter (m)", "Empty for a bare head.")
    modifier__height_m = _number("Height (m)", "Of a rectangle; empty for a square.")
    modifier__grid = _tick("With grid")
    bounce__surface = _choice(
        "Surface",
        [("white", "White board"), ("silver", "Silver board"), ("wall", "Wall"), ("ceiling", "Ceiling")],
    )
    bounce__bearing_deg = _number("Bearing (°)", "Empty when the light is not bounced.")
    bounce__distance_m = _number("Distance (m)", "From the mark.")
    bounce__height_m = _number("Centre height (m)")
    bounce__width_m = _number("Board width (m)")
    bounce__height_of_board_m = _number("Board height (m)")
    bounce__reflectance = _number("Reflectance", "0 to 1; empty for what is usual for the surface.")
    bounce__turn_deg = _number("Turned to bearing (°)", "Empty: half-way between lamp and aim.")
    bounce__tilt_up_deg = _number("Tilted up by (°)")
    scrim_transmittance = _number("Scrim transmittance", "0 to 1; empty without a scrim.")
    setting_stops = _number("Fixed setting (stops)", "0 is full, −1 half. Empty: the calculation finds it.")


class PanelForm(PartForm):
    name = _text("Name", "Fill board, window scrim, flag on the ground", maxlength="60")
    kind = _choice("Kind", [("board", "Board"), ("flag", "Flag"), ("scrim", "Scrim")])
    bearing_deg = _number("Bearing (°)", "90 is the left of the picture, 180 behind the mark.")
    distance_m = _number("Distance (m)", "From the mark to its middle.")
    height_m = _number("Height of its middle (m)")
    width_m = _number("Width (m)")
    height_of_panel_m = _number("Height (m)")
    turn_deg = _number("Turned to bearing (°)", "Empty: to the mark.")
    tilt_up_deg = _number("Tilted up by (°)", "−90 looks straight down.")
    surface = _choice(
        "Surface of a board",
        [("white", "White"), ("silver", "Silver"), ("black", "Black")],
        "A flag is black.",
    )
    reflectance = _number("Reflectance", "0 to 1; empty for what is usual for the surface.")
    transmittance = _number("Transmittance of a scrim", "0 to 1; empty for a board or a flag.")
    direct_share = _number(
        "Goes straight through", "Of what a scrim lets through, 0 to 1; 0 for thick cloth."
    )


class LiftForm(PartForm):
    aliases = {"lift_stops": "value", "alone_stops": "value", "": "value"}

    zone = _choice("Zone", [("", "Choose a zone")])
    form = _choice("How", [("lift_stops", "Above the ambient"), ("alone_stops", "With all else dark")])
    value = _number("Stops")


class GelForm(PartForm):
    mired_shift = _number("Mired shift", "+ warms, − cools.")
    transmittance = _number("Transmittance", "0 to 1.")


class SubjectForm(PartForm):
    height_m = _number("Height (m)")
    depth_m = _number("Depth that must be sharp (m)")
    movement_m_per_s = _number("Fastest movement (m/s)", "0 when nobody moves.")
    movement_angle_deg = _number("Its angle to the lens axis (°)", "90 is across the picture.")
    allowed_blur_mm = _number("Blur allowed on the sensor (mm)")
    frame_height_m = _number("Height of the picture at the subject (m)", "Empty when it does not matter.")


class SessionForm(PartForm):
    frames = _number("Frames")
    pace_s = _number("Time between frames (s)")
    burst_frames = _number("Frames in a burst", "1 without bursts.")
    burst_rate_hz = _number("Rate of a burst (per second)")


class NoteForm(forms.Form):
    note = forms.CharField(label="What changed, and why", max_length=300, required=False)


class CopyForm(forms.Form):
    title = forms.CharField(label="Title of the copy", max_length=60)


class OwnerForm(forms.Form):
    owner = forms.ModelChoiceField(label="Hand over to", queryset=None)

    def __init__(self, *args: Any, people: QuerySet[Any], **more: Any) -> None:
        super().__init__(*args, **more)
        cast(forms.ModelChoiceField, self.fields["owner"]).queryset = people


class SearchForm(forms.Form):
    search = forms.CharField(label="Search", required=False, max_length=200, widget=forms.SearchInput)
    whose = forms.ChoiceField(label="Whose", choices=[("", "Everybody's"), ("mine", "Mine")], required=False)
    state = forms.ChoiceField(
        label="State", choices=[("", "In use"), ("archived", "Archived")], required=False
    )


class ImportForm(forms.Form):
    """A document as a file or as text; a file that is wrong comes back as text, to be mended."""

    file = forms.FileField(label="File", required=False, help_text="A recipe exported before, as JSON.")
    text = forms.CharField(
        label="Or the document as text",
        required=False,
        widget=forms.Textarea(attrs={"rows": 18, "data-code": "", "spellcheck": "false"}),
    )
    note = forms.CharField(label="Note", max_length=300, required=False)

    def document(self) -> tuple[str | bytes, str]:
        """What is to be read, and the note. The file goes before the text."""
        sent = self.files.get("file")
        text: str | bytes = self.data.get("text", "")
        return (sent.read(MOST_CHARACTERS + 1) if sent else text), self.data.get("note", "")

    def again(self) -> ImportForm:
        """The same form with everything typed, the file's content as text."""
        sent = self.files.get("file")
        text = self.data.get("text", "")
        if sent:
            sent.seek(0)
            text = sent.read(MOST_CHARACTERS).decode("utf-8", "replace")
        return ImportForm(initial={"text": text, "note": self.data.get("note", "")})


def _flat(typed: Typed, before: str = "") -> dict[str, Any]:
    flat: dict[str, Any] = {}
    for key, value in typed.items():
        if isinstance(value, dict):
            flat.update(_flat(value, f"{before}{key}__"))
        elif not isinstance(value, list):
            flat[f"{before}{key}"] = value
    return flat


def _offer(field: forms.ChoiceField, value: str) -> None:
    """A choice that was typed elsewhere and is not on offer stays visible, so that it can be mended."""
    choices = [*field.choices]
    if value not in {key for key, _ in choices}:
        field.choices = [*choices, (value, f"{value} (not one of these)")]


def _clean(text: str) -> str:
    return text.replace("\r\n", "\n").replace("\x00", "\ufffd").strip()


def _said(problem: Problem) -> str:
    return f"{problem.field}: {problem.expected}" if problem.field else problem.expected
