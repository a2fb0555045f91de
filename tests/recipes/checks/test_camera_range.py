"""Facts about the body's range of ISO and time."""

from __future__ import annotations

import pytest

from recipes.checks.camera_range import check
from tests.recipes.checks.setups import a_camera, a_look, a_prediction, a_setup


def run(camera=None, **plan):
    return list(check(a_setup(a_look(camera=plan), camera=a_camera(**(camera or {}))), a_prediction()))


def test_settings_that_the_body_has():
    (finding,) = run()
    assert (finding.status, finding.margin) == ("ok", 0.0)


@pytest.mark.parametrize(("iso", "limit", "margin"), [("50", 0.0, -1.0), ("6400", 4.0, -2.0)])
def test_an_iso_that_it_lacks(iso, limit, margin):
    # Whole stops from the body's 100 to 1600.
    (finding,) = run({"iso_max": 1600}, iso=iso)
    assert (finding.status, finding.limit, finding.margin) == (
        "gap",
        pytest.approx(limit),
        pytest.approx(margin),
    )


def test_a_time_that_it_lacks():
    # 1/8192 against 1/4000: 1.03 stops.
    (finding,) = run({"shortest_time_s": 1 / 4000}, shutter="1/8000")
    assert (finding.status, finding.margin) == ("gap", pytest.approx(-1.034, abs=1e-3))


def test_the_rounding_of_engraved_times_is_forgiven():
    # A marked 1/8000 is 1/8192: 0.034 stop.
    (finding,) = run({"shortest_time_s": 1 / 8000}, shutter="1/8000")
    assert finding.status == "ok"


@pytest.mark.parametrize(("beyond_stops", "status"), [(0.09, "ok"), (0.11, "gap")])
def test_a_tenth_of_a_stop_is_forgiven_and_no_more(beyond_stops, status):
    # Common practice, no source: marked 1/8000 is 1/8192.
    (finding,) = run({"shortest_time_s": 2**beyond_stops / 8192}, shutter="1/8000")
    assert finding.status == status


@pytest.mark.parametrize(
    ("body", "margin"), [({}, 2.0), ({"iso_max": 800}, 1.0), ({"shortest_time_s": 1 / 256}, 1.0)]
)
def test_of_speed_and_time_the_nearer_end_is_told(body, margin):
    # ISO 400 is two stops from 100; 1/125 is 1/128.
    (finding,) = run(body, iso="400")
    assert (finding.value, finding.limit, finding.margin) == (
        pytest.approx(margin),
        0.0,
        pytest.approx(margin),
    )


def test_without_a_body_there_is_no_question():
    assert list(check(a_setup(camera=None), a_prediction())) == []
