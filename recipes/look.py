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
from collections.abc import Iterator
from typing import Annotated, Any, Literal, NoReturn

from pydantic import Field, ValidationError, model_validator

from recipes.look_panel import Panel
from recipes.look_parts import (
    READING_FORMS,
    AmbientReading,
    Bounce,
    CameraPlan,
    Gel,
    Lift,
    Light,
    ModifierPlan,
    Name,
    Part,
    Session,
    Subject,
    Target,
    Text,
    Triple,
    Zone,
)
from recipes.look_problems import LookError, Problem, problems_of, refuse

__all__ = [
    "MOST_CHARACTERS",
    "READING_FORMS",
    "AmbientReading",
    "Bounce",
    "CameraPlan",
    "Gel",
    "Lift",
    "Light",
    "Look",
    "LookError",
    "ModifierPlan",
    "Panel",
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

MOST_CHARACTERS = 1_000_000
"""A recipe with every list full is about a tenth of this."""


class Look(Part):
    """A whole recipe at one revision."""

    schema_version: Literal[1] = 1
    title: Name
    notes: Text = ""
    camera: CameraPlan
    subject: Subject = Subject()
    session: Session = Session()
    zones: Annotated[tuple[Zone, ...], Field(min_length=1, max_length=40, strict=False)]
    ambient: Annotated[tuple[AmbientReading, ...], Field(max_length=40, strict=False)] = ()
    lights: Annotated[tuple[Light, ...], Field(max_length=24, strict=False)] = ()
    panels: Annotated[
        tuple[Panel, ...],
        Field(max_length=24, strict=False, description="boards, flags and scrims that stand by themselves"),
    ] = ()
    extras: Annotated[
        tuple[Name, ...],
        Field(max_length=60, strict=False, description="kinds of gear to pack besides, e.g. meter"),
    ] = ()

    @model_validator(mode="after")
    def _names_meet(self) -> Look:
        refuse([*self._repeats(), *self._readings_that_miss(), *self._lights_that_miss()])
        return self

    def zone(self, name: str) -> Zone:
        """The zone of that name; raises KeyError."""
        for zone in self.zones:
            if zone.name == name:
                return zone
        raise KeyError(name)

    def _repeats(self) -> Iterator[Problem]:
        yield from _repeated([zone.name for zone in self.zones], "zones.{}.name")
        yield from _repeated([reading.zone for reading in self.ambient], "ambient.{}.zone")
        yield from _repeated([light.name for light in self.lights], "lights.{}.name")
        yield from _repeated([panel.name for panel in self.panels], "panels.{}.name")
        lights = {light.name for light in self.lights}
        for index, panel in enumerate(self.panels):
            if panel.name in lights:
                yield Problem(
                    f"panels.{index}.name",
                    f"a light is called {panel.name!r} too; each needs a name of its own",
                )
        yield from _repeated(self.extras, "extras.{}")
        for index, light in enumerate(self.lights):
            yield from _repeated([lift.zone for lift in light.lifts], f"lights.{index}.lifts.{{}}.zone")

    def _readings_that_miss(self) -> Iterator[Problem]:
        how_read = {zone.name: zone.reading for zone in self.zones}
        for index, reading in enumerate(self.ambient):
            yield from self._unknown(reading.zone, f"ambient.{index}.zone")
            if reading.lux is not None and how_read.get(reading.zone) == "luminance":
                yield Problem(
                    f"ambient.{index}.lux", f"zone {reading.zone!r} is read as luminance; give cd_m2"
                )
            if reading.cd_m2 is not None and how_read.get(reading.zone) == "incident":
                yield Problem(
                    f"ambient.{index}.cd_m2", f"zone {reading.zone!r} is read as incident; give lux"
                )

    def _lights_that_miss(self) -> Iterator[Problem]:
        for index, light in enumerate(self.lights):
            if light.aim is not None:
                yield from self._unknown(light.aim, f"lights.{index}.aim")
            for number, lift in enumerate(light.lifts):
                yield from self._unknown(lift.zone, f"lights.{index}.lifts.{number}.zone")

    def _unknown(self, name: str, where: str) -> Iterator[Problem]:
        names = [zone.name for zone in self.zones]
        if name not in names:
            yield Problem(where, f"there is no zone {name!r}; the zones are {', '.join(map(repr, names))}")


def _repeated(names: list[str] | tuple[str, ...], where: str) -> Iterator[Problem]:
    seen = set()
    for index, name in enumerate(names):
        if name in seen:
            yield Problem(where.format(index), f"{name!r} appears twice; each needs a name of its own")
        seen.add(name)


def parse_look(document: str | bytes | dict[str, Any]) -> Look:
    """A `Look` from JSON text (UTF-8) or from its stored form.

    Raises `LookError`, whatever is in the document; its problems name the fields.
    """
    stored = _load(document) if isinstance(document, (str, bytes)) else document
    try:
        return Look.model_validate(stored)
    except ValidationError as error:
        raise LookError(problems_of(error)) from None


def dump_look(look: Look) -> str:
    """The document as text: stable order, two-space indent, unset fields left out; `parse_look` gives it back."""
    stated = look.model_dump(mode="json", exclude_none=True)
    return json.dumps(stated, indent=2, ensure_ascii=False) + "\n"


def look_schema() -> dict[str, Any]:
    """The JSON Schema (2020-12) of the document."""
    schema = Look.model_json_schema()
    schema["title"] = "Lighting recipe"
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}


def _load(text: str | bytes) -> Any:
    if len(text) > MOST_CHARACTERS:
        _refuse_text(
            f"{len(text) / 1e6:.1f} million characters; a recipe has at most {MOST_CHARACTERS / 1e6:.0f} million"
        )
    try:
        if isinstance(text, bytes):
            text = text.decode("utf-8-sig")
        return json.loads(
            text.removeprefix("\ufeff"), parse_constant=_refuse_constant, object_pairs_hook=_no_field_twice
        )
    except json.JSONDecodeError as error:
        _refuse_text(f"not JSON: {error.msg} at line {error.lineno}, column {error.colno}")
    except UnicodeDecodeError:
        _refuse_text("not text in UTF-8")
    except RecursionError:
        _refuse_text("objects and lists are nested far deeper than a recipe needs")
    except LookError:
        raise
    except ValueError:  # an integer with thousands of digits
        _refuse_text("a number with far too many digits")


def _no_field_twice(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    fields: dict[str, Any] = {}
    for name, value in pairs:
        if name in fields:
            _refuse_text(f"the field {name[:60]!r} is given twice in one object; keep one of them")
        fields[name] = value
    return fields


def _refuse_constant(word: str) -> NoReturn:
    _refuse_text(f"{word} is not a number in JSON; give a finite number or leave it out")


def _refuse_text(expected: str) -> NoReturn:
    raise LookError((Problem("", expected),))
