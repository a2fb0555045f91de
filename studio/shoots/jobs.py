"""Which jobs does a look ask for, and which kinds of gear may do each?

Pure: from the recipe document and the sheets of what is assigned so far. Some jobs only arise from what is chosen: a
battery head asks for a battery, a head without the trigger's radio for a receiver, unlike mounts for an adapter.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from gear.specs import (
    ContinuousSpec,
    ModifierSpec,
    SpecSheet,
    StrobeSpec,
    TriggerSpec,
    kind_label,
)
from recipes.look import Gel, Light, Look, Panel

__all__ = [
    "JOB_KINDS",
    "LIGHT_JOBS",
    "MOST_OF_A_JOB",
    "PANEL_JOBS",
    "RECIPE_JOBS",
    "JobAsked",
    "Slot",
    "jobs_of",
    "kinds_at",
    "kinds_for",
]

MOST_OF_A_JOB = 24

JOB_KINDS: dict[str, tuple[str, ...]] = {
    "camera": ("camera",),
    "lens": ("lens",),
    "meter": ("meter",),
    "trigger": ("trigger",),
    "nd": ("nd",),
    "head": ("strobe", "continuous"),
    "modifier": ("modifier",),
    "board": ("board",),
    "scrim": ("scrim",),
    "gel": ("gel",),
    "adapter": ("adapter",),
    "stand": ("stand",),
    "board-stand": ("stand",),
    "panel": ("board", "scrim"),
    "panel-stand": ("stand",),
    "boom": ("boom",),
    "weight": ("weight",),
    "battery": ("battery",),
    "charger": ("charger",),
    "receiver": ("receiver",),
    "cable": ("cable",),
    "distribution": ("distribution", "generator"),
}

RECIPE_JOBS = ("camera", "lens", "trigger", "meter", "nd", "charger", "distribution")
LIGHT_JOBS = (
    "head",
    "modifier",
    "adapter",
    "board",
    "scrim",
    "gel",
    "stand",
    "board-stand",
    "boom",
    "weight",
    "battery",
    "receiver",
    "cable",
)

PANEL_JOBS = ("panel", "panel-stand", "weight")


class Slot(NamedTuple):
    """One place for a unit in a recipe. ``light`` names a light, or a board, flag or scrim that stands by itself; it is
    empty for jobs of the recipe as a whole."""

    light: str
    job: str
    number: int = 1

    @property
    def anchor(self) -> str:
        """A name for this place inside a page."""
        return re.sub(r"\W+", "_", f"{self.light}-{self.job}-{self.number}")


@dataclass(frozen=True)
class JobAsked:
    """A job that the look asks for: its slot, the kinds that may do it, and what the look says about it."""

    slot: Slot
    kinds: tuple[str, ...]
    wish: str = ""


def kinds_for(job: str, source: str = "") -> tuple[str, ...]:
    """The kinds of gear that may do a job; a head's kind is what the light's ``source`` says, a panel's whether it is a
    scrim."""
    if job == "head" and source:
        return (source,)
    if job == "panel" and source:
        return ("scrim",) if source == "scrim" else ("board",)
    return JOB_KINDS[job]


def kinds_at(slot: Slot, look: Look) -> tuple[str, ...]:
    """The kinds of gear that may do the job of a slot in this look."""
    source = {light.name: light.source for light in look.lights}.get(slot.light, "")
    kind = {panel.name: panel.kind for panel in look.panels}.get(slot.light, "")
    return kinds_for(slot.job, source or kind)


def jobs_of(look: Look, assigned: Mapping[Slot, SpecSheet]) -> tuple[JobAsked, ...]:
    """The jobs of a look in the order of setting up: camera first, then light by light."""
    return (
        *_of_recipe(look, assigned),
        *(job for light in look.lights for job in _of_light(light, assigned)),
        *(job for panel in look.panels for job in _of_panel(panel)),
    )


def _of_recipe(look: Look, assigned: Mapping[Slot, SpecSheet]) -> Iterator[JobAsked]:
    camera = look.camera
    yield _job("", "camera", wish=f"{camera.shutter} s, ISO {camera.iso}")
    yield _job("", "lens", wish=f"{camera.focal_length_mm:g} mm at {camera.aperture}")
    if any(light.source == "strobe" for light in look.lights):
        yield _job("", "trigger", wish=_radio_wish(look, assigned))
    if camera.nd_stops:
        yield _job("", "nd", wish=f"{camera.nd_stops:g} stops")
    for kind in dict.fromkeys(look.extras):
        if kind in ("meter", "charger", "distribution") or (kind == "nd" and not camera.nd_stops):
            yield _job("", kind, wish="to be packed besides")


def _of_light(light: Light, assigned: Mapping[Slot, SpecSheet]) -> Iterator[JobAsked]:
    name = light.name
    heads = [assigned.get(Slot(name, "head", number)) for number in range(1, light.heads + 1)]
    for number in range(1, light.heads + 1):
        yield _job(name, "head", number, kinds_for("head", light.source), kind_label(light.source).lower())
    if light.modifier:
        plan = light.modifier
        size = (
            f"{plan.width_m:g} × {plan.height_m or plan.width_m:g} m"
            if plan.shape == "rectangle"
            else f"{plan.width_m:g} m across"
        )
        yield _job(name, "modifier", wish=size + (", with grid" if plan.grid else ""))
    yield from _adapter(name, heads, assigned.get(Slot(name, "modifier")))
    if light.bounce and light.bounce.surface in ("white", "silver"):
        board = light.bounce
        yield _job(name, "board", wish=f"{board.surface}, {board.width_m:g} × {board.height_of_board_m:g} m")
        yield _job(name, "board-stand", wish=f"to {board.height_m + board.height_of_board_m / 2:.1f} m")
    if light.scrim_transmittance:
        yield _job(name, "scrim", wish=f"lets {light.scrim_transmittance:.0%} through")
    for number, gel in enumerate(light.gels, start=1):
        yield _job(name, "gel", number, wish=_gel_wish(gel))
    if light.role != "practical":
        yield _job(name, "stand", wish=f"to {light.height_m:g} m")
    if light.on_boom:
        yield _job(name, "boom")
        yield _job(name, "weight", wish="on the boom's short end")
    for number, head in enumerate(heads, start=1):
        if isinstance(head, StrobeSpec | ContinuousSpec) and head.supply == "battery":
            yield _job(name, "battery", number, wish=f"fits {head.battery_fit}")
    yield from _receivers(name, heads, assigned.get(Slot("", "trigger")))


def _of_panel(panel: Panel) -> Iterator[JobAsked]:
    surface = f"{panel.surface}, " if panel.kind == "board" else "black, " if panel.kind == "flag" else ""
    through = f", lets {panel.transmittance:.0%} through" if panel.transmittance else ""
    size = f"{panel.width_m:g} × {panel.height_of_panel_m:g} m"
    yield _job(panel.name, "panel", 1, kinds_for("panel", panel.kind), f"{surface}{size}{through}")
    top = panel.height_m + panel.height_of_panel_m / 2
    yield _job(panel.name, "panel-stand", wish=f"to {top:.1f} m")


def _adapter(name: str, heads: list[SpecSheet | None], modifier: SpecSheet | None) -> Iterator[JobAsked]:
    if isinstance(modifier, ModifierSpec):
        for number, head in enumerate(heads, start=1):
            if isinstance(head, StrobeSpec | ContinuousSpec) and head.mount != modifier.mount:
                yield _job(name, "adapter", number, wish=f"{head.mount} to {modifier.mount}")


def _receivers(name: str, heads: list[SpecSheet | None], trigger: SpecSheet | None) -> Iterator[JobAsked]:
    if isinstance(trigger, TriggerSpec):
        for number, head in enumerate(heads, start=1):
            if isinstance(head, StrobeSpec) and not set(head.radio) & set(trigger.radio):
                yield _job(name, "receiver", number, wish=f"speaks {' or '.join(trigger.radio)}")


def _radio_wish(look: Look, assigned: Mapping[Slot, SpecSheet]) -> str:
    spoken = {
        system
        for light in look.lights
        for number in range(1, light.heads + 1)
        if isinstance(head := assigned.get(Slot(light.name, "head", number)), StrobeSpec)
        for system in head.radio
    }
    return f"speaks {' and '.join(sorted(spoken))}" if spoken else ""


def _gel_wish(gel: Gel) -> str:
    return f"{gel.mired_shift:+.0f} mired, lets {gel.transmittance:.0%} through".replace("-", "−")


def _job(light: str, job: str, number: int = 1, kinds: tuple[str, ...] = (), wish: str = "") -> JobAsked:
    return JobAsked(Slot(light, job, number), kinds or JOB_KINDS[job], wish)
