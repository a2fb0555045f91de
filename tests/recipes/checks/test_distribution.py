"""Facts about sockets and boxes: heads of 1000 VA at 230 V draw 4.35 A each."""

from __future__ import annotations

from dataclasses import replace

import pytest

from recipes.checks.distribution import check
from recipes.checks.setup import Circuit
from tests.recipes.checks.setups import (
    a_look,
    a_mains_strobe,
    a_plan,
    a_prediction,
    a_room,
    a_setting,
    a_setup,
    a_unit,
    packed,
)


def a_box(tag="DI-1", rated_a=16.0, outlets=4):
    return a_unit("distribution", tag, rated_a=rated_a, outlets=outlets)


def run(heads, sockets=2, boxes=(), **circuit):
    mains = tuple(a_mains_strobe(f"MS-{number}") if isinstance(number, int) else number for number in heads)
    room = a_room(circuits=(Circuit("A", 230.0, 16.0, "C", sockets),), **circuit)
    setup = a_setup(a_look(a_plan(heads=max(len(mains), 1))), heads=mains, room=room, distribution=boxes)
    return list(check(setup, a_prediction(a_setting())))


def test_as_many_sockets_as_heads_is_no_question():
    assert run([1, 2]) == []
    assert run([1, 2], boxes=(a_box(),)) == []


def test_a_head_without_a_socket_is_a_gap():
    (finding,) = run([1, 2, 3])
    assert (finding.status, finding.value, finding.limit, finding.margin) == ("gap", 3.0, 2.0, -1.0)
    assert "1 too few" in finding.sentence
    assert len(finding.remedies) == 2
    assert finding.caution


def test_a_box_takes_one_socket_and_gives_its_own():
    sockets, box = run([1, 2, 3], boxes=(a_box(),))
    assert (sockets.status, sockets.limit) == ("ok", 5.0)
    # One head on the wall, two on the box: 2000 / 230.
    assert (box.about, box.value) == ("DI-1", pytest.approx(8.696, abs=1e-3))
    (told,) = box.workings
    assert (told.formula, told.numbers) == ("sum of the peaks / voltage", "(1000 + 1000) / 230")
    assert box.status == "ok"


def test_just_as_many_sockets_with_a_box_are_enough():
    sockets, _ = run(range(5), boxes=(a_box(),))
    assert (sockets.status, sockets.margin) == ("ok", 0.0)
    assert sockets.sentence == "A has 5 sockets with DI-1 for 5 heads."


def test_the_larger_box_goes_first():
    found = run(range(5), boxes=(a_box("DI-1", outlets=2), a_box("DI-2", outlets=4)))
    assert [finding.about for finding in found] == ["A", "DI-2"]


def test_the_circuit_that_lacks_most_sockets_gets_the_box():
    room = a_room(circuits=(Circuit("A", 230.0, 16.0, "C", 2), Circuit("B", 230.0, 16.0, "C", 2)))
    look = a_look(a_plan("Key", heads=3), a_plan("Fill", heads=5))
    lights = tuple(
        replace(
            light,
            heads=tuple(a_mains_strobe(f"MS-{light.plan.name}-{n}") for n in range(light.plan.heads)),
            circuit=circuit,
        )
        for light, circuit in zip(a_setup(look).lights, "AB", strict=True)
    )
    setup = a_setup(look, lights=lights, room=room, distribution=(a_box(rated_a=32.0),))
    found = list(check(setup, a_prediction(a_setting("Key"), a_setting("Fill"))))
    assert [(one.about, one.status) for one in found] == [("B", "ok"), ("DI-1", "ok"), ("A", "gap")]


# Less than a tenth to spare is tight: common practice, no source.
@pytest.mark.parametrize(
    ("rated_a", "status"), [(10.0, "ok"), (9.7, "ok"), (9.6, "tight"), (9.0, "tight"), (8.0, "gap")]
)
def test_a_box_carries_its_rated_current(rated_a, status):
    _, box = run([1, 2, 3], boxes=(a_box(rated_a=rated_a),))
    assert (box.status, box.margin) == (status, pytest.approx(rated_a - 2000 / 230))


def test_the_lightest_heads_hang_on_the_box():
    heavy = a_mains_strobe("MS-9", mains={"peak_va": 3000, "idle_va": 20})
    _, box = run([heavy, 1, 2], boxes=(a_box(),))
    assert "MS-1 + MS-2" in box.sentence


def test_two_boxes_where_one_is_not_enough():
    findings = run(range(6), sockets=2, boxes=(a_box("DI-1", outlets=3), a_box("DI-2", outlets=3)))
    assert [finding.about for finding in findings] == ["A", "DI-1", "DI-2"]
    assert findings[0].limit == 6.0


def test_what_the_boxes_leave_hangs_on_the_wall():
    # Three sockets, two of them for the boxes: three heads on the first box, two on the second, one on the wall.
    _, first, second = run(range(6), sockets=3, boxes=(a_box("DI-1", outlets=3), a_box("DI-2", outlets=3)))
    assert (first.value, second.value) == (pytest.approx(3000 / 230), pytest.approx(2000 / 230))


def test_battery_heads_and_rooms_without_circuits_raise_no_question():
    assert list(check(a_setup(), a_prediction())) == []


def test_a_head_on_a_generator_takes_no_socket_of_the_wall():
    heads = tuple(a_mains_strobe(f"MS-{number}") for number in range(3))
    room = a_room(circuits=(Circuit("A", 230.0, 16.0, "C", 2),))
    generator = a_unit("generator", "GE-1", rated_va=5000)
    setup = a_setup(a_look(a_plan(heads=3)), heads=heads, room=room, packed=packed(generator))
    on_the_wall = list(check(setup, a_prediction(a_setting())))
    fed = replace(setup, lights=tuple(replace(light, circuit="GE-1") for light in setup.lights))
    assert [finding.status for finding in on_the_wall] == ["gap"]
    assert list(check(fed, a_prediction(a_setting()))) == []


def test_boxes_of_one_outlet_help_nobody_and_carry_what_hangs_in_them():
    findings = run([1], sockets=0, boxes=(a_box("DI-1", outlets=1), a_box("DI-2", outlets=1)))
    told = [(finding.about, finding.status) for finding in findings]
    assert told == [("A", "gap"), ("DI-1", "ok"), ("DI-2", "ok")]


@pytest.mark.parametrize(
    ("sockets", "outlets", "heads", "first", "second"),
    [
        # A socket each: three heads on the larger, two on the other.
        (2, (3, 2), 5, 3, 2),
        # One socket for both: the other hangs in the first, which has two outlets left and carries all four heads.
        (1, (3, 2), 4, 4, 2),
    ],
)
def test_a_box_that_hangs_in_another_loads_it_too(sockets, outlets, heads, first, second):
    boxes = tuple(a_box(f"DI-{n}", outlets=count, rated_a=63.0) for n, count in enumerate(outlets, 1))
    found = {finding.about: finding.value for finding in run(range(heads), sockets=sockets, boxes=boxes)}
    assert (found["DI-1"], found["DI-2"]) == (
        pytest.approx(first * 1000 / 230),
        pytest.approx(second * 1000 / 230),
    )
