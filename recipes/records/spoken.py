"""How does a look read in plain words: the camera in a line, zones with their brackets, lights as rows?"""

from __future__ import annotations

from dataclasses import dataclass

from recipes.look import Bounce, Light, Look, ModifierPlan, Panel, Zone
from recipes.records.tree import as_tree
from recipes.records.words import number, placement, side_of_camera, value_in_words

__all__ = ["LightRow", "Spoken", "ZoneRow", "camera_line", "speak"]

RULER_LOW, RULER_HIGH, RULER_PADDING = -5.0, 4.0, 0.4


@dataclass(frozen=True)
class ZoneRow:
    """One zone: where it is, how it is read, what it should be and what the ambient reading says.

    ``bracket_left`` and ``bracket_width`` are percent of the stops ruler from −5 to +4; ``zero`` is where 0 lies on it.
    """

    name: str
    where: str
    read: str
    target: str
    bracket: str
    bracket_left: float
    bracket_width: float
    zero: float
    stays_dark: bool
    glows: bool
    ambient: str


@dataclass(frozen=True)
class LightRow:
    """One light."""

    name: str
    role: str
    source: str
    bearing: str
    side: str
    distance: str
    height: str
    aim: str
    modifier: str
    bounce: str
    filters: str
    lifts: tuple[str, ...]
    setting: str


@dataclass(frozen=True)
class Spoken:
    """A look, ready for a page. ``panels``: the name of each board, flag and scrim, and what and where it is."""

    exposure: str
    camera: str
    zones: tuple[ZoneRow, ...]
    lights: tuple[LightRow, ...]
    panels: tuple[tuple[str, str], ...]
    subject: tuple[str, ...]
    session: tuple[str, ...]


def speak(look: Look) -> Spoken:
    """Everything a person needs to make the look again, in the order in which it is set up."""
    readings = as_tree(look)["ambient"]
    return Spoken(
        exposure_line(look),
        camera_line(look),
        tuple(_zone(zone, _reading(readings.get(zone.name))) for zone in look.zones),
        tuple(_light(light) for light in look.lights),
        tuple((panel.name, _panel(panel)) for panel in look.panels),
        tuple(_subject(look)),
        tuple(_session(look)),
    )


def exposure_line(look: Look) -> str:
    """f/5.6 · 1/200 s · ISO 100, with spaces that do not break inside each figure."""
    camera = look.camera
    return f"{camera.aperture} · {camera.shutter.removesuffix('s')}\u00a0s · ISO\u00a0{camera.iso}"


def camera_line(look: Look) -> str:
    """What stands behind the exposure: lens, place, neutral density."""
    camera = look.camera
    said = [
        f"{number(camera.focal_length_mm)} mm",
        f"{number(camera.distance_m)} m from the mark",
        f"lens {number(camera.height_m)} m high",
        f"engraved in {value_in_words(('series',), camera.series)}",
    ]
    if camera.nd_stops:
        said.append(f"neutral density {number(camera.nd_stops)} stops")
    if camera.high_speed_sync:
        said.append("high-speed sync")
    return ", ".join(said)


def _zone(zone: Zone, ambient: str) -> ZoneRow:
    target, tolerance = zone.target.placement_stops, zone.target.tolerance_stops
    low = RULER_LOW - RULER_PADDING if zone.stays_dark else target - tolerance
    left, right = _percent(low), _percent(target + tolerance)
    return ZoneRow(
        name=zone.name,
        where=_zone_place(zone),
        read=value_in_words(("reading",), zone.reading),
        target=f"{placement(target)} ±{number(tolerance)}",
        bracket=f"{placement(target + tolerance)} or darker"
        if zone.stays_dark
        else f"{placement(target - tolerance)} to {placement(target + tolerance)}",
        bracket_left=left,
        bracket_width=round(right - left, 2),
        zero=_percent(0),
        stays_dark=zone.stays_dark,
        glows=zone.glows,
        ambient=ambient,
    )


def _percent(stops: float) -> float:
    low, high = RULER_LOW - RULER_PADDING, RULER_HIGH + RULER_PADDING
    return round(100 * (min(max(stops, low), high) - low) / (high - low), 2)


def _zone_place(zone: Zone) -> str:
    height = f"{number(zone.height_m)} m high"
    facing = f", faces {number(zone.facing_deg)}°" if zone.reading == "incident" and zone.facing_deg else ""
    if zone.distance_m <= 0:
        return f"at the mark, {height}{facing}"
    side = side_of_camera(zone.bearing_deg)
    return f"{number(zone.distance_m)} m at {number(zone.bearing_deg)}° ({side}), {height}{facing}"


def _reading(part: dict[str, object] | None) -> str:
    if part is None:
        return ""
    said = [value_in_words(("value",), part["value"])]
    if "at" in part:
        said.append(f"at {part['at']}")
    if "cct_k" in part:
        said.append(value_in_words(("cct_k",), part["cct_k"]))
    return ", ".join(said)


def _light(light: Light) -> LightRow:
    return LightRow(
        name=light.name,
        role=light.role,
        source=("strobe" if light.source == "strobe" else "continuous")
        + (f", {light.heads} heads" if light.heads > 1 else ""),
        bearing=f"{number(light.bearing_deg)}°",
        side=side_of_camera(light.bearing_deg),
        distance=f"{number(light.distance_m)} m",
        height=f"{number(light.height_m)} m" + (", on a boom" if light.on_boom else ""),
        aim=light.aim or "the mark",
        modifier=_modifier(light.modifier),
        bounce=_bounce(light.bounce),
        filters=_filters(light),
        lifts=tuple(
            f"{lift.zone} {placement(lift.lift_stops)} above the ambient"
            if lift.lift_stops is not None
            else f"{lift.zone} at {placement(lift.alone_stops or 0.0)}, all else dark"
            for lift in light.lifts
        ),
        setting="" if light.setting_stops is None else f"{placement(light.setting_stops)} stops from full",
    )


def _modifier(plan: ModifierPlan | None) -> str:
    if plan is None:
        return "bare"
    if plan.shape == "disc":
        size = f"disc, {number(plan.width_m)} m across"
    else:
        size = f"{number(plan.width_m)} × {number(plan.height_m or plan.width_m)} m"
    return f"{size}, gridded" if plan.grid else size


def _bounce(bounce: Bounce | None) -> str:
    if bounce is None:
        return ""
    surface = bounce.surface if bounce.surface in ("wall", "ceiling") else f"{bounce.surface} board"
    return (
        f"{surface}, {number(bounce.width_m)} × {number(bounce.height_of_board_m)} m, {number(bounce.distance_m)} m at "
        f"{number(bounce.bearing_deg)}° ({side_of_camera(bounce.bearing_deg)}), {number(bounce.height_m)} m high"
    )


def _panel(panel: Panel) -> str:
    what = f"{panel.surface} board" if panel.kind == "board" else panel.kind
    if panel.transmittance is not None:
        what += f", lets {number(100 * panel.transmittance)} % through"
    if panel.direct_share:
        what += f", {number(100 * panel.direct_share)} % of that straight on"
    turned = "to the mark" if panel.turn_deg is None else f"to bearing {number(panel.turn_deg)}°"
    if panel.tilt_up_deg:
        turned += f", tilted up by {number(panel.tilt_up_deg)}°"
    return (
        f"{what}, {number(panel.width_m)} × {number(panel.height_of_panel_m)} m, {number(panel.distance_m)} m at "
        f"{number(panel.bearing_deg)}° ({side_of_camera(panel.bearing_deg)}), middle {number(panel.height_m)} m high, "
        f"turned {turned}"
    )


def _filters(light: Light) -> str:
    said = []
    if light.scrim_transmittance is not None:
        said.append(f"scrim, lets {number(100 * light.scrim_transmittance)} % through")
    for gel in light.gels:
        shift = f"{'+' if gel.mired_shift > 0 else ''}{number(gel.mired_shift)} mired"
        said.append(f"gel {shift}, lets {number(100 * gel.transmittance)} % through")
    return "; ".join(said)


def _subject(look: Look) -> list[str]:
    subject = look.subject
    said = [f"{number(subject.height_m)} m tall, {number(subject.depth_m)} m deep"]
    if subject.movement_m_per_s:
        said.append(
            f"moves at up to {number(subject.movement_m_per_s)} m/s, "
            f"{number(subject.movement_angle_deg)}° to the lens axis"
        )
        said.append(f"blur of {number(subject.allowed_blur_mm)} mm on the sensor is allowed")
    else:
        said.append("stands still")
    if subject.frame_height_m is not None:
        said.append(f"the picture is {number(subject.frame_height_m)} m high at the subject")
    return said


def _session(look: Look) -> list[str]:
    session = look.session
    said = [f"{session.frames} frames, one every {number(session.pace_s)} s"]
    if session.burst_frames > 1:
        said.append(f"bursts of {session.burst_frames} at {number(session.burst_rate_hz)} per second")
    return said
