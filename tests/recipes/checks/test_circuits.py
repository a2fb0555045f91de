"""Facts about circuits. A mains strobe of 500 Ws draws 1000 VA at its peak; 230 V · 16 A are 3680 VA."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from recipes.checks.circuits import check
from recipes.checks.setup import Circuit
from tests.recipes.checks.setups import (
    a_look,
    a_mains_strobe,
    a_panel,
    a_plan,
    a_prediction,
    a_room,
    a_setting,
    a_setup,
    a_unit,
    packed,
)

WALL = Circuit("A", 230.0, 16.0, "B", 2)


def heads(count, **more):
    return tuple(a_mains_strobe(f"MS-{number}", **more) for number in range(count))


def on(*circuits, count=2, circuit="", room=None, **more):
    head = more.pop("head", {})
    return a_setup(
        heads=heads(count, **head), units={"circuit": circuit}, room=room or a_room(circuits=circuits), **more
    )


def only(findings):
    (finding,) = findings
    return finding


@pytest.mark.parametrize(("count", "status", "margin"), [(3, "ok", 680.0), (4, "gap", -320.0)])
def test_all_peaks_at_one_moment_against_volts_times_amperes(count, status, margin):
    finding = only(check(on(WALL, count=count), a_prediction()))
    assert (finding.status, finding.limit, finding.margin) == (status, 3680.0, pytest.approx(margin))
    assert "Mains can kill" in finding.caution


@pytest.mark.parametrize(
    ("count", "peak_va", "status"),
    # A tenth of 3680 VA is 368: common practice, no source.
    [(3, 1150, "tight"), (3, 1104, "ok"), (3, 1105, "tight"), (2, 1840, "tight"), (2, 1841, "gap")],
)
def test_less_than_a_tenth_to_spare_is_tight(count, peak_va, status):
    setup = on(WALL, count=count, head={"mains": {"peak_va": peak_va}})
    assert only(check(setup, a_prediction())).status == status


@pytest.mark.parametrize(("country", "standing"), [("US", "code"), ("FR", "house policy")])
def test_the_rule_of_the_country_is_named(country, standing):
    finding = only(check(on(WALL, room=a_room(circuits=(WALL,), country=country)), a_prediction()))
    assert next(one.numbers for one in finding.workings if one.name == "rule").startswith(standing)


@pytest.mark.parametrize(
    ("stated", "status"),
    # Peaks of 3000 VA fit into 3680. Continuous are 20 + 550 / PF, a quarter more by the rule, and 167 / PF for
    # recycling, at most 1000: at 1 all three need 3 · (737 + 142) = 2638 VA, at 0.6 3 · (1000 + 234) = 3702.
    [({}, "unknown"), ({"power_factor": 1.0}, "ok"), ({"power_factor": 0.6}, "gap")],
    ids=["not stated", "corrected", "not corrected"],
)
def test_what_hangs_on_a_power_factor_that_no_sheet_states_is_unknown(stated, status):
    head = {"modelling_lamp_w": 550, "mains": {"peak_va": 1000, "idle_va": 20, **stated}}
    room = a_room(circuits=(WALL,), country="US")
    long = {"starts": datetime(2026, 5, 4, 9, tzinfo=UTC), "ends": datetime(2026, 5, 4, 13, tzinfo=UTC)}
    finding = only(check(on(WALL, count=3, head=head, room=room, **long), a_prediction()))
    assert finding.status == status
    assert finding.missing == ("the power factor of MS-0 and MS-1 and MS-2" if status == "unknown" else "")
    if status == "unknown":
        assert "At a power factor of 0.6 it would be 22 VA too much" in finding.sentence


def test_a_breaker_that_may_trip_at_switch_on_is_tight():
    # Type B holds below 3 · 16 = 48 A and may trip from there to 80 A: IEC 60898-1.
    head = {"mains": {"peak_va": 1000, "inrush_a": 60}}
    finding = only(check(on(WALL, count=1, head=head), a_prediction()))
    assert finding.status == "tight"
    assert "may trip" in finding.sentence


def test_an_overloaded_circuit_stays_a_gap_whatever_the_inrush():
    head = {"mains": {"peak_va": 1000, "inrush_a": 60}}
    assert only(check(on(WALL, count=4, head=head), a_prediction())).status == "gap"


def test_a_burning_light_of_three_hours_counts_a_quarter_more():
    # 3200 VA · 1.25 = 4000 VA against 3680: NEC 210.19(A)(1), by house policy elsewhere.
    starts = datetime(2026, 5, 4, 9, tzinfo=UTC)
    setup = a_setup(
        a_look(a_plan(source="continuous")),
        heads=(a_panel(mains={"peak_va": 3200}),),
        room=a_room(circuits=(WALL,)),
        starts=starts,
        ends=starts + timedelta(hours=3),
    )
    assert only(check(setup, a_prediction())).margin == pytest.approx(-320.0)


def test_the_average_of_a_strobe_follows_its_setting_and_the_pace():
    # 20 + 500 · 0.5 / 0.75 / 4 = 103.3 VA at half power, once in four seconds.
    finding = only(check(on(WALL, count=1), a_prediction(a_setting(setting_stops=-1.0))))
    assert finding.workings[0].result == "103 VA, 1000 VA"


def test_a_head_goes_on_the_circuit_it_is_given():
    stage = Circuit("B", 230.0, 32.0, "C", 2)
    finding = only(check(on(WALL, stage, circuit="B"), a_prediction()))
    assert (finding.about, finding.limit) == ("B", 7360.0)


def test_a_head_without_a_circuit_goes_on_the_first():
    stage = Circuit("B", 230.0, 32.0, "B", 2)
    finding = only(check(on(WALL, stage, count=4), a_prediction()))
    assert finding.about == "A"
    assert "another circuit" in finding.remedies[0].sentence


def test_where_there_is_but_one_circuit_none_other_of_the_room_is_offered():
    finding = only(check(on(WALL, count=4), a_prediction()))
    assert "a circuit of another room, or fewer heads" in finding.remedies[0].sentence


def test_a_room_without_circuits_is_unknown():
    finding = only(check(on(), a_prediction()))
    assert (finding.status, finding.missing) == ("unknown", "the room's circuits")
    setup = a_setup(heads=heads(1))
    assert only(check(setup, a_prediction())).status == "unknown"


def test_heads_on_batteries_or_on_a_generator_are_no_question_of_the_room():
    assert list(check(a_setup(room=a_room(circuits=(WALL,))), a_prediction())) == []
    generator = packed(a_unit("generator", "GN-1", rated_va=3000))
    assert list(check(on(packed=generator), a_prediction())) == []
    assert list(check(on(WALL, circuit="GN-1", packed=generator), a_prediction())) == []
