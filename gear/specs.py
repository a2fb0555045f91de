"""Typed spec sheets: what the maker, a meter or a scale says about a gear type.

Every sheet is a frozen pydantic model, told apart by ``kind``. Field names carry their unit. A figure may
name where it comes from in ``sources`` (keyed by field name); a figure that is only estimated must not
look like one that was measured, so `SpecSheet.source_of` always answers, with ``unstated`` as the last word.

Settings of a strobe are counted in stops from full power: 0 is full, -1 is half, -6 is 1/64.
"""

from __future__ import annotations

import math
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, TypeAdapter, model_validator

__all__ = [
    "KINDS",
    "SPEC_ADAPTER",
    "AdapterSpec",
    "BatterySpec",
    "BoardSpec",
    "BoomSpec",
    "CableSpec",
    "CameraSpec",
    "CaseSpec",
    "ChargerSpec",
    "ColourPoint",
    "ContinuousSpec",
    "DistributionSpec",
    "DurationPoint",
    "FigureSource",
    "GelSpec",
    "GeneratorSpec",
    "LensSpec",
    "MeterSpec",
    "ModifierSpec",
    "NdSpec",
    "OutputPoint",
    "ReceiverSpec",
    "RecyclePoint",
    "ScrimSpec",
    "SpecSheet",
    "StandSpec",
    "StrobeSpec",
    "ThermalLimit",
    "TriggerSpec",
    "WeightSpec",
    "kind_label",
    "parse_spec",
]

Positive = Annotated[float, Field(gt=0, allow_inf_nan=False)]
NotNegative = Annotated[float, Field(ge=0, allow_inf_nan=False)]
Fraction = Annotated[float, Field(ge=0, le=1, allow_inf_nan=False)]
SettingStops = Annotated[float, Field(ge=-14, le=0, allow_inf_nan=False)]
MeterConstant = Annotated[float, Field(ge=240, le=540)]
Step = Literal["1", "1/2", "1/3", "1/10"]


class Sheet(BaseModel):
    """Frozen, and strict about names: a misspelt field is an error, not a lost figure."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


class FigureSource(Sheet):
    """Where a figure comes from, and how far it may be off.

    ``spread_stops`` is one standard deviation in stops, for figures of light; None where it does not apply.
    """

    basis: Literal["measured", "maker", "computed", "estimated", "unstated"] = "unstated"
    note: str = ""
    on: str = Field(default="", pattern=r"^(\d{4}-\d{2}-\d{2})?$", description="date, YYYY-MM-DD")
    spread_stops: NotNegative | None = None


class SpecSheet(Sheet):
    """What every gear type may state.

    ``sources`` maps a field name of this sheet to the `FigureSource` of its figure; the key ``*`` stands for
    every figure without an entry of its own.
    """

    schema_version: Literal[1] = 1
    mass_kg: NotNegative | None = None
    companions: tuple[str, ...] = Field(
        default=(),
        description="kinds of gear this cannot work without, beyond what its other figures imply",
    )
    sources: dict[str, FigureSource] = Field(default_factory=dict)

    @model_validator(mode="after")
    def _sources_name_fields(self) -> SpecSheet:
        unknown = sorted(set(self.sources) - set(type(self).model_fields) - {"*"})
        if unknown:
            raise ValueError(
                f"sources names {', '.join(unknown)}, which this sheet does not have; "
                f"use a field name of the sheet, or * for all figures"
            )
        return self

    def source_of(self, field: str) -> FigureSource:
        """The stated source of one figure, else the sheet's general one, else ``unstated``."""
        return self.sources.get(field) or self.sources.get("*") or FigureSource()


class OutputPoint(Sheet):
    """What a strobe gives at one setting: a meter reading at a distance, at ISO 100.

    ``f_number_iso100`` times ``distance_m`` is the guide number in metres. ``modifier`` names what was on
    the head when it was read (the slug of a modifier's gear type, or ``bare``).
    """

    setting_stops: SettingStops = 0
    f_number_iso100: Positive
    distance_m: Positive = 1.0
    modifier: str = "bare"
    c_incident: MeterConstant | None = Field(
        default=None, description="constant of the meter it was read with; None: of the meter of the shoot"
    )
    receptor: Literal["flat", "dome"] | None = Field(
        default=None, description="what it was read with; None: by that constant"
    )


class DurationPoint(Sheet):
    """Flash duration at one setting. ISO 2827: t0.5 above half of the peak, t0.1 above a tenth of it."""

    setting_stops: SettingStops
    t01_s: Positive | None = None
    t05_s: Positive | None = None

    @model_validator(mode="after")
    def _at_least_one(self) -> DurationPoint:
        if self.t01_s is None and self.t05_s is None:
            raise ValueError("a duration needs t01_s or t05_s")
        if self.t01_s is not None and self.t05_s is not None and self.t01_s < self.t05_s:
            raise ValueError("t01_s cannot be shorter than t05_s: the tenth outlasts the half")
        return self


class RecyclePoint(Sheet):
    """Time to the ready lamp, and to full charge: two different things."""

    setting_stops: SettingStops
    ready_s: NotNegative
    full_s: NotNegative | None = None


class ColourPoint(Sheet):
    """Colour at one setting: correlated colour temperature and distance from the Planckian locus."""

    setting_stops: SettingStops = 0
    cct_k: Annotated[float, Field(ge=1000, le=40000)]
    duv: Annotated[float, Field(ge=-0.05, le=0.05)] = 0.0


class ThermalLimit(Sheet):
    """At most ``flashes`` at full power in ``minutes`` before the head slows down or stops."""

    flashes: Annotated[int, Field(gt=0)]
    minutes: Positive


class MainsDraw(Sheet):
    """What a thing takes from the socket: peak while it charges, and while it stands ready."""

    peak_va: Positive = Field(description="with its modelling lamp on, if it has one")
    idle_va: NotNegative = Field(default=0.0, description="without its modelling lamp")
    power_factor: Annotated[float, Field(gt=0, le=1)] = 1.0
    inrush_a: Positive | None = None


class StrobeSpec(SpecSheet):
    """A flash head with its own generator."""

    kind: Literal["strobe"] = "strobe"
    energy_ws: Positive
    lowest_setting_stops: SettingStops = -6.0
    step: Step = "1/10"
    output: tuple[OutputPoint, ...] = ()
    efficacy_lm_per_w: Positive | None = Field(
        default=None, description="only if nobody has metered it: lumen-seconds per watt-second"
    )
    durations: tuple[DurationPoint, ...] = ()
    flash_is_cut: bool = Field(
        default=False, description="below full power a switch (IGBT) ends the flash; else it burns out"
    )
    recycle: tuple[RecyclePoint, ...] = ()
    colour: tuple[ColourPoint, ...] = ()
    thermal: tuple[ThermalLimit, ...] = ()
    supply: Literal["mains", "battery"]
    mains: MainsDraw | None = None
    battery_fit: str | None = Field(default=None, description="what a battery must fit, e.g. 'rail-48'")
    charge_efficiency: Annotated[float, Field(gt=0, le=1)] = 0.75
    modelling_lamp_w: NotNegative = 0.0
    modelling_lamp_lm: NotNegative | None = None
    mount: str = Field(description="modifier mount, e.g. 'bayonet-four'")
    spigot: str = "16 mm"
    radio: tuple[str, ...] = Field(default=(), description="radio systems its built-in receiver speaks")
    sync_socket: bool = True
    high_speed_sync: bool = False
    high_speed_sync_loss_stops: NotNegative | None = None
    beam_angle_deg: Annotated[float, Field(gt=0, le=360)] = 360.0
    trigger_delay_s: NotNegative = 0.0

    @model_validator(mode="after")
    def _supplied(self) -> StrobeSpec:
        if self.supply == "mains" and self.mains is None:
            raise ValueError("a mains strobe needs mains: its peak_va at the socket")
        if self.supply == "battery" and not self.battery_fit:
            raise ValueError("a battery strobe needs battery_fit: what its battery must fit")
        for name in ("output", "durations", "recycle", "colour"):
            points = [p.setting_stops for p in getattr(self, name)]
            # A head may be metered bare and with each modifier.
            alike = [(p.setting_stops, getattr(p, "modifier", "")) for p in getattr(self, name)]
            if len(alike) != len(set(alike)):
                raise ValueError(f"{name} has two points at the same setting_stops")
            below = [p for p in points if p < self.lowest_setting_stops - 1e-9]
            if below:
                raise ValueError(
                    f"{name} has a point at {below[0]:g} stops, below lowest_setting_stops "
                    f"{self.lowest_setting_stops:g}"
                )
        return self


class ContinuousSpec(SpecSheet):
    """A light that burns: LED panel, LED head, halogen."""

    kind: Literal["continuous"] = "continuous"
    flux_lm: Positive
    power_w: Positive
    lowest_setting_stops: SettingStops = -5.0
    step: Step = "1/10"
    cct_min_k: Annotated[float, Field(ge=1000, le=40000)] = 5600
    cct_max_k: Annotated[float, Field(ge=1000, le=40000)] = 5600
    duv: Annotated[float, Field(ge=-0.05, le=0.05)] = 0.0
    supply: Literal["mains", "battery"] = "mains"
    mains: MainsDraw | None = None
    battery_fit: str | None = None
    mount: str
    spigot: str = "16 mm"
    beam_angle_deg: Annotated[float, Field(gt=0, le=360)] = 120.0
    face_width_m: Positive | None = None
    face_height_m: Positive | None = None
    flicker: Literal["none", "mains", "pwm"] = "none"
    flicker_hz: Positive | None = None
    flicker_modulation: Fraction = 0.0
    pwm_duty: Annotated[float, Field(gt=0, le=1)] = 1.0

    @model_validator(mode="after")
    def _complete(self) -> ContinuousSpec:
        if self.cct_min_k > self.cct_max_k:
            raise ValueError("cct_min_k is above cct_max_k")
        if self.flicker == "pwm" and self.flicker_hz is None:
            raise ValueError("a pwm light needs flicker_hz")
        if self.supply == "mains" and self.mains is None:
            raise ValueError("a mains light needs mains: its peak_va at the socket")
        if self.supply == "battery" and not self.battery_fit:
            raise ValueError("a battery light needs battery_fit: what its battery must fit")
        return self


class ModifierSpec(SpecSheet):
    """What goes on a head: softbox, beauty dish, reflector, umbrella, strip, grid included or not."""

    kind: Literal["modifier"] = "modifier"
    shape: Literal["disc", "rectangle", "polygon"] = Field(
        description="polygon: with equal sides, as an octagon"
    )
    width_m: Positive = Field(
        description="width, the diameter of a disc, or twice from the middle of a polygon to its sides"
    )
    height_m: Positive | None = Field(
        default=None, description="of a rectangle; None for a disc or a polygon"
    )
    corners: Annotated[int, Field(ge=5, le=24)] | None = Field(
        default=None, description="of a polygon: 8 for an octagon; None for a disc or a rectangle"
    )
    efficiency: Annotated[float, Field(gt=0, le=1)] = Field(
        description="share of the head's flux that leaves the face"
    )
    beam_angle_deg: Annotated[float, Field(gt=0, le=180)] | None = Field(
        default=None, description="full angle at half intensity; None for a face that spreads evenly"
    )
    mount: str
    heads: Annotated[int, Field(ge=1, le=8)] = 1
    max_modelling_lamp_w: Positive | None = None
    mired_shift: float = 0.0
    drag_coefficient: Positive = 1.3

    @model_validator(mode="after")
    def _sides(self) -> ModifierSpec:
        if self.shape == "rectangle" and self.height_m is None:
            raise ValueError("a rectangular modifier needs height_m")
        if (self.shape == "polygon") != (self.corners is not None):
            raise ValueError("a polygon needs corners, 8 for an octagon; a disc or a rectangle has none")
        return self

    @property
    def area_m2(self) -> float:
        """Area of the emitting face in square metres."""
        if self.corners is not None:
            return self.corners * (self.width_m / 2) ** 2 * math.tan(math.pi / self.corners)
        if self.shape == "disc" or self.height_m is None:
            return math.pi * (self.width_m / 2) ** 2
        return self.width_m * self.height_m


class BoardSpec(SpecSheet):
    """A board to bounce off or to take light away: white, silver or black."""

    kind: Literal["board"] = "board"
    width_m: Positive
    height_m: Positive
    surface: Literal["white", "silver", "black"] = "white"
    reflectance: Fraction
    back_surface: Literal["white", "silver", "black"] | None = None
    back_reflectance: Fraction | None = None
    gloss_share: Fraction | None = Field(
        default=None,
        description="of a silver side: the part of its light that leaves about the mirror's direction",
    )
    gloss_half_angle_deg: Annotated[float, Field(ge=2, le=60)] | None = Field(
        default=None, description="from the mirror's direction to half of that light's intensity"
    )
    drag_coefficient: Positive = 1.17


class ScrimSpec(SpecSheet):
    """A frame of cloth that light passes through."""

    kind: Literal["scrim"] = "scrim"
    width_m: Positive
    height_m: Positive
    transmittance: Annotated[float, Field(gt=0, le=1)]
    direct_share: Fraction = Field(
        default=0.0,
        description="of what it lets through: the part that goes straight on instead of spreading",
    )
    reflectance: Fraction | None = Field(
        default=None,
        description="what it throws back, spread; None: nobody has measured it, counted as nothing",
    )
    mired_shift: float = 0.0
    drag_coefficient: Positive = 1.17


class BatterySpec(SpecSheet):
    """``capacity_wh`` is the marked rating: the one that carriers go by."""

    kind: Literal["battery"] = "battery"
    fit: str
    capacity_wh: Positive
    voltage_v: Positive | None = None
    chemistry: Literal["lithium-ion", "lithium-iron-phosphate", "nickel-metal-hydride", "lead-acid"] = (
        "lithium-ion"
    )
    usable_fraction: Annotated[float, Field(gt=0, le=1)] = 0.9
    charge_hours: Positive | None = None


class ChargerSpec(SpecSheet):
    kind: Literal["charger"] = "charger"
    fits: tuple[str, ...]
    slots: Annotated[int, Field(ge=1, le=32)] = 1
    mains: MainsDraw | None = None


class TriggerSpec(SpecSheet):
    """A radio transmitter on the camera."""

    kind: Literal["trigger"] = "trigger"
    radio: tuple[str, ...]
    channels: Annotated[int, Field(ge=1, le=999)] = 1
    high_speed_sync: bool = False
    delay_s: NotNegative = 0.0
    battery_fit: str | None = None


class ReceiverSpec(SpecSheet):
    """A radio receiver for a head that has none built in."""

    kind: Literal["receiver"] = "receiver"
    radio: tuple[str, ...]
    delay_s: NotNegative = 0.0
    battery_fit: str | None = None


class CameraSpec(SpecSheet):
    kind: Literal["camera"] = "camera"
    sensor_width_mm: Positive
    sensor_height_mm: Positive
    pixels_wide: Annotated[int, Field(gt=0)]
    shutter: Literal["focal-plane", "leaf", "global"] = "focal-plane"
    sync_speed_s: Positive = Field(description="shortest marked time that holds the whole frame, e.g. 0.005")
    curtain_travel_s: Positive | None = Field(default=None, description="None for leaf and global shutters")
    shortest_time_s: Positive = 1 / 8000
    iso_min: Annotated[int, Field(gt=0)] = 100
    iso_max: Annotated[int, Field(gt=0)] = 25600
    iso_base: Annotated[int, Field(gt=0)] = 100
    readout_s: Positive | None = None
    step: Literal["1", "1/2", "1/3"] = "1/3"
    lens_mount: str
    battery_fit: str | None = None
    headroom_stops: Positive | None = Field(
        default=None, description="stops from the metered tone to clipping; None: by ISO 12232"
    )


class LensSpec(SpecSheet):
    kind: Literal["lens"] = "lens"
    focal_min_mm: Positive
    focal_max_mm: Positive
    widest_f_number: Positive
    narrowest_f_number: Positive = 22.0
    closest_focus_m: Positive
    mount: str
    transmittance: Annotated[float, Field(gt=0, le=1)] = Field(
        default=1.0, description="1: nobody has stated it, counted as the usual 0.9"
    )
    moves_out: bool = Field(
        default=False,
        description="focuses by moving out as a whole: it then loses light close up, by (1 + m)²",
    )
    filter_thread_mm: Positive | None = None

    @model_validator(mode="after")
    def _ordered(self) -> LensSpec:
        if self.focal_min_mm > self.focal_max_mm:
            raise ValueError("focal_min_mm is above focal_max_mm")
        if self.widest_f_number > self.narrowest_f_number:
            raise ValueError("widest_f_number is a larger number than narrowest_f_number")
        return self


class MeterSpec(SpecSheet):
    """A hand-held meter and the two constants it is made for (ISO 2720)."""

    kind: Literal["meter"] = "meter"
    c_incident: MeterConstant = 250.0
    receptor: Literal["flat", "dome"] | None = Field(
        default=None, description="what it reads falling light with; None: a dome from C 320 on, else flat"
    )
    k_reflected: Annotated[float, Field(ge=10.6, le=14.0)] = 12.5
    accuracy_stops: NotNegative = 0.1


class StandSpec(SpecSheet):
    kind: Literal["stand"] = "stand"
    min_height_m: Positive
    max_height_m: Positive
    foot_radius_m: Positive
    legs: Annotated[int, Field(ge=3, le=5)] = 3
    max_load_kg: Positive
    spigot: str = "16 mm"


class BoomSpec(SpecSheet):
    kind: Literal["boom"] = "boom"
    min_reach_m: Positive
    max_reach_m: Positive
    length_m: Positive
    max_load_kg: Positive
    counterweight_arm_m: Positive
    spigot: str = "16 mm"


class WeightSpec(SpecSheet):
    """A sandbag or a counterweight; ``mass_kg`` is its figure."""

    kind: Literal["weight"] = "weight"
    mass_kg: Positive


class GelSpec(SpecSheet):
    kind: Literal["gel"] = "gel"
    mired_shift: float
    transmittance: Annotated[float, Field(gt=0, le=1)]


class NdSpec(SpecSheet):
    kind: Literal["nd"] = "nd"
    stops: Positive
    thread_mm: Positive | None = None


class CableSpec(SpecSheet):
    kind: Literal["cable"] = "cable"
    use: Literal["mains", "sync", "data"] = "mains"
    length_m: Positive
    section_mm2: Positive | None = None
    rated_a: Positive | None = None
    connector: str = ""


class DistributionSpec(SpecSheet):
    """A box or reel that shares one supply among several sockets."""

    kind: Literal["distribution"] = "distribution"
    rated_a: Positive
    outlets: Annotated[int, Field(ge=1)]
    connector: str = ""
    breaker: Literal["B", "C", "D"] | None = None


class GeneratorSpec(SpecSheet):
    kind: Literal["generator"] = "generator"
    rated_va: Positive
    power_factor: Annotated[float, Field(gt=0, le=1)] = 0.8
    voltage_v: Positive | None = Field(
        default=None, description="of its sockets; None: that of the room's first circuit"
    )


class AdapterSpec(SpecSheet):
    kind: Literal["adapter"] = "adapter"
    head_side: str = Field(description="the mount of the head it goes on")
    modifier_side: str = Field(description="the mount of the modifier it takes")


class CaseSpec(SpecSheet):
    """A box that units travel in; ``mass_kg`` is empty."""

    kind: Literal["case"] = "case"
    max_load_kg: Positive | None = None
    outside_length_m: Positive | None = None
    outside_width_m: Positive | None = None
    outside_height_m: Positive | None = None
    wheels: bool = False


AnySpec = Annotated[
    StrobeSpec
    | ContinuousSpec
    | ModifierSpec
    | BoardSpec
    | ScrimSpec
    | BatterySpec
    | ChargerSpec
    | TriggerSpec
    | ReceiverSpec
    | CameraSpec
    | LensSpec
    | MeterSpec
    | StandSpec
    | BoomSpec
    | WeightSpec
    | GelSpec
    | NdSpec
    | CableSpec
    | DistributionSpec
    | GeneratorSpec
    | AdapterSpec
    | CaseSpec,
    Field(discriminator="kind"),
]

SPEC_ADAPTER: TypeAdapter[Any] = TypeAdapter(AnySpec)

KINDS: dict[str, tuple[str, type[SpecSheet]]] = {
    "strobe": ("Strobe", StrobeSpec),
    "continuous": ("Continuous light", ContinuousSpec),
    "modifier": ("Modifier", ModifierSpec),
    "board": ("Board", BoardSpec),
    "scrim": ("Scrim", ScrimSpec),
    "battery": ("Battery", BatterySpec),
    "charger": ("Charger", ChargerSpec),
    "trigger": ("Trigger", TriggerSpec),
    "receiver": ("Receiver", ReceiverSpec),
    "camera": ("Camera body", CameraSpec),
    "lens": ("Lens", LensSpec),
    "meter": ("Meter", MeterSpec),
    "stand": ("Stand", StandSpec),
    "boom": ("Boom", BoomSpec),
    "weight": ("Weight", WeightSpec),
    "gel": ("Gel", GelSpec),
    "nd": ("Neutral density filter", NdSpec),
    "cable": ("Cable", CableSpec),
    "distribution": ("Power distribution", DistributionSpec),
    "generator": ("Generator", GeneratorSpec),
    "adapter": ("Adapter", AdapterSpec),
    "case": ("Case", CaseSpec),
}


def kind_label(kind: str) -> str:
    """The trade's word for a kind, for people to read."""
    return KINDS[kind][0]


def parse_spec(data: dict[str, Any]) -> SpecSheet:
    """A spec sheet from its stored or imported form.

    Raises `pydantic.ValidationError`, whose entries name the field and what it expects.
    """
    sheet: SpecSheet = SPEC_ADAPTER.validate_python(data)
    return sheet
