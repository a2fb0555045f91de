"""Facts about cables. Class 5 copper at 70 °C: 50 m of 2.5 mm² lose 12.41 V at 13 A (IEC 60228, IEC 60028)."""

from __future__ import annotations

import pytest

from recipes.checks.cable_drop import check
from recipes.checks.setup import Circuit
from tests.recipes.checks.setups import (
    a_look,
    a_mains_strobe,
    a_panel,
    a_plan,
    a_prediction,
    a_room,
    a_setup,
    a_unit,
    packed,
)

THIRTEEN_A = {"peak_va": 2990}
WALL = Circuit("A", 230.0, 16.0, "B", 2)


def a_cable(length_m, section_mm2=2.5, tag="CB-1", **more):
    return a_unit("cable", tag, length_m=length_m, section_mm2=section_mm2, **more)


def run(*cables, country="FR", circuits=(WALL,), circuit="", **more):
    setup = a_setup(
        heads=(a_mains_strobe(mains=THIRTEEN_A),),
        units={"cables": cables, "circuit": circuit},
        room=a_room(country=country, circuits=circuits),
        **more,
    )
    return list(check(setup, a_prediction()))


@pytest.mark.parametrize(
    ("length_m", "drop_v", "status"),
    # 5 % of 230 V are 11.5 V, house policy after BS 7671.
    # Less than a tenth of it to spare is tight: common practice, no source.
    [
        (25.0, 6.205, "ok"),
        (41.0, 10.18, "ok"),
        (42.0, 10.43, "tight"),
        (45.0, 11.17, "tight"),
        (50.0, 12.41, "gap"),
    ],
)
def test_what_a_cord_loses_against_the_limit(length_m, drop_v, status):
    (finding,) = run(a_cable(length_m))
    assert (finding.status, finding.value) == (status, pytest.approx(drop_v, abs=0.01))
    assert finding.limit == pytest.approx(11.5)
    assert "Mains can kill" in finding.caution


def test_cables_in_a_row_lose_together():
    # 25 m of 1.5 mm² lose 10.34 V, 25 m of 2.5 mm² another 6.21 V.
    (finding,) = run(a_cable(25.0), a_cable(25.0, 1.5, "CB-2"))
    assert finding.value == pytest.approx(16.55, abs=0.02)


def test_a_section_between_two_of_the_table_counts_as_the_thinner():
    (finding,) = run(a_cable(25.0, 2.08))
    assert finding.value == pytest.approx(10.34, abs=0.01)


def test_the_limit_is_that_of_the_place():
    # NEC 210.19(A) informational note: 3 % of 120 V, recommended.
    (finding,) = run(a_cable(10.0), country="US", circuits=(Circuit("A", 120.0, 20.0, "B", 2),))
    assert finding.limit == pytest.approx(3.6)
    assert "recommended" in finding.sentence


def test_burning_lights_have_the_limit_of_lighting():
    # BS 7671: 3 % of 230 V are 6.9 V.
    setup = a_setup(
        a_look(a_plan(source="continuous")),
        heads=(a_panel(),),
        units={"cables": (a_cable(25.0),)},
        room=a_room(country="GB", circuits=(Circuit("A", 230.0, 13.0, "B", 2),)),
    )
    (finding,) = check(setup, a_prediction())
    assert finding.limit == pytest.approx(6.9)


@pytest.mark.parametrize(
    ("sheet", "circuits", "limit"),
    [({"voltage_v": 120.0}, (WALL,), 6.0), ({}, (WALL,), 11.5), ({"voltage_v": 230.0}, (), 11.5)],
    ids=["its own", "that of the room", "without a room's"],
)
def test_behind_a_generator_its_voltage_counts(sheet, circuits, limit):
    # Twice the current at half of the voltage: what is lost is the same, what may be lost is not.
    generator = packed(a_unit("generator", "GE-1", rated_va=5000, **sheet))
    (finding,) = run(a_cable(1.0), circuits=circuits, circuit="GE-1", packed=generator)
    assert finding.limit == pytest.approx(limit)


def test_behind_a_generator_that_states_no_voltage_outdoors_it_is_missing():
    generator = packed(a_unit("generator", "GE-1", rated_va=5000))
    (finding,) = run(a_cable(1.0), circuits=(), circuit="GE-1", packed=generator)
    assert finding.status == "unknown"
    assert finding.missing == "the voltage: the room's circuits, or the generator's sheet"


def test_the_circuit_it_is_given_has_the_voltage():
    circuits = (Circuit("A", 230.0, 16.0, "B", 2), Circuit("B", 120.0, 20.0, "B", 2))
    (finding,) = run(a_cable(1.0), circuits=circuits, circuit="B")
    assert finding.limit == pytest.approx(6.0)


def test_a_cable_rated_for_less_is_a_gap_of_its_own():
    _, rating = run(a_cable(10.0, rated_a=10.0))
    assert (rating.status, rating.unit, rating.margin) == ("gap", "A", pytest.approx(-3.0))
    assert len(run(a_cable(10.0, rated_a=16.0))) == 1
    assert len(run(a_cable(10.0, rated_a=13.0))) == 1


@pytest.mark.parametrize(
    ("cable", "circuits", "missing"),
    [
        (
            a_cable(10.0, None),
            (WALL,),
            "the section of CB-1 (Plain cable), 0.75 mm² or more",
        ),
        (
            a_cable(10.0, 0.5),
            (WALL,),
            "the section of CB-1 (Plain cable), 0.75 mm² or more",
        ),
        (a_cable(10.0), (), "the voltage: the room's circuits, or the generator's sheet"),
    ],
)
def test_without_section_or_voltage_it_is_unknown(cable, circuits, missing):
    (finding,) = run(cable, circuits=circuits)
    assert (finding.status, finding.missing) == ("unknown", missing)


def test_without_a_room_it_is_unknown():
    setup = a_setup(heads=(a_mains_strobe(),), units={"cables": (a_cable(10.0),)})
    (finding,) = check(setup, a_prediction())
    assert finding.status == "unknown"


def test_sync_leads_and_heads_on_batteries_ask_nothing():
    assert run(a_cable(10.0, use="sync")) == []
    setup = a_setup(units={"cables": (a_cable(10.0),)}, room=a_room())
    assert list(check(setup, a_prediction())) == []
