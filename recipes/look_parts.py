"""What are the parts of a recipe document, and what may each field hold?

Typed, frozen, strict about names and kinds: a misspelt field or a number in quotes is an error, not a lost wish. The
whole document is `recipes.look.Look`; import the parts from there too.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Any, Literal

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    ValidationInfo,
    WithJsonSchema,
    field_validator,
    model_validator,
)

from recipes.light import series
from recipes.look_problems import NAME_PATTERN, TEXT_PATTERN, TIME_PATTERN, Problem, refuse

__all__ = [
    "READING_FORMS",
    "AmbientReading",
    "Bounce",
    "CameraPlan",
    "Gel",
    "Lift",
    "Light",
    "ModifierPlan",
    "Name",
    "Part",
    "Session",
    "Subject",
    "Target",
    "Text",
    "Triple",
    "Zone",
]

Name = Annotated[str, Field(min_length=1, max_length=60, pattern=NAME_PATTERN)]
Text = Annotated[str, Field(max_length=4000, pattern=TEXT_PATTERN)]
Engraving = Annotated[str, Field(min_length=1, max_length=20)]
Bearing = Annotated[float, Field(ge=-360, le=360)]
Distance = Annotated[float, Field(ge=0, le=100)]
Height = Annotated[float, Field(ge=0, le=30)]
Size = Annotated[float, Field(gt=0, le=30)]
Stops = Annotated[float, Field(ge=-20, le=20)]
Series = Literal["full", "half", "third"]


def _number_as_text(value: Any) -> Any:
    return str(value) if type(value) is int and abs(value) < 10**9 else value


def _time_as_written(engraved: str) -> str:
    return engraved if "/" in engraved else f"{engraved}s"


_ENGRAVINGS: dict[str, tuple[Callable[[str, Series], series.Mark], Callable[[str], str]]] = {
    "aperture": (series.parse_aperture, "f/{}".format),
    "shutter": (series.parse_shutter, _time_as_written),
    "iso": (series.parse_iso, str),
}

Iso = Annotated[
    Engraving,
    BeforeValidator(_number_as_text),
    WithJsonSchema({"anyOf": [{"type": "string", "minLength": 1, "maxLength": 20}, {"type": "integer"}]}),
]


class Part(BaseModel):
    """Frozen and strict; lists come as JSON arrays and are kept as tuples (hence ``strict=False`` on those)."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, allow_inf_nan=False)


class Triple(Part):
    """An exposure as engraved: aperture, shutter time, ISO, and the series the engravings belong to."""

    aperture: Annotated[Engraving, Field(examples=["f/5.6"], description="an f-number, e.g. f/5.6")]
    shutter: Annotated[Engraving, Field(examples=["1/200"], description="a time, e.g. 1/200 or 2s")]
    iso: Annotated[Iso, Field(examples=["100"], description="a speed, e.g. 100")]
    series: Annotated[Series, Field(validate_default=True)] = "third"

    @field_validator("series")
    @classmethod
    def _knows_the_engravings(cls, value: Series, info: ValidationInfo) -> Series:
        # On the last of the four fields, so that an engraving is told together with whatever else is wrong.
        problems = []
        for field, (read, _) in _ENGRAVINGS.items():
            if field in info.data:
                try:
                    read(info.data[field], value)
                except ValueError as error:
                    problems.append(Problem(field, str(error)))
        refuse(problems, beside=True)
        return value

    @model_validator(mode="after")
    def _write_each_mark_one_way(self) -> Triple:
        # Two documents that mean the same then say the same.
        for field, (read, written) in _ENGRAVINGS.items():
            mark = read(getattr(self, field), self.series)
            object.__setattr__(self, field, written(mark.engraved))
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


READING_FORMS = ("ev100", "lux", "cd_m2", "triple")
"""The forms an ambient reading may come in; exactly one is given."""


class AmbientReading(Part):
    """What the meter says at a zone with every lamp of the recipe off: exactly one form.

    ``ev100`` is EV at ISO 100; ``lux`` for incident zones, on a flat receptor; ``cd_m2`` for luminance zones;
    ``triple`` an exposure that would place the zone at 0. EV and exposure are read with the receptor, flat or
    dome, of the meter that the shoot will use. ``spread_stops`` is one standard deviation of the reading.
    """

    zone: Name
    ev100: Annotated[float, Field(ge=-10, le=25)] | None = None
    lux: Annotated[float, Field(ge=0, le=1e6)] | None = None
    cd_m2: Annotated[float, Field(ge=0, le=1e9)] | None = None
    triple: Triple | None = None
    at: Annotated[str, Field(pattern=TIME_PATTERN)] | None = Field(
        default=None, description="local time of the reading, HH:MM, when daylight has a part in it"
    )
    cct_k: Annotated[float, Field(ge=1000, le=40000)] | None = None
    spread_stops: Annotated[float, Field(ge=0, le=3)] = 0.15

    @model_validator(mode="after")
    def _one_form(self) -> AmbientReading:
        given = [form for form in READING_FORMS if getattr(self, form) is not None]
        if len(given) != 1:
            refuse(
                [
                    Problem(
                        given[1] if given else "",
                        f"give the reading in exactly one form: {', '.join(READING_FORMS)} "
                        f"({' and '.join(given) if given else 'none'} given)",
                    )
                ]
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
            given = "none" if self.lift_stops is None else "both"
            refuse([Problem("", f"give exactly one of lift_stops and alone_stops ({given} given)")])
        return self


class ModifierPlan(Part):
    """The emitting face a light should have; an assigned unit may differ, and the checks say by how much.

    A disc has one size, its diameter ``width_m``. A rectangle without ``height_m`` is a square.
    """

    shape: Literal["disc", "rectangle"] = "rectangle"
    width_m: Size
    height_m: Size | None = None
    grid: bool = False

    @model_validator(mode="after")
    def _one_size_of_a_disc(self) -> ModifierPlan:
        if self.shape == "disc" and self.height_m is not None and self.height_m != self.width_m:
            refuse([Problem("height_m", "a disc has one size, its diameter width_m; leave height_m out")])
        return self


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
    gels: Annotated[tuple[Gel, ...], Field(max_length=12, strict=False)] = ()
    lifts: Annotated[tuple[Lift, ...], Field(max_length=40, strict=False)] = ()
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
