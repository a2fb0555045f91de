"""Facts about the frame. At 3 m with 85 mm: 24 mm give 24 · 2915 / 85 = 0.823 m, 36 mm give 1.2346 m."""

from __future__ import annotations

import pytest

from recipes.checks.framing import check
from tests.recipes.checks.setups import a_look, a_prediction, a_room, a_setup


def only(findings):
    (finding,) = findings
    return finding


def frame(wanted, **more):
    return only(check(a_setup(a_look(subject={"frame_height_m": wanted}), **more), a_prediction()))


@pytest.mark.parametrize(
    ("wanted", "given", "status", "how"),
    [
        # Less than a twentieth of air, or 1.6 times too much, is tight: common practice, no source.
        (0.7, 0.8231, "ok", "level"),
        (0.76, 0.8231, "ok", "level"),
        (0.79, 0.8231, "tight", "level"),
        (0.52, 0.8231, "ok", "level"),
        (0.51, 0.8231, "tight", "fills 62%"),
        (0.8, 0.8231, "tight", "level"),
        (1.0, 1.2346, "ok", "on its side"),
        (1.2, 1.2346, "tight", "on its side"),
        (1.5, 1.2346, "gap", "on its side"),
        (0.4, 0.8231, "tight", "fills 49%"),
    ],
)
def test_the_frame_holds_the_wanted_height(wanted, given, status, how):
    finding = frame(wanted)
    assert (finding.status, finding.value) == (status, pytest.approx(given, abs=1e-3))
    assert how in finding.sentence


def test_the_camera_distance_that_frames_it_is_offered():
    # 85 · (1 + 1.5 · 1.05 · 1000 / 36) = 3804 mm.
    assert "3.80 m" in frame(1.5).remedies[0].sentence


def test_without_a_body_or_a_distance_it_is_unknown():
    assert frame(1.0, camera=None).missing == "a camera body: its sensor"
    look = a_look(subject={"frame_height_m": 1.0}, camera={"distance_m": 0.05})
    assert only(check(a_setup(look), a_prediction())).status == "unknown"


@pytest.mark.parametrize(
    ("depth_m", "status"),
    # Less than 0.3 m behind the back is tight: common practice, no source.
    [(8.0, "ok"), (6.95, "ok"), (6.85, "tight"), (6.7, "tight"), (6.0, "gap")],
)
def test_the_line_from_the_far_wall_to_the_photographer_fits_the_room(depth_m, status):
    # 3 m behind the mark + 3 m to the camera + 0.6 m to work: 6.6 m. House policy for the 0.6.
    finding = only(check(a_setup(room=a_room(depth_m=depth_m)), a_prediction()))
    assert (finding.status, finding.value) == (status, pytest.approx(6.6))


def test_outdoors_and_without_a_wish_there_is_no_question():
    assert list(check(a_setup(room=a_room(outdoors=True)), a_prediction())) == []
