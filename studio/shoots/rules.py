"""What holds for shoots: whose they are, and what a slot may take."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from gear.booking.interval import Period, period
from gear.errors import Conflict, FieldProblem, Invalid, NotAllowed
from gear.inventory.models import Unit
from gear.specs import kind_label
from recipes.look import Look
from studio.people.gate import require_own
from studio.people.models import Role
from studio.people.policy import may
from studio.places.models import Room
from studio.shoots.jobs import JOB_KINDS, LIGHT_JOBS, MOST_OF_A_JOB, PANEL_JOBS, RECIPE_JOBS, Slot, kinds_at
from studio.shoots.models import Job, Shoot

__all__ = [
    "period_in",
    "refuse_another",
    "refuse_misplaced",
    "refuse_strange_photographer",
    "refuse_wrong_kind",
    "require_right",
    "slot_name",
]


def period_in(room: Room, starts: str | datetime, ends: str | datetime, **which: bool) -> Period:
    """The period between two times on the wall of the room's place. Raises `Invalid`."""
    return period(starts, ends, room.place.zone, **which)


def require_right(by: Any, action: str, shoot: Shoot) -> None:
    """Managers may with all shoots, photographers with their own. Raises `NotAllowed`."""
    if action == "confirm" and not may(by, "shoot", "confirm"):
        raise NotAllowed("Only the studio manager confirms a shoot. Ask for it; until then it stays on hold.")
    if action != "confirm":
        require_own(by, "shoot", action, shoot.photographer or "nobody yet")


def refuse_strange_photographer(by: Any, photographer: Any) -> None:
    """A photographer plans shoots of their own; an assistant does not photograph. Raises `Invalid`, `NotAllowed`."""
    if photographer is not None and photographer.role == Role.ASSISTANT:
        raise Invalid(
            f"{photographer} is an assistant here. Choose a photographer or the studio manager.",
            (FieldProblem("photographer", "a photographer or a manager"),),
        )
    if photographer != by and not may(by, "shoot", "change", photographer):
        raise NotAllowed("You may plan shoots of your own. The studio manager plans for others.")


def refuse_misplaced(slot: Slot, look: Look) -> None:
    """The slot must be one that the look can have. Raises `Invalid` with what there is."""
    if slot.job not in JOB_KINDS:
        raise Invalid(
            f"There is no job {slot.job!r}. The jobs are: {', '.join(JOB_KINDS)}.",
            (FieldProblem("job", "one of " + ", ".join(JOB_KINDS)),),
        )
    if not 1 <= slot.number <= MOST_OF_A_JOB:
        raise Invalid(
            f"A job is counted from 1 to {MOST_OF_A_JOB}, not {slot.number}.",
            (FieldProblem("number", f"1 to {MOST_OF_A_JOB}"),),
        )
    if not slot.light and slot.job not in RECIPE_JOBS:
        raise Invalid(
            f"The job {slot.job} belongs to a light. Say which: {_lights(look)}.",
            (FieldProblem("light", "the name of a light"),),
        )
    panels = {panel.name for panel in look.panels}
    if slot.light in panels:
        if slot.job not in PANEL_JOBS:
            raise Invalid(
                f"{slot.light} is a panel; its jobs are: {', '.join(PANEL_JOBS)}.",
                (FieldProblem("job", "one of " + ", ".join(PANEL_JOBS)),),
            )
        return
    if slot.light and slot.job in ("panel", "panel-stand"):
        raise Invalid(
            f"The job {slot.job} belongs to a board, flag or scrim that stands by itself. "
            f"There are: {', '.join(sorted(panels)) or 'none'}.",
            (FieldProblem("light", "the name of a panel"),),
        )
    if slot.light and slot.job not in LIGHT_JOBS:
        raise Invalid(
            f"The job {slot.job} belongs to the whole recipe. Leave the light empty.",
            (FieldProblem("light", "empty"),),
        )
    if slot.light and slot.light not in {light.name for light in look.lights}:
        raise Invalid(
            f"There is no light {slot.light!r} in “{look.title}”. The lights are: {_lights(look)}.",
            (FieldProblem("light", "the name of a light"),),
        )


def refuse_wrong_kind(unit: Unit, slot: Slot, look: Look) -> None:
    """A stand is no lens. Raises `Invalid`."""
    kinds = kinds_at(slot, look)
    if unit.gear_type.kind not in kinds:
        wanted = " or ".join(kind_label(kind).lower() for kind in kinds)
        raise Invalid(
            f"{unit.tag} is a {kind_label(unit.gear_type.kind).lower()}; "
            f"{slot_name(slot)} needs a {wanted}. Choose one of those.",
            (FieldProblem("unit", f"the tag of a {wanted}"),),
        )


def refuse_another(seen_tag: str | None, current: Unit | None, slot: Slot) -> None:
    """What the person saw in the slot must still be there; None does not ask. Raises `Conflict`."""
    tag = current.tag if current else ""
    if seen_tag is not None and seen_tag != tag:
        raise Conflict(
            f"Somebody else put {tag} on {slot_name(slot)} in the meantime; it was left there. "
            f"Look again, then choose."
            if tag
            else f"Somebody else took {seen_tag} off {slot_name(slot)} in the meantime. Look again, then choose.",
            code="slot-changed",
        )


def slot_name(slot: Slot) -> str:
    """A slot for people: ``Key: head 2``."""
    job = Job(slot.job).label.lower()
    name = f"{slot.light}: {job}" if slot.light else job
    return f"{name} {slot.number}" if slot.number > 1 else name


def _lights(look: Look) -> str:
    return ", ".join(light.name for light in look.lights) or "none"
