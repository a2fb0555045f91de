"""What does one posted step change in what was typed so far?"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from copy import deepcopy
from dataclasses import dataclass
from typing import Any

from recipes.records.forms import (
    CameraForm,
    GelForm,
    LiftForm,
    LightForm,
    PanelForm,
    ReadingForm,
    SessionForm,
    SubjectForm,
    TitleForm,
    ZoneForm,
    read_part,
)
from recipes.records.typed import (
    Typed,
    blank_gel,
    blank_lift,
    blank_light,
    blank_panel,
    blank_zone,
    is_blank,
)

__all__ = ["STEPS", "Step", "after", "before", "row_changed", "step_of", "step_of_problem", "take_in"]

MOST = {"zones": 40, "ambient": 80, "lights": 24, "panels": 24, "gels": 12, "lifts": 40}


@dataclass(frozen=True)
class Step:
    """One page of the form, and which parts of the document stand on it."""

    slug: str
    title: str
    parts: tuple[str, ...]


STEPS = (
    Step("camera", "Title and camera", ("title", "notes", "extras", "camera")),
    Step("zones", "Zones and targets", ("zones",)),
    Step("ambient", "Ambient readings", ("ambient",)),
    Step("lights", "Lights", ("lights",)),
    Step("panels", "Boards, flags and scrims", ("panels",)),
    Step("subject", "Subject and session", ("subject", "session")),
    Step("save", "Look it over and save", ()),
)


def step_of(slug: str) -> Step | None:
    return next((step for step in STEPS if step.slug == slug), None)


def after(step: Step) -> Step:
    """The step that follows; the last follows itself."""
    return STEPS[min(STEPS.index(step) + 1, len(STEPS) - 1)]


def before(step: Step) -> Step:
    return STEPS[max(STEPS.index(step) - 1, 0)]


def step_of_problem(field: str) -> Step:
    """On which step a problem's field stands."""
    part = field.split(".")[0]
    return next((step for step in STEPS if part in step.parts), STEPS[0])


def take_in(step: Step, post: Mapping[str, Any], typed: Typed) -> Typed:
    """What was typed so far with this step's fields as posted; the rest stays."""
    readers: dict[str, Callable[[Mapping[str, Any], Typed], None]] = {
        "camera": _take_camera,
        "zones": _take_zones,
        "ambient": _take_ambient,
        "lights": _take_lights,
        "panels": _take_panels,
        "subject": _take_subject,
    }
    typed = deepcopy(typed)
    if step.slug in readers:
        readers[step.slug](post, typed)
    return typed


def row_changed(do: str, typed: Typed) -> tuple[Typed, str]:
    """A row added, copied or removed: ``add-zone``, ``remove-light-1``, ``add-lift-0``, ``remove-gel-0-2``.

    Returns what is typed then, and the anchor of the row to look at. An order that names no row changes nothing.
    """
    typed = deepcopy(typed)
    verb, _, rest = do.partition("-")
    kind, *numbers = rest.split("-")
    places = [int(number) for number in numbers if number.isascii() and number.isdigit()]
    try:
        match verb, kind, places:
            case "add", "zone", []:
                return typed, _add(typed["zones"], "zones", blank_zone())
            case "remove", "zone", [place]:
                _remove_zone(typed, place)
                return typed, "zones"
            case "add", "light", []:
                return typed, _add(typed["lights"], "lights", blank_light())
            case "copy", "light", [place]:
                light = deepcopy(typed["lights"][place])
                return typed, _add(typed["lights"], "lights", {**light, "name": f"{light['name']} 2"})
            case "remove", "light", [place]:
                del typed["lights"][place]
                return typed, "lights"
            case "add", "panel", []:
                panels = typed.setdefault("panels", [])
                return typed, _add(panels, "panels", blank_panel())
            case "remove", "panel", [place]:
                del typed.get("panels", [])[place]
                return typed, "panels"
            case "add", ("gel" | "lift"), [light]:
                blank = blank_gel() if kind == "gel" else blank_lift()
                anchor = _add(typed["lights"][light][f"{kind}s"], f"{kind}s", blank)
                return typed, f"lights-{light}-{anchor}"
            case "remove", ("gel" | "lift"), [light, place]:
                del typed["lights"][light][f"{kind}s"][place]
                return typed, f"lights-{light}"
    except IndexError:
        pass
    return typed, ""


def _take_camera(post: Mapping[str, Any], typed: Typed) -> None:
    typed.update(read_part(TitleForm, post, "about"))
    typed["camera"] = read_part(CameraForm, post, "camera")


def _take_zones(post: Mapping[str, Any], typed: Typed) -> None:
    zones = _rows(ZoneForm, post, "zones", "zones")
    renamed = {zone["was"]: zone["name"] for zone in zones if zone["was"] and zone["name"]}
    typed["zones"] = [{key: value for key, value in zone.items() if key != "was"} for zone in zones]
    for reading in typed["ambient"]:
        reading["zone"] = renamed.get(reading["zone"], reading["zone"])
    for light in typed["lights"]:
        light["aim"] = renamed.get(light["aim"], light["aim"])
        for lift in light["lifts"]:
            lift["zone"] = renamed.get(lift["zone"], lift["zone"])


def _take_ambient(post: Mapping[str, Any], typed: Typed) -> None:
    typed["ambient"] = [row for row in _rows(ReadingForm, post, "ambient", "ambient") if not _no_reading(row)]


def _take_lights(post: Mapping[str, Any], typed: Typed) -> None:
    lights = _rows(LightForm, post, "lights", "lights")
    for index, light in enumerate(lights):
        light["gels"] = _rows(GelForm, post, f"lights-{index}-gels", "gels")
        light["lifts"] = _rows(LiftForm, post, f"lights-{index}-lifts", "lifts")
        if not str(post.get("do", "")).startswith(("add-", "remove-")):
            light["gels"] = [gel for gel in light["gels"] if not is_blank(gel)]
            light["lifts"] = [lift for lift in light["lifts"] if not is_blank(lift, besides=("form",))]
    typed["lights"] = lights


def _take_panels(post: Mapping[str, Any], typed: Typed) -> None:
    typed["panels"] = _rows(PanelForm, post, "panels", "panels")


def _take_subject(post: Mapping[str, Any], typed: Typed) -> None:
    typed["subject"] = read_part(SubjectForm, post, "subject")
    typed["session"] = read_part(SessionForm, post, "session")


def _rows(form: type, post: Mapping[str, Any], prefix: str, kind: str) -> list[Typed]:
    count = str(post.get(f"{prefix}-count", "0"))
    many = int(count) if count.isascii() and count.isdigit() and len(count) < 4 else 0
    return [read_part(form, post, f"{prefix}-{index}") for index in range(min(many, MOST[kind]))]


def _no_reading(row: Typed) -> bool:
    triple = {key: value for key, value in row["triple"].items() if key != "series"}
    return is_blank(row, besides=("zone", "triple", "spread_stops")) and is_blank(triple)


def _add(rows: list[Typed], kind: str, blank: Typed) -> str:
    if len(rows) < MOST[kind]:
        rows.append(blank)
    return f"{kind}-{len(rows) - 1}"


def _remove_zone(typed: Typed, place: int) -> None:
    """With it goes its reading; a light that was for it keeps its name, and says so."""
    gone = typed["zones"].pop(place)["name"]
    if gone not in {zone["name"] for zone in typed["zones"]}:
        typed["ambient"] = [reading for reading in typed["ambient"] if reading["zone"] != gone]
