"""The fingerprint of a setup: equal inputs give equal ones, and whatever is changed gives another one."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import Any

from pydantic import BaseModel

from recipes.checks import fingerprint as module
from recipes.checks.fingerprint import fingerprint
from recipes.checks.setup import (
    AssignedLight,
    AssignedPanel,
    BatteryState,
    Circuit,
    PackedUnit,
    Room,
    Setup,
    Window,
)
from tests.recipes.checks import setups as make


def everything() -> Setup:
    """A setup in which no field is empty."""
    look = make.a_look()
    light = AssignedLight(
        plan=look.lights[0],
        heads=(make.a_strobe(channel=3),),
        modifier=make.a_modifier(),
        board=make.a_board(),
        scrim=make.a_unit("scrim", width_m=1.2, height_m=1.2, transmittance=0.5),
        gels=(make.a_unit("gel", mired_shift=20.0, transmittance=0.8),),
        adapter=make.a_unit("adapter", head_side="a", modifier_side="b"),
        stand=make.a_stand(),
        board_stand=make.a_stand("SD-2"),
        boom=make.a_boom(),
        weights=(make.a_weight(7.0),),
        batteries=(make.a_battery(),),
        receiver=make.a_unit("receiver", radio=["northlight"]),
        cables=(make.a_unit("cable", length_m=10.0),),
        circuit="A",
    )
    board = {"name": "Fill", "bearing_deg": 270, "distance_m": 1, "width_m": 1, "height_of_panel_m": 2}
    panel = AssignedPanel(
        plan=make.a_look(panels=[board]).panels[0],
        unit=make.a_board("BD-2"),
        stand=make.a_stand("SD-3"),
        weights=(make.a_weight(5.0, "WE-2"),),
    )
    room = Room(
        name="Hall",
        width_m=6.0,
        depth_m=8.0,
        height_m=4.0,
        mark_m=(3.0, 3.5),
        wall_reflectance=0.5,
        floor_reflectance=0.2,
        ceiling_reflectance=0.7,
        windows=(Window("Door", 2.0, 2.0, 0.5, (0.0, -3.5, 1.5), 20.0),),
        circuits=(Circuit("A", 230.0, 16.0, "B", 2),),
        country="FR",
        latitude_deg=48.0,
        longitude_deg=2.0,
        altitude_m=35.0,
        north_deg=200.0,
        wind_m_per_s=2.0,
        temperature_c=18.0,
        beam_height_m=3.5,
    )
    unit = dataclasses.replace(
        make.a_camera(),
        why_not="hums",
        clash="with Dancers",
        inspection_due="2030-01-01",
        health=0.8,
        case_tag="C-01",
        channel=1,
    )
    return Setup(
        look=look,
        lights=(light,),
        room=room,
        panels=(panel,),
        starts=datetime.fromisoformat("2026-12-01T09:00+01:00"),
        ends=datetime.fromisoformat("2026-12-01T14:00+01:00"),
        camera=unit,
        lens=make.a_lens(),
        meter=make.a_unit("meter"),
        trigger=make.a_trigger(),
        nd=(make.a_unit("nd", stops=3.0),),
        chargers=(make.a_unit("charger", fits=["rail-48"]),),
        distribution=(make.a_unit("distribution", rated_a=16.0, outlets=4),),
        packed=(PackedUnit(make.a_case(), "packed"),),
        channels_in_the_building=(("northlight", 2, "Dancers"),),
        hours_until_next_shoot=12.0,
    )


def changed(value: Any) -> Any:
    """The same kind of value, but another one."""
    match value:
        case None:
            return 1
        case bool():
            return not value
        case int() | float():
            return value + 1
        case str():
            return value + "x"
        case datetime():
            return value + timedelta(minutes=1)
        case BaseModel():
            name = "mass_kg" if hasattr(value, "mass_kg") else "notes" if hasattr(value, "notes") else "name"
            old = getattr(value, name)
            return value.model_copy(update={name: changed(old if old is not None else 0.0)})
        case tuple():
            return value[:-1]
        case _:
            raise TypeError(value)


def one_change_each(value: Any, path: str = "") -> Iterator[tuple[str, Any]]:
    """Copies of a value with one thing changed, for every field of every dataclass inside it."""
    for field in dataclasses.fields(value):
        old, where = getattr(value, field.name), f"{path}{field.name}"
        if dataclasses.is_dataclass(old):
            deeper = one_change_each(old, f"{where}.")
            yield from ((p, dataclasses.replace(value, **{field.name: new})) for p, new in deeper)
            continue
        if isinstance(old, tuple) and old and dataclasses.is_dataclass(old[0]):
            deeper = one_change_each(old[0], f"{where}.")
            yield from ((p, dataclasses.replace(value, **{field.name: (new, *old[1:])})) for p, new in deeper)
        yield where, dataclasses.replace(value, **{field.name: changed(old)})


CHANGES = dict(one_change_each(everything()))


def test_equal_setups_have_equal_fingerprints() -> None:
    assert fingerprint(everything()) == fingerprint(everything())


def test_a_fingerprint_is_a_sha_256() -> None:
    assert len(bytes.fromhex(fingerprint(everything()))) == 32


def test_every_field_of_every_part_is_among_the_changes() -> None:
    """So that a field which is added to a part cannot be forgotten here."""
    parts = {"": Setup, "lights.": AssignedLight, "room.": Room, "lights.batteries.": BatteryState}
    parts |= {
        "room.windows.": Window,
        "panels.": AssignedPanel,
        "room.circuits.": Circuit,
        "packed.": PackedUnit,
    }
    wanted = {f"{path}{field.name}" for path, part in parts.items() for field in dataclasses.fields(part)}
    reached = {".".join(path.split(".")[:depth]) for path in CHANGES for depth in range(1, 5)}
    assert wanted <= reached


def test_any_change_gives_another_fingerprint() -> None:
    before = fingerprint(everything())
    unseen = [what for what, setup in CHANGES.items() if fingerprint(setup) == before]
    assert unseen == []


def test_no_two_changes_look_alike() -> None:
    prints = [fingerprint(setup) for setup in CHANGES.values()]
    assert len(set(prints)) == len(prints)


def test_the_same_units_in_another_order_are_another_setup() -> None:
    """The first head stands on the first stand: order is a figure too."""
    one, other = make.a_strobe("ST-1"), make.a_strobe("ST-2")
    assert fingerprint(make.a_setup(heads=(one, other))) != fingerprint(make.a_setup(heads=(other, one)))


def test_another_calculation_makes_every_fingerprint_another_one(monkeypatch: Any) -> None:
    before = fingerprint(everything())
    monkeypatch.setattr(module, "CALCULATION", module.CALCULATION + 1)
    assert fingerprint(everything()) != before
