"""What differs between two revisions, in words and in stops."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

import pytest
from hypothesis import given, settings

from recipes.look import Look, parse_look
from recipes.records.compare import compare, exposure_change, summary
from recipes.records.words import number, side_of_camera, stops
from tests.builders import LOOK
from tests.recipes.looks import looks

BASE = parse_look(LOOK)


def with_camera(**changes: Any) -> Look:
    return parse_look({**LOOK, "camera": {**LOOK["camera"], **changes}})


def with_light(**changes: Any) -> Look:
    document = deepcopy(LOOK)
    document["lights"][0] |= changes
    return parse_look(document)


# Exact series of ISO 517 (2^(n/2)), ISO 516 (2^n) and ISO 12232: a third-stop mark is a third of a stop.
@pytest.mark.parametrize(
    ("changes", "effect"),
    [
        ({"aperture": "f/4.5"}, "+2/3 stop for everything"),
        ({"aperture": "f/8"}, "−1 stop for everything"),
        ({"shutter": "1/100"}, "+1 stop for ambient only"),
        ({"shutter": "1/250"}, "−1/3 stop for ambient only"),
        ({"iso": "400"}, "+2 stop for everything"),
        ({"nd_stops": 1.5}, "−1 1/2 stop for everything"),
    ],
)
def test_a_camera_change_says_what_it_does_in_stops(changes: dict[str, Any], effect: str) -> None:
    (difference,) = compare(BASE, with_camera(**changes))
    assert difference.effect == effect


def test_the_shutter_acts_on_flash_too_in_high_speed_sync() -> None:
    slow, fast = (with_camera(shutter=time, high_speed_sync=True) for time in ("1/250", "1/500"))
    (difference,) = compare(slow, fast)
    assert difference.effect == "−1 stop for ambient, and for flash in high-speed sync"


def test_opening_up_and_shortening_the_time_moves_flash_alone() -> None:
    after = with_camera(aperture="f/4", shutter="1/400")
    ambient, flash = exposure_change(BASE, after)
    assert ambient == pytest.approx(0.0, abs=1e-9)
    assert flash == pytest.approx(1.0, abs=1e-9)
    assert summary(BASE, after) == "The camera records ambient light 0 stop and flash +1 stop."


def test_another_series_with_the_same_marks_is_the_same_exposure() -> None:
    third = with_camera(shutter="1/250")
    (difference,) = compare(third, with_camera(shutter="1/250", series="full"))
    assert (difference.where, difference.effect) == ("Camera: engraved in steps of", "the same exposure")


def test_the_same_engraving_in_another_series_is_another_exposure() -> None:
    """1/10 is 1/10.08 s in thirds and 1/11.31 s in halves (ISO 516): 1/6 stop."""
    third, half = with_camera(shutter="1/10"), with_camera(shutter="1/10", series="half")
    shutter = next(d for d in compare(third, half) if d.key == "camera/shutter")
    assert (shutter.before, shutter.after) == ("1/10 s (third stops)", "1/10 s (half stops)")
    assert shutter.effect == "−0.2 stop for ambient only"


def test_moving_a_lamp_back_by_the_square_root_of_two_costs_a_stop() -> None:
    """Inverse-square law: E ~ 1/d²."""
    (difference,) = compare(with_light(distance_m=1.5), with_light(distance_m=1.5 * 2**0.5))
    assert difference.effect == "about −1 stop from this light, by distance alone"


def test_moving_a_bounced_lamp_promises_nothing() -> None:
    bounce = {"bearing_deg": 90, "distance_m": 2, "width_m": 1, "height_of_board_m": 2}
    (difference,) = compare(with_light(bounce=bounce), with_light(bounce=bounce, distance_m=3.0))
    assert difference.effect == ""


def test_a_light_that_is_new_is_one_difference_that_describes_it() -> None:
    document = deepcopy(LOOK)
    document["lights"].append(
        {"name": "Rim", "role": "rim", "bearing_deg": 200, "distance_m": 2, "height_m": 2.5}
    )
    (difference,) = compare(BASE, parse_look(document))
    assert (difference.where, difference.before) == ("Light Rim", "not there")
    assert "bearing 200°" in difference.after


def test_words_name_the_part_and_the_field() -> None:
    document = deepcopy(LOOK)
    document["zones"][1]["target"]["placement_stops"] = 1.5
    document["ambient"][0]["ev100"] = 10.0
    differences = compare(BASE, parse_look(document))
    assert [(d.where, d.before, d.after, d.effect) for d in differences] == [
        ("Zone window: target placement", "+1.0 stops", "+1.5 stops", "+1/2 stop"),
        ("Ambient at face: reading", "EV 9 at ISO 100", "EV 10 at ISO 100", "+1 stop"),
    ]


def test_figures_that_would_read_the_same_are_told_apart() -> None:
    document = deepcopy(LOOK)
    document["zones"][1]["target"]["placement_stops"] = 1.04
    (difference,) = compare(BASE, parse_look(document))
    assert (difference.before, difference.after) == ("+1.0 stops", "+1.04 stops")


def test_an_order_that_changed_is_said() -> None:
    document = deepcopy(LOOK)
    document["zones"].reverse()
    (difference,) = compare(BASE, parse_look(document))
    assert (difference.where, difference.before, difference.after) == (
        "Order of zones",
        "face, window",
        "window, face",
    )


@settings(max_examples=60, deadline=None)
@given(looks(), looks())
def test_there_are_differences_exactly_when_the_looks_differ(one: Look, other: Look) -> None:
    assert compare(one, one) == ()
    assert bool(compare(one, other)) is (one != other)
    for difference in compare(one, other):
        assert difference.where
        assert difference.before != difference.after


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (2 / 3, "+2/3"),
        (-4 / 3, "−1 1/3"),
        (1.0, "+1"),
        (-0.5, "−1/2"),
        (0.8, "+0.8"),
        (0.0, "0"),
        (0.001, "0"),
    ],
)
def test_stops_are_said_in_thirds_and_halves_where_they_are_some(value: float, said: str) -> None:
    assert stops(value) == said


@pytest.mark.parametrize(
    ("bearing_deg", "said"),
    [
        (0, "from the camera"),
        (40, "camera left"),
        (320, "camera right"),
        (-40, "camera right"),
        (180, "behind the mark"),
        (150, "camera left, from behind"),
    ],
)
def test_clockwise_from_above_is_towards_the_left_of_the_picture(bearing_deg: float, said: str) -> None:
    """The mark looks at the camera: its right hand is at bearing 90, and that is the left of the picture."""
    assert side_of_camera(bearing_deg) == said


@pytest.mark.parametrize(
    ("value", "said"), [(1.5, "1.5"), (3.0, "3"), (-0.7, "−0.7"), (0.0001, "0.0001"), (25000, "25\u202f000")]
)
def test_numbers_are_as_short_as_they_are_exact(value: float, said: str) -> None:
    assert number(value) == said
