"""Facts about sharpness. Sensor 36 x 24 mm: c = 43.267 / 1442 = 0.030005 mm. The subject is 0.3 m deep."""

from __future__ import annotations

import pytest

from recipes.checks.depth_of_field import check
from tests.recipes.checks.setups import a_lens, a_look, a_prediction, a_setup


def only(findings):
    (finding,) = findings
    return finding


def run(depth_m=0.3, lens=None, **camera):
    look = a_look(subject={"depth_m": depth_m}, camera=camera)
    return only(check(a_setup(look, **({"lens": lens} if lens else {})), a_prediction()))


def test_the_published_case_of_50_mm_at_f8_and_3_m():
    # Near 2.33791 m with c 0.03 (Ray, Applied Photographic Optics); c here is 0.030005.
    finding = run(depth_m=1.0, aperture="f/8", focal_length_mm=50.0)
    assert finding.status == "ok"
    assert 3.0 - finding.value == pytest.approx(2.33791, abs=1e-3)
    assert finding.limit == 0.5


def test_a_subject_deeper_than_that_is_a_gap_and_the_aperture_that_covers_it_is_offered():
    finding = run(depth_m=0.3, aperture="f/2.8")
    assert finding.status == "gap"
    assert finding.remedies[0].sentence == "Close the aperture to f/5."


def test_less_to_spare_than_people_sway_is_tight():
    # At f/5.6 and 85 mm it is sharp from 2.808 m: 0.192 m before the mark against 0.18 m. Sway 0.02 m: no source.
    assert run(depth_m=0.36).status == "tight"


def test_where_diffraction_blurs_first_no_aperture_is_offered():
    finding = run(depth_m=1.6, lens=a_lens(narrowest_f_number=45))
    assert "diffraction" in finding.remedies[0].sentence


def test_where_the_lens_does_not_close_so_far_none_is_offered_either():
    finding = run(depth_m=0.5, lens=a_lens(narrowest_f_number=6.3))
    assert "the lens does not close so far" in finding.remedies[0].sentence


def test_a_subject_that_reaches_up_to_the_lens_is_only_told_to_step_back():
    finding = run(depth_m=6.0)
    assert len(finding.remedies) == 1


def test_near_by_an_aperture_is_offered_too():
    # At 0.9 m the front lies at 0.865 m with the sway: 85² · 0.035 / (815 · 0.865) / 0.03 is f/12.
    finding = run(depth_m=0.03, aperture="f/2.8", distance_m=0.9)
    assert finding.remedies[0].sentence == "Close the aperture to f/13."


def test_beyond_the_hyperfocal_distance_it_is_sharp_to_far_away():
    # 24 mm at f/8: 2.424 m.
    assert "far away" in run(aperture="f/8", focal_length_mm=24.0).sentence


def test_a_flat_subject_asks_nothing():
    assert list(check(a_setup(a_look(subject={"depth_m": 0.0})), a_prediction())) == []


def test_without_a_body_or_a_distance_it_is_unknown():
    assert only(check(a_setup(camera=None), a_prediction())).missing == "a camera body: its sensor"
    assert run(distance_m=0.05).status == "unknown"
