"""Facts about the lens: mount, focal length, closest focus, aperture."""

from __future__ import annotations

import pytest

from recipes.checks.lens_fit import check
from tests.recipes.checks.setups import a_lens, a_look, a_prediction, a_setup


def asks(**camera):
    return a_look(camera=camera)


def only(findings):
    (finding,) = findings
    return finding


def run(look=None, **lens):
    return only(check(a_setup(look or asks(), lens=a_lens(**lens)), a_prediction()))


def test_a_lens_that_does_it_all_is_told_once():
    finding = run()
    assert (finding.status, finding.margin) == ("ok", pytest.approx(2.2))


def test_another_mount_does_not_fit():
    finding = run(mount="screw-42")
    assert finding.status == "gap"
    assert "takes ring-48" in finding.sentence


def test_a_mount_written_differently_fits():
    assert run(mount="Ring 48").status == "ok"


def test_without_a_body_the_mount_is_no_question():
    setup = a_setup(camera=None, lens=a_lens(mount="screw-42"))
    assert only(check(setup, a_prediction())).status == "ok"


@pytest.mark.parametrize(
    ("shortest", "longest", "limit", "words"), [(50, 50, 50, "50 mm"), (24, 70, 70, "24 to 70 mm")]
)
def test_a_focal_length_that_it_lacks(shortest, longest, limit, words):
    # The same frame with 50 mm is taken from 3 · 50 / 85 = 1.8 m.
    finding = run(focal_min_mm=shortest, focal_max_mm=longest)
    assert (finding.status, finding.limit, finding.margin) == ("gap", limit, limit - 85)
    assert words in finding.sentence


def test_a_zoom_that_holds_the_focal_length_fits():
    assert run(focal_min_mm=24, focal_max_mm=105).status == "ok"


@pytest.mark.parametrize(
    ("distance_m", "status"), [(0.845, "ok"), (0.835, "tight"), (0.82, "tight"), (0.7, "gap")]
)
def test_the_mark_must_lie_beyond_the_closest_focus(distance_m, status):
    finding = run(asks(distance_m=distance_m))
    # Less than a twentieth to spare is tight: common practice, no source.
    assert (finding.status, finding.unit, finding.margin) == (status, "m", pytest.approx(distance_m - 0.8))
    assert status == "ok" or finding.remedies[0].sentence == "Put the camera at 0.84 m or farther."


def test_an_aperture_wider_than_the_lens_has():
    # f/1.4 is exactly 2^(1/2): 2 log2(1.4142 / 2.8) = -1.97 stops.
    finding = run(asks(aperture="f/1.4"), widest_f_number=2.8)
    assert (finding.status, finding.margin) == ("gap", pytest.approx(-1.971, abs=1e-3))


def test_an_aperture_narrower_than_the_lens_has():
    # f/32 against f/16: two stops.
    finding = run(asks(aperture="f/32"), narrowest_f_number=16)
    assert (finding.status, finding.margin) == ("gap", pytest.approx(-2.0))


def test_the_rounding_of_engraved_f_numbers_is_forgiven():
    # f/5.6 is 5.657 in truth: 2 log2(5.657 / 5.6) lies 0.03 stop inside, f/22 (22.63) 0.08 stop outside a 22.
    assert run(asks(aperture="f/22"), narrowest_f_number=22).status == "ok"


@pytest.mark.parametrize(("outside_stops", "status"), [(0.14, "ok"), (0.16, "gap")])
def test_three_twentieths_of_a_stop_are_forgiven_and_no_more(outside_stops, status):
    # Common practice, no source: what is engraved f/1.2 is 1.189 or 1.26. f/5.6 is 5.657.
    assert run(widest_f_number=32**0.5 * 2 ** (outside_stops / 2)).status == status
    assert run(narrowest_f_number=32**0.5 / 2 ** (outside_stops / 2)).status == status


def test_without_a_lens_it_is_unknown():
    finding = only(check(a_setup(lens=None), a_prediction()))
    assert (finding.status, finding.missing) == ("unknown", "a lens")
