"""The recipe document: a look that can be made again, as text that people can read, edit and exchange.

A `Look` says what light falls where, not which unit makes it. Every position is given from the mark:
bearing in degrees clockwise from the mark-to-camera line seen from above, distance, and height above the
floor. Camera settings are engraved values together with their series, because f/13 or 1/20 mean different
exposures in the half-stop and third-stop series.

`look_schema` is the JSON Schema that the service publishes; `parse_look` turns an imported document into a
`Look` or raises a `LookError` whose problems name the field and what it expects.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Annotated, Any, Literal, NoReturn

from pydantic import BaseModel, ConfigDict, Field, ValidationError, model_validator

from recipes.light import series

__all__ = [
    "AmbientReading",
    "Bounce",
    "CameraPlan",
    "Gel",
    "Lift",
    "Light",
    "Look",
    "LookError",
    "ModifierPlan",
    "Problem",
    "Session",
    "Subject",
    "Target",
    "Triple",
    "Zone",
    "dump_look",
    "look_schema",
    "parse_look",
]

Name = Annotated[str, Field(min_length=1, max_length=60, pattern=r"^\S(.*\S)?$")]
Bearing = Annotated[float, Field(ge=-360, le=360, allow_inf_nan=False)]
Distance = Annotated[float, Field(ge=0, le=100, allow_inf_nan=False)]
Height = Annotated[float, Field(ge=0, le=30, allow_inf_nan=False)]
Size = Annotated[float, Field(gt=0, le=30, allow_inf_nan=False)]
Stops = Annotated[float, Field(ge=-20, le=20, allow_inf_nan=False)]
Series = Literal["full", "half", "third"]


class Part(BaseModel):
    """Frozen, and strict about names: a misspelt field is an error, not a lost wish."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class Triple(Part):
    """An exposure as engraved: aperture, shutter time, ISO, and the series the engravings belong to."""

    aperture: Annotated[str, Field(examples=["f/5.6"], description="an f-number of the series, e.g. f/5.6")]
    shutter: Annotated[str, Field(examples=["1/200"], description="a time of the series, e.g. 1/200 or 2s")]
    iso: Annotated[str, Field(examples=["100"], description="a speed of the series, e.g. 100")]
    series: Series = "third"

    @model_validator(mode="before")
    @classmethod
    def _iso_as_number(cls, data: Any) -> Any:
        if isinstance(data, dict) and isinstance(data.get("iso"), int) and not isinstance(data["iso"], bool):
            return {**data, "iso": str(data["iso"])}
        return data

    @model_validator(mode="after")
    def _engraved(self) -> Triple:
        for field, reader in (
            ("aperture", series.parse_aperture),
            ("shutter", series.parse_shutter),
            ("iso", series.parse_iso),
        ):
            try:
                reader(getattr(self, field), self.series)
            except ValueError as error:
                raise ValueError(f"{field}: {error}") from None
        return self

    @property
    def f_number(self) -> float:
        """The exact f-number behind the engraving."""
        return series.parse_aperture(self.aperture, self.series).value

    @property
    def time_s(self) -> float:
        """The exact shutter time in seconds behind the engraving."""
        return series.parse_shutter(self.shutter, self.series).value

    @property
    def iso_exact(self) -> float:
        """The exact ISO speed behind the engraving."""
        return series.parse_iso(self.iso, self.series).value


class CameraPlan(Triple):
    """Where the camera stands and how it is set. ``nd_stops`` dims ambient and flash alike."""

    distance_m: Annotated[float, Field(gt=0, le=100)] = 3.0
    height_m: Height = 1.6
    focal_length_mm: Annotated[float, Field(gt=0, le=2000)] = 85.0
    nd_stops: Annotated[float, Field(ge=0, le=20)] = 0.0
    high_speed_sync: bool = False


class Target(Part):
    """Where a zone's tone should lie: placement in stops from the metered tone, and how far off is still right."""

    placement_stops: Stops
    tolerance_stops: Annotated[float, Field(gt=0, le=5)] = 0.5


class Zone(Part):
    """A region of the picture whose tone matters.

    ``incident`` zones are read at the subject, with a meter that faces along ``facing``; ``luminance`` zones
    are read from the camera, with a spot meter (a window, a backdrop, a screen). ``height_m`` is above the
    floor. ``facing_deg`` is the bearing that the surface faces, ``facing_up_deg`` how far it looks up.
    """

    name: Name
    reading: Literal["incident", "luminance"] = "incident"
    bearing_deg: Bearing = 0.0
    distance_m: Distance = 0.0
    height_m: Height = 1.55
    facing_deg: Bearing = 0.0
    facing_up_deg: Annotated[float, Field(ge=-90, le=90)] = 0.0
    reflectance: Annotated[float, Field(ge=0, le=1)] = 0.18
    target: Target
    stays_dark: bool = Field(default=False, description="a silhouette or black ground: darker is never wrong")
    glows: bool = Field(
        default=False, description="a window or a screen: it has its own light, lamps do not change it"
    )


class AmbientReading(Part):
    """What the meter says at a zone with every lamp of the recipe off: exactly one form.

    ``ev100`` is EV at ISO 100; ``lux`` for incident zones; ``cd_m2`` for luminance zones; ``triple`` an
    exposure that would place the zone at 0. ``spread_stops`` is one standard deviation of the reading.
    """

    zone: Name
    ev100: Annotated[float, Field(ge=-10, le=25)] | None = None
    lux: Annotated[float, Field(ge=0, le=1e6)] | None = None
    cd_m2: Annotated[float, Field(ge=0, le=1e9)] | None = None
    triple: Triple | None = None
    at: Annotated[str, Field(pattern=r"^([01]\d|2[0-3]):[0-5]\d$")] | None = Field(
        default=None, description="local time of the reading, HH:MM, when daylight has a part in it"
    )
    cct_k: Annotated[float, Field(ge=1000, le=40000)] | None = None
    spread_stops: Annotated[float, Field(ge=0, le=3)] = 0.15

    @model_validator(mode="after")
    def _one_form(self) -> AmbientReading:
        given = [n for n in ("ev100", "lux", "cd_m2", "triple") if getattr(self, n) is not None]
        if len(given) != 1:
            raise ValueError(
                f"give the reading in exactly one form: ev100, lux, cd_m2 or triple "
                f"({', '.join(given) if given else 'none'} given)"
            )
        return self


class Lift(Part):
    """What a light should do for a zone: exactly one of the two.

    ``lift_stops``: how much it raises the zone above what the ambient alone gives it.
    ``alone_stops``: the placement it would give the zone with everything else dark.
    """

    zone: Name
    lift_stops: Annotated[float, Field(gt=0, le=20)] | None = None
    alone_stops: Stops | None = None

    @model_validator(mode="after")
    def _one_form(self) -> Lift:
        if (self.lift_stops is None) == (self.alone_stops is None):
            raise ValueError("give exactly one of lift_stops and alone_stops")
        return self


class ModifierPlan(Part):
    """The emitting face a light should have; an assigned unit may differ, and the checks say by how much."""

    shape: Literal["disc", "rectangle"] = "rectangle"
    width_m: Size
    height_m: Size | None = None
    grid: bool = False


class Bounce(Part):
    """A board or a wall that the light is turned to instead of the subject.

    Position and size of the board; ``turn_deg`` is the bearing its face looks to, ``tilt_up_deg`` how far it looks
    up. With ``turn_deg`` None it faces half-way between lamp and aim.
    """

    bearing_deg: Bearing
    distance_m: Distance
    height_m: Height = 1.5
    width_m: Size
    height_of_board_m: Size
    surface: Literal["white", "silver", "wall", "ceiling"] = "white"
    reflectance: Annotated[float, Field(gt=0, le=1)] | None = None
    turn_deg: Bearing | None = None
    tilt_up_deg: Annotated[float, Field(ge=-90, le=90)] = 0.0


class Gel(Part):
    """A gel on a light, by what it does."""

    mired_shift: Annotated[float, Field(ge=-400, le=400)] = 0.0
    transmittance: Annotated[float, Field(gt=0, le=1)] = 1.0


class Light(Part):
    """One source of the recipe.

    ``setting_stops`` fixes the power (0 full, -1 half); None lets the calculation find it from ``lifts``, or from
    the target of the first zone it lights. ``aim`` is a zone's name; None aims at the mark at head height.
    """

    name: Name
    role: Literal["key", "fill", "rim", "background", "practical"]
    source: Literal["strobe", "continuous"] = "strobe"
    bearing_deg: Bearing
    distance_m: Distance
    height_m: Height
    aim: Name | None = None
    modifier: ModifierPlan | None = None
    bounce: Bounce | None = None
    scrim_transmittance: Annotated[float, Field(gt=0, le=1)] | None = None
    gels: tuple[Gel, ...] = ()
    lifts: tuple[Lift, ...] = ()
    setting_stops: Annotated[float, Field(ge=-14, le=0)] | None = None
    heads: Annotated[int, Field(ge=1, le=8)] = 1
    on_boom: bool = False


class Subject(Part):
    """Who or what stands at the mark, and how it moves.

    ``movement_m_per_s`` is the fastest part that must be sharp; ``movement_angle_deg`` its direction against the lens
    axis (90 is across the picture). ``allowed_blur_mm`` is on the sensor.
    """

    height_m: Size = 1.75
    depth_m: Annotated[float, Field(ge=0, le=20)] = 0.3
    movement_m_per_s: Annotated[float, Field(ge=0, le=100)] = 0.0
    movement_angle_deg: Annotated[float, Field(ge=0, le=90)] = 90.0
    allowed_blur_mm: Annotated[float, Field(gt=0, le=5)] = 0.03
    frame_height_m: Size | None = Field(
        default=None, description="how much of the subject's height fills the picture"
    )


class Session(Part):
    """How much and how fast: frames of this recipe, pace in seconds between them, and bursts."""

    frames: Annotated[int, Field(ge=1, le=100_000)] = 60
    pace_s: Annotated[float, Field(gt=0, le=3600)] = 4.0
    burst_frames: Annotated[int, Field(ge=1, le=1000)] = 1
    burst_rate_hz: Annotated[float, Field(gt=0, le=60)] = 1.0


class Look(Part):
    """A whole recipe at one revision."""

    schema_version: Literal[1] = 1
    title: Name
    notes: Annotated[str, Field(max_length=4000)] = ""
    camera: CameraPlan
    subject: Subject = Subject()
    session: Session = Session()
    zones: Annotated[tuple[Zone, ...], Field(min_length=1, max_length=40)]
    ambient: Annotated[tuple[AmbientReading, ...], Field(max_length=80)] = ()
    lights: Annotated[tuple[Light, ...], Field(max_length=24)] = ()
    extras: tuple[Name, ...] = Field(default=(), description="kinds of gear to pack besides, e.g. meter")

    @model_validator(mode="after")
    def _names_meet(self) -> Look:
        zones = [zone.name for zone in self.zones]
        _refuse_repeats(zones, "zones")
        _refuse_repeats([light.name for light in self.lights], "lights")
        for index, reading in enumerate(self.ambient):
            zone = self._known(reading.zone, f"ambient.{index}.zone")
            if reading.lux is not None and zone.reading != "incident":
                raise ValueError(f"ambient.{index}.lux: zone {zone.name!r} is read as luminance; give cd_m2")
            if reading.cd_m2 is not None and zone.reading != "luminance":
                raise ValueError(f"ambient.{index}.cd_m2: zone {zone.name!r} is read as incident; give lux")
        _refuse_repeats([reading.zone for reading in self.ambient], "ambient")
        for index, light in enumerate(self.lights):
            if light.aim is not None:
                self._known(light.aim, f"lights.{index}.aim")
            for number, lift in enumerate(light.lifts):
                self._known(lift.zone, f"lights.{index}.lifts.{number}.zone")
        return self

    def zone(self, name: str) -> Zone:
        """The zone of that name; raises KeyError."""
        for zone in self.zones:
            if zone.name == name:
                return zone
        raise KeyError(name)

    def _known(self, name: str, where: str) -> Zone:
        try:
            return self.zone(name)
        except KeyError:
            names = ", ".join(repr(zone.name) for zone in self.zones)
            raise ValueError(f"{where}: there is no zone {name!r}; the zones are {names}") from None


def _refuse_repeats(names: list[str], where: str) -> None:
    repeated = sorted({name for name in names if names.count(name) > 1})
    if repeated:
        raise ValueError(f"{where}: {repeated[0]!r} appears twice; each needs a name of its own")


@dataclass(frozen=True)
class Problem:
    """One thing wrong with a document: where (a dotted path), and what is expected there."""

    field: str
    expected: str


class LookError(ValueError):
    """A document that is not a recipe; ``problems`` says where and why, for a person to mend."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        self.problems = problems
        super().__init__("; ".join(f"{p.field or 'document'}: {p.expected}" for p in problems))


def parse_look(document: str | bytes | dict[str, Any]) -> Look:
    """A `Look` from JSON text or from its stored form. Raises `LookError`."""
    try:
        if isinstance(document, (str, bytes)):
            return Look.model_validate(_load(document))
        return Look.model_validate(document)
    except ValidationError as error:
        raise LookError(tuple(_problem(dict(entry)) for entry in error.errors())) from None


def dump_look(look: Look) -> str:
    """The document as text: stable order, two-space indent, unset fields left out; `parse_look` gives it back."""
    stated = look.model_dump(mode="json", exclude_none=True)
    return json.dumps(stated, indent=2, ensure_ascii=False) + "\n"


def look_schema() -> dict[str, Any]:
    """The JSON Schema (2020-12) of the document."""
    schema = Look.model_json_schema()
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}


def _load(text: str | bytes) -> Any:
    try:
        return json.loads(text, parse_constant=_refuse_constant)
    except json.JSONDecodeError as error:
        raise LookError(
            (Problem("", f"not JSON: {error.msg} at line {error.lineno}, column {error.colno}"),)
        ) from None
    except (UnicodeDecodeError, RecursionError):
        raise LookError((Problem("", "not JSON text in UTF-8"),)) from None


def _refuse_constant(word: str) -> NoReturn:
    raise LookError((Problem("", f"{word} is not a number in JSON; give a finite number or leave it out"),))


def _problem(entry: dict[str, Any]) -> Problem:
    field = ".".join(str(part) for part in entry["loc"])
    message = str(entry["msg"]).removeprefix("Value error, ")
    match entry["type"]:
        case "extra_forbidden":
            message = "no such field here; check the spelling against the schema"
        case "missing":
            message = "this field is required"
        case "value_error" if not field and ": " in message:
            field, message = message.split(": ", 1)
        case _:
            got = entry.get("input")
            if isinstance(got, (str, int, float)) and entry["type"] != "value_error":
                message = f"{message} (got {got!r})"
    return Problem(field, message)
