"""A light or zone that asks nothing, or about which too little is known, hides none that comes after it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest

from recipes.checks.registry import CHECKS
from recipes.checks.setup import AssignedLight, Circuit, Room, Setup
from tests.recipes.checks.setups import (
    a_battery,
    a_boom,
    a_look,
    a_mains_strobe,
    a_modifier,
    a_panel,
    a_plan,
    a_prediction,
    a_room,
    a_setting,
    a_setup,
    a_stand,
    a_strobe,
    a_unit,
    a_weight,
    a_zone,
)

WALL = Circuit("A", 230.0, 16.0, "B", 2)


def rigged(name: str, *heads: Any, **units: Any) -> AssignedLight:
    plan = a_plan(name, source="continuous" if heads and heads[0].spec.kind == "continuous" else "strobe")
    return replace(a_setup(a_look(plan), heads=()).lights[0], heads=heads, **units)


def quiet() -> Iterator[Any]:
    """Lights that some check passes over."""
    yield pytest.param(rigged("First"), id="without a head")
    yield pytest.param(
        rigged("First", a_panel("Q-1", mass_kg=None), stand=a_stand("Q-2"), boom=a_boom("Q-3")),
        id="of unknown mass",
    )
    yield pytest.param(
        rigged("First", a_strobe("Q-1", recycle=[], thermal=[]), stand=a_stand("Q-2")), id="unmeasured"
    )
    yield pytest.param(rigged("First", a_strobe("Q-1")), id="without a stand")


LAST = [
    rigged(
        "Last",
        a_strobe("L-1", modelling_lamp_w=300.0, spigot="28 mm"),
        stand=a_stand("L-2", max_load_kg=3.0),
        boom=a_boom("L-3", max_load_kg=2.5),
        weights=(a_weight(1.0, "L-4"),),
        modifier=a_modifier("L-5", max_modelling_lamp_w=100.0, mount="ring-150"),
        batteries=(a_battery("L-6", capacity_wh=20),),
    ),
    rigged(
        "Last",
        a_mains_strobe("L-1", mains={"peak_va": 4000}),
        stand=a_stand("L-2", max_height_m=1.5),
        cables=(a_unit("cable", "L-7", length_m=60, section_mm2=1.5, rated_a=10),),
        circuit="A",
    ),
    rigged(
        "Last",
        a_panel(
            "L-1",
            flicker="mains",
            flicker_modulation=1.0,
            supply="battery",
            battery_fit="rail-48",
            mains=None,
        ),
        stand=a_stand("L-2"),
        batteries=(a_battery("L-6", capacity_wh=20),),
    ),
]


INDOORS = a_room(circuits=(WALL,))
OUTDOORS = a_room(outdoors=True, wind_m_per_s=5.0)


def asked(room: Room, *lights: AssignedLight) -> dict[str, list[Any]]:
    """What each check finds about the last light and its units."""
    look = a_look(
        *(light.plan.model_dump(exclude_unset=True) for light in lights),
        session={"pace_s": 0.2, "frames": 900},
        subject={"movement_m_per_s": 3.0},
    )
    setup: Setup = a_setup(look, lights=lights, room=room)
    settings = [a_setting(light.plan.name, None if light.plan.name == "First" else 0.0) for light in lights]
    zone = a_zone(light_shares=(("Last", 1.0),))
    prediction = a_prediction(*settings, zones=(zone,))
    found: dict[str, list[Any]] = {}
    for check in CHECKS:
        about = [one for one in check.answer(setup, prediction, None) if one.about.startswith(("Last", "L-"))]
        if about:
            found[check.explanation.name] = about
    return found


@pytest.mark.parametrize("first", list(quiet()))
@pytest.mark.parametrize("last", LAST)
@pytest.mark.parametrize("room", [INDOORS, OUTDOORS], ids=["indoors", "outdoors"])
def test_the_last_light_is_asked_whatever_comes_before_it(first, last, room):
    alone = asked(room, last)
    assert len(alone) > 5
    assert asked(room, first, last) == alone
