"""Which forms stand on a step, filled with what was typed and with the problems beside their fields?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from recipes.look import Problem
from recipes.records.forms import (
    CameraForm,
    GelForm,
    LiftForm,
    LightForm,
    PanelForm,
    PartForm,
    ReadingForm,
    SessionForm,
    SubjectForm,
    TitleForm,
    ZoneForm,
    problems_under,
)
from recipes.records.steps import Step
from recipes.records.typed import Typed, blank_reading

__all__ = ["LightBlock", "ReadingBlock", "StepForms", "forms_of"]


@dataclass(frozen=True)
class ReadingBlock:
    """The reading at one zone; ``orphan`` when there is no such zone any more."""

    zone: str
    form: PartForm
    orphan: bool


@dataclass(frozen=True)
class LightBlock:
    """One light with its rows."""

    name: str
    form: PartForm
    gels: list[PartForm]
    lifts: list[PartForm]

    @property
    def wrong(self) -> bool:
        return any(form.errors for form in (self.form, *self.gels, *self.lifts))


@dataclass(frozen=True)
class StepForms:
    """What one step shows; the lists of other steps are empty."""

    singles: dict[str, PartForm]
    zones: list[PartForm]
    readings: list[ReadingBlock]
    lights: list[LightBlock]
    panels: list[PartForm] = field(default_factory=list)


def forms_of(step: Step, typed: Typed, problems: Sequence[Problem] = ()) -> StepForms:
    """The forms of a step. ``problems`` are those of the whole document; each finds its field."""
    makers = {
        "camera": _camera,
        "zones": _zones,
        "ambient": _ambient,
        "lights": _lights,
        "panels": _panels,
        "subject": _subject,
    }
    maker = makers.get(step.slug)
    return maker(typed, problems) if maker else StepForms({}, [], [], [])


def _camera(typed: Typed, problems: Sequence[Problem]) -> StepForms:
    about = [p for p in problems if p.field.split(".")[0] in ("title", "notes", "extras")]
    return StepForms(
        {
            "about": TitleForm({key: typed[key] for key in ("title", "notes", "extras")}, about, "about"),
            "camera": CameraForm(typed["camera"], problems_under(problems, "camera"), "camera"),
        },
        [],
        [],
        [],
    )


def _subject(typed: Typed, problems: Sequence[Problem]) -> StepForms:
    return StepForms(
        {
            "subject": SubjectForm(typed["subject"], problems_under(problems, "subject"), "subject"),
            "session": SessionForm(typed["session"], problems_under(problems, "session"), "session"),
        },
        [],
        [],
        [],
    )


def _zones(typed: Typed, problems: Sequence[Problem]) -> StepForms:
    rows: list[PartForm] = [
        ZoneForm({**zone, "was": zone["name"]}, problems_under(problems, f"zones.{index}"), f"zones-{index}")
        for index, zone in enumerate(typed["zones"])
    ]
    return StepForms({}, rows, [], [])


def _ambient(typed: Typed, problems: Sequence[Problem]) -> StepForms:
    names = _zone_names(typed)
    places = {reading["zone"]: index for index, reading in enumerate(typed["ambient"])}
    blocks = []
    for zone in [*names, *(zone for zone in places if zone not in names)]:
        place = places.get(zone)
        reading = blank_reading(zone) if place is None else typed["ambient"][place]
        found = [] if place is None else problems_under(problems, f"ambient.{place}")
        form = ReadingForm(reading, found, f"ambient-{len(blocks)}")
        blocks.append(ReadingBlock(zone, form, zone not in names))
    return StepForms({}, [], blocks, [])


def _lights(typed: Typed, problems: Sequence[Problem]) -> StepForms:
    return StepForms({}, [], [], [_light(index, typed, problems) for index in range(len(typed["lights"]))])


def _panels(typed: Typed, problems: Sequence[Problem]) -> StepForms:
    rows: list[PartForm] = [
        PanelForm(panel, problems_under(problems, f"panels.{index}"), f"panels-{index}")
        for index, panel in enumerate(typed.get("panels", []))
    ]
    return StepForms({}, [], [], [], rows)


def _light(index: int, typed: Typed, problems: Sequence[Problem]) -> LightBlock:
    light, path = typed["lights"][index], f"lights.{index}"
    zones = [(name, name) for name in _zone_names(typed)]
    rows = (f"{path}.gels.", f"{path}.lifts.")
    own = problems_under([p for p in problems if not p.field.startswith(rows)], path)
    form = LightForm(light, own, f"lights-{index}", aim=zones)
    gels: list[PartForm] = [
        GelForm(gel, problems_under(problems, f"{path}.gels.{number}"), f"lights-{index}-gels-{number}")
        for number, gel in enumerate(light["gels"])
    ]
    lifts: list[PartForm] = [
        LiftForm(
            lift,
            problems_under(problems, f"{path}.lifts.{number}"),
            f"lights-{index}-lifts-{number}",
            zone=zones,
        )
        for number, lift in enumerate(light["lifts"])
    ]
    return LightBlock(light["name"] or f"Light {index + 1}", form, gels, lifts)


def _zone_names(typed: Typed) -> list[str]:
    return list(dict.fromkeys(zone["name"] for zone in typed["zones"] if zone["name"]))
