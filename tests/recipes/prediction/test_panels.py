"""Boards, flags and scrims that stand by themselves, each with numbers worked by hand."""

from __future__ import annotations

from dataclasses import replace
from math import log2, pi

import pytest

from gear.specs import BoardSpec, ScrimSpec
from recipes.checks.lighting import light_up
from recipes.checks.panels import (
    SILVER,
    SILVER_SPREAD_STOPS,
    SURFACE_REFLECTANCE,
    gloss_of,
    panels_of,
    sheet_side,
    spread_of_board,
)
from recipes.checks.prediction import predict
from recipes.checks.setup import AssignedPanel, Unit
from recipes.light.gloss import Gloss
from recipes.look import LookError
from tests.recipes.stages import a_light, a_look, a_setup, a_zone

AT_FULL = {"lights": [a_light(setting_stops=0.0)]}


def a_panel(**more):
    """A metre square half-way to the light: the bare head stands 2 m before the face, at its height."""
    return {
        "name": "Panel",
        "kind": "flag",
        "bearing_deg": 0,
        "distance_m": 1.0,
        "height_m": 1.5,
        "width_m": 1.0,
        "height_of_panel_m": 1.0,
        **more,
    }


def with_panels(*panels, units=(), **look):
    setup = a_setup(a_look(**{**AT_FULL, **look}, panels=list(panels)))
    plans = setup.look.panels
    units = (*units, *[None] * (len(plans) - len(units)))
    return replace(setup, panels=tuple(AssignedPanel(p, u) for p, u in zip(plans, units, strict=True)))


def placement(setup, zone="face"):
    return predict(setup).zone(zone).placement


OPEN = placement(with_panels())


def test_a_flag_between_light_and_face_leaves_it_dark():
    assert placement(with_panels(a_panel())) is None
    assert light_up(with_panels(a_panel())).full("Key", "face") == 0.0


def test_a_flag_beside_the_beam_changes_nothing():
    assert placement(with_panels(a_panel(bearing_deg=90, turn_deg=0))) == pytest.approx(OPEN, abs=1e-3)


def test_a_net_that_lets_half_straight_through_costs_one_stop():
    net = a_panel(kind="scrim", transmittance=0.5, direct_share=1.0)
    assert placement(with_panels(net)) == pytest.approx(OPEN - 1.0, abs=1e-6)


def test_a_silk_becomes_a_source_of_its_own():
    # A piece of 10 × 10 cm: E = I / 1² · tau · A / (pi · 1²) against I / 2² straight: 4 · 0.5 · 0.01 / pi.
    silk = a_panel(kind="scrim", transmittance=0.5, width_m=0.1, height_of_panel_m=0.1)
    assert placement(with_panels(silk)) - OPEN == pytest.approx(log2(4 * 0.5 * 0.01 / pi), abs=0.01)


def test_a_large_silk_costs_far_less_than_its_transmittance_over_the_inverse_square():
    # It is lit from 1 m and seen from 1 m, and it is large: more reaches the face than a small piece's share of it.
    small = placement(
        with_panels(a_panel(kind="scrim", transmittance=0.5, width_m=0.2, height_of_panel_m=0.2))
    )
    large = placement(with_panels(a_panel(kind="scrim", transmittance=0.5, width_m=2, height_of_panel_m=2)))
    assert small < large < OPEN


def test_the_sheet_of_the_unit_goes_before_the_recipe():
    thin = Unit("B-18", "net", "Net", ScrimSpec(width_m=1, height_m=1, transmittance=0.25, direct_share=1.0))
    net = a_panel(kind="scrim", transmittance=0.5, direct_share=1.0)
    assert placement(with_panels(net, units=(thin,))) == pytest.approx(OPEN - 2.0, abs=1e-6)


FILL = a_panel(name="Fill", kind="board", bearing_deg=270, distance_m=0.8, surface="white")
CHEEKS = [a_zone("face"), a_zone("shadow", -2.0, 3.0, facing_deg=270)]


def test_a_white_board_fills_the_shadow_side():
    def shadow(**more):
        light = a_light(bearing_deg=60, setting_stops=0.0)
        return light_up(with_panels({**FILL, **more}, zones=CHEEKS, lights=[light])).full("Key", "shadow")

    white, black = shadow(), shadow(surface="black")
    # By reflectance: 0.85 against 0.04.
    assert white > 0
    assert white / black == pytest.approx(0.85 / 0.04, rel=1e-6)


def test_a_black_board_takes_away_what_it_covers_and_sends_almost_nothing():
    light = a_light(bearing_deg=60, setting_stops=0.0)
    flagged = with_panels(a_panel(bearing_deg=60), zones=CHEEKS, lights=[light])
    assert light_up(flagged).full("Key", "face") == 0.0


def test_a_flag_keeps_spill_off_a_ground_that_should_stay_dark():
    ground = a_zone("ground", -4.0, 0.5, bearing_deg=180, distance_m=2.0, stays_dark=True)
    spill = light_up(with_panels(zones=[a_zone(), ground])).full("Key", "ground")
    flag = a_panel(bearing_deg=180, distance_m=1.0, width_m=3, height_of_panel_m=3)
    kept = light_up(with_panels(flag, zones=[a_zone(), ground]))
    assert spill > 0
    assert kept.full("Key", "ground") == 0.0
    assert kept.full("Key", "face") == pytest.approx(light_up(with_panels()).full("Key", "face"), rel=0.01)


def test_a_flag_also_stands_in_the_way_of_what_a_board_sends():
    light = a_light(bearing_deg=60, setting_stops=0.0)
    # It covers the board from the face, not from the light.
    flag = a_panel(
        name="Flag", bearing_deg=270, distance_m=0.3, width_m=1.5, height_of_panel_m=1.5, reflectance=0.0
    )
    free = light_up(with_panels(FILL, zones=CHEEKS, lights=[light])).full("Key", "shadow")
    flagged = light_up(with_panels(FILL, flag, zones=CHEEKS, lights=[light])).full("Key", "shadow")
    assert free > 0
    assert flagged == pytest.approx(0.0, abs=1e-9)


def test_the_side_that_the_recipe_asks_for_is_the_one_that_counts():
    two_sided = BoardSpec(
        width_m=1, height_m=1, surface="white", reflectance=0.85, back_surface="silver", back_reflectance=0.7
    )
    assert sheet_side(two_sided, "white") == (0.85, "white")
    assert sheet_side(two_sided, "silver") == (0.7, "silver")
    assert sheet_side(two_sided, "black") == (0.85, "white")


def test_silver_shines_about_the_mirror_and_is_known_less_well():
    def fill(**more):
        light = a_light(bearing_deg=90, distance_m=1.0, setting_stops=0.0)
        zones = [a_zone("face", 0.0, 1.0, facing_deg=270)]
        board = {**FILL, "bearing_deg": 270, "distance_m": 1.0, "reflectance": 0.75, **more}
        return predict(with_panels(board, zones=zones, lights=[light])).zone("face")

    white, silver = fill(), fill(surface="silver")
    assert silver.placement > white.placement + 0.5
    assert silver.spread_stops > white.spread_stops
    assert silver.spread_stops == pytest.approx((0.1**2 + 0.1**2 + SILVER_SPREAD_STOPS**2) ** 0.5, abs=0.02)
    assert SILVER.share < 1


def test_the_spread_of_a_board_is_part_of_a_zone_that_it_lights():
    # All of the shadow's light comes off the board: its own 0.1 and the head's 0.1 stop, as a root of squares.
    light = a_light(bearing_deg=90, setting_stops=0.0)
    zones = [a_zone("face", 0.0, 1.0, facing_deg=270)]
    zone = predict(with_panels(FILL, zones=zones, lights=[light])).zone("face")
    assert zone.spread_stops == pytest.approx((0.1**2 + 0.1**2) ** 0.5)
    assert predict(with_panels()).zone("face").spread_stops == pytest.approx(0.1)


def test_a_panel_keeps_its_name_and_is_known_as_well_as_its_sheet_says():
    known = {"reflectance": {"basis": "measured", "spread_stops": 0.03}}
    sheet = BoardSpec(width_m=1, height_m=1, reflectance=0.9, sources=known)
    unit = Unit("BD-1", "board", "Board", sheet)
    (board,), _ = panels_of(with_panels({**FILL, "name": "Fill"}, units=(unit,)))
    assert (board.label, board.spread_stops) == ("Fill", 0.03)


@pytest.mark.parametrize(
    ("panel", "says"),
    [
        ({"kind": "scrim"}, "a scrim lets a part of the light through"),
        ({"kind": "flag", "transmittance": 0.5}, "a flag lets nothing through"),
        ({"kind": "board", "direct_share": 0.5}, "a board lets nothing through"),
        ({"kind": "scrim", "transmittance": 0.7, "reflectance": 0.5}, "more than all of the light"),
        ({"name": "Key"}, "a light is called 'Key' too"),
    ],
)
def test_a_panel_that_cannot_be_is_refused_with_a_sentence(panel, says):
    with pytest.raises(LookError) as refused:
        a_look(panels=[a_panel(**panel)])
    assert says in str(refused.value.problems)


TWO_SIDED = {"width_m": 1, "height_m": 1, "surface": "white", "reflectance": 0.85, "back_surface": "silver"}


@pytest.mark.parametrize(
    ("wished", "front", "back"), [("white", 0.85, 0.7), ("silver", 0.7, 0.85), ("black", 0.85, 0.7)]
)
def test_a_board_of_two_sides_has_the_other_one_at_its_back(wished, front, back):
    sheet = Unit("B-1", "board", "Board", BoardSpec(**TWO_SIDED, back_reflectance=0.7))
    (board,), _ = panels_of(with_panels({**FILL, "surface": wished}, units=(sheet,)))
    assert (board.reflectance, board.back_reflectance) == (front, back)
    assert (board.gloss is not None) == (wished == "silver")


def test_a_board_whose_sheet_knows_no_back_is_black_there_and_a_flag_is_as_dark_on_both_sides():
    sheet = Unit("B-1", "board", "Board", BoardSpec(width_m=1, height_m=1, surface="white", reflectance=0.85))
    (board,), _ = panels_of(with_panels(FILL, units=(sheet,)))
    assert board.back_reflectance == 0.0
    (flag,), _ = panels_of(with_panels(a_panel()))
    assert flag.back_reflectance == flag.reflectance == 0.04


def test_a_board_of_the_recipe_shows_only_the_side_that_faces_the_mark():
    (board,), _ = panels_of(with_panels(FILL))
    assert (board.reflectance, board.back_reflectance) == (0.85, 0.0)


@pytest.mark.parametrize(
    ("distance_m", "turned"), [(0.0, (0, 1, 0)), (0.045, (0, 1, 0)), (0.055, (-1, 0, 0)), (1.0, (-1, 0, 0))]
)
def test_a_panel_faces_the_mark_and_at_the_mark_the_camera(distance_m, turned):
    # At bearing 90, +x. Common practice, no source: within a hand's breadth it is at the mark.
    (board,), _ = panels_of(with_panels(a_panel(bearing_deg=90, distance_m=distance_m)))
    assert board.face.normal == pytest.approx(turned)


def test_what_surfaces_send_back_where_nobody_says():
    # Common practice, no source.
    assert SURFACE_REFLECTANCE == {"white": 0.85, "silver": 0.75, "black": 0.04, "wall": 0.5, "ceiling": 0.7}
    assert (SILVER.share, SILVER.half_angle_deg, SILVER_SPREAD_STOPS) == (0.8, 15.0, 0.5)


def test_a_silver_side_is_known_as_well_as_its_lobe_was_measured():
    measured = BoardSpec(
        width_m=1,
        height_m=1,
        surface="silver",
        reflectance=0.75,
        gloss_half_angle_deg=12,
        sources={
            "gloss_half_angle_deg": {"basis": "measured", "spread_stops": 0.2},
            "reflectance": {"basis": "measured", "spread_stops": 0.05},
        },
    )
    assert gloss_of("silver", measured) == Gloss(SILVER.share, 12)
    assert spread_of_board("silver", measured) == pytest.approx((0.05**2 + 0.2**2) ** 0.5)
    assert spread_of_board("silver") == pytest.approx((0.1**2 + SILVER_SPREAD_STOPS**2) ** 0.5)
    assert spread_of_board("white") == 0.1


def test_a_scrim_of_the_recipe_throws_back_what_the_recipe_says_and_nothing_else():
    cloth = {"kind": "scrim", "transmittance": 0.5, "direct_share": 0.25}
    _, (silent,) = panels_of(with_panels(a_panel(**cloth)))
    _, (bright,) = panels_of(with_panels(a_panel(**cloth, reflectance=0.3)))
    assert (silent.transmittance, silent.direct_share, silent.reflectance) == (0.5, 0.25, 0.0)
    assert bright.reflectance == 0.3
