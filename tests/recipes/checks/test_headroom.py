"""Facts about clipping. ISO 12232 and ISO 2720: a spot reading clips 3.260 stops up with K 12.5, a white of 100 % after
an incident reading 0.589 stop up with C 250."""

from __future__ import annotations

import pytest

from recipes.checks.headroom import check
from tests.recipes.checks.setups import a_camera, a_look, a_prediction, a_setup, a_zone

WINDOW = {"name": "window", "reading": "luminance", "glows": True, "target": {"placement_stops": 1.0}}


def window(placement, **more):
    return a_prediction(
        zones=(a_zone("window", placement, **{"reading": "luminance", "target": 1.0, **more}),)
    )


def only(findings):
    (finding,) = findings
    return finding


def setup(**camera):
    return a_setup(a_look(zones=[WINDOW], ambient=[], lights=[]), camera=a_camera(**camera))


@pytest.mark.parametrize(
    ("placement", "status", "margin"), [(2.7, "ok", 0.560), (2.8, "tight", 0.460), (3.5, "gap", -0.240)]
)
def test_a_window_clips_by_the_standard_where_the_body_states_nothing(placement, status, margin):
    finding = only(check(setup(), window(placement)))
    assert (finding.status, finding.estimated) == (status, True)
    assert finding.margin == pytest.approx(margin, abs=1e-3)


@pytest.mark.parametrize(
    ("reading", "told"),
    [("luminance", ("headroom", "")), ("incident", ("headroom + log2( π · K / (C · ρ) )", "ρ = 0.18"))],
)
def test_where_it_clips_is_told_by_how_it_was_read(reading, told):
    (finding,) = check(a_setup(a_look()), a_prediction(zones=(a_zone(placement=0.0, reading=reading),)))
    assert (finding.workings[1].formula, finding.workings[1].numbers) == told


def test_the_bodys_own_figure_goes_first():
    finding = only(check(setup(headroom_stops=4.0), window(3.3)))
    assert (finding.status, finding.limit, finding.estimated) == ("ok", 4.0, False)


@pytest.mark.parametrize(
    ("camera", "spread"),
    # Common practice, no source. The zone itself is 0.1 stop off.
    [
        ({}, 0.5),
        ({"headroom_stops": 4.0}, 0.5),
        ({"headroom_stops": 4.0, "sources": {"headroom_stops": {"basis": "measured"}}}, 0.1),
        ({"headroom_stops": 4.0, "sources": {"headroom_stops": {"spread_stops": 0.2}}}, 0.2),
    ],
    ids=["by the standard", "from who knows where", "measured", "stated"],
)
def test_the_spread_is_the_zones_and_that_of_where_it_clips(camera, spread):
    finding = only(check(setup(**camera), window(2.0, spread_stops=0.1)))
    assert finding.spread == pytest.approx((0.1**2 + spread**2) ** 0.5)


def test_an_estimated_figure_of_the_body_stays_an_estimate():
    sources = {"headroom_stops": {"basis": "estimated"}}
    assert only(check(setup(headroom_stops=4.0, sources=sources), window(3.5))).estimated


@pytest.mark.parametrize(
    ("reflectance", "limit"),
    # log2(78 pi / (0.65157 · 250) / rho): 0.589 for a perfect white, 3.063 for an 18 % card.
    # The blackest counts as one of a hundredth: common practice, no source.
    [(1.0, 0.589), (0.18, 3.063), (0.01, 7.233), (0.0, 7.233)],
)
def test_a_zone_metered_at_the_subject_clips_by_its_reflectance(reflectance, limit):
    look = a_look(zones=[{"name": "face", "reflectance": reflectance, "target": {"placement_stops": 0.0}}])
    assert only(check(a_setup(look), a_prediction())).limit == pytest.approx(limit, abs=1e-3)


def test_the_zone_nearest_to_clipping_is_told():
    look = a_look(zones=[{"name": "face", "target": {"placement_stops": 0.0}}, WINDOW])
    zones = (a_zone("face", 1.0), a_zone("window", 2.5, reading="luminance"))
    assert only(check(a_setup(look), a_prediction(zones=zones))).about == "window"


def test_a_zone_that_is_meant_to_clip_asks_nothing():
    assert list(check(setup(), window(4.0, target=4.0))) == []
    assert list(check(setup(headroom_stops=4.0), window(4.0, target=4.0))) == []


def test_a_zone_that_is_meant_to_clip_hides_no_other():
    look = a_look(zones=[WINDOW, {"name": "face", "target": {"placement_stops": 0.0}}])
    zones = (a_zone("window", 5.0, reading="luminance", target=5.0), a_zone("face", 1.0))
    assert only(check(a_setup(look), a_prediction(zones=zones))).about == "face"


def test_a_zone_that_nobody_knows_is_unknown():
    assert only(check(setup(), window(None))).missing == "a meter reading"


def test_without_a_body_the_standard_counts():
    look = a_look(zones=[WINDOW], ambient=[], lights=[])
    assert only(check(a_setup(look, camera=None), window(3.0))).estimated
