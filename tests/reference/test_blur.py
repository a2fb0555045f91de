"""Motion blur against outside values.

Blur on the sensor = speed x time x magnification x sine of the angle to the lens axis: geometry, thin lens.
"""

from __future__ import annotations

import pytest

from recipes.light import blur, framing, pulse


@pytest.mark.parametrize(
    ("focal_mm", "distance_m", "expected"),
    # f / (s - f), thin lens: Ray, Applied Photographic Optics.
    [(85, 2.0, 0.044386), (100, 0.6, 0.2), (50, 4.0, 0.012658)],
)
def test_magnification(focal_mm, distance_m, expected):
    assert framing.magnification(focal_mm, distance_m) == pytest.approx(expected, abs=1e-6)


@pytest.mark.parametrize(
    ("focal_mm", "horizontal", "vertical", "diagonal"),
    # Coverage of 36x24 mm as posted to a camera makers' users' list, 20 August 1999, in decimal degrees.
    [
        (24, 73.740, 53.130, 84.062),
        (35, 54.432, 37.849, 63.440),
        (50, 39.598, 26.991, 46.793),
        (90, 22.620, 15.189, 27.032),
        (200, 10.286, 6.867, 12.347),
    ],
)
def test_field_of_view(focal_mm, horizontal, vertical, diagonal):
    sides = (36.0, 24.0, (36.0**2 + 24.0**2) ** 0.5)
    seen = [framing.field_of_view_deg(side, focal_mm) for side in sides]
    assert seen == pytest.approx([horizontal, vertical, diagonal], abs=0.001)


@pytest.mark.parametrize(("angle_deg", "expected_mm"), [(90.0, 0.03797), (45.0, 0.02685)])
def test_a_jumper_at_3_metres_a_second(angle_deg, expected_mm):
    ratio = framing.magnification(50, 4.0)
    assert blur.blur_mm(3.0, 1 / 1000, ratio, angle_deg) == pytest.approx(expected_mm, abs=1e-5)


def test_the_jumper_smears_over_6_33_pixels_of_6_micrometres():
    smear = blur.blur_mm(3.0, 1 / 1000, framing.magnification(50, 4.0))
    assert blur.blur_px(smear, 0.006) == pytest.approx(6.33, abs=0.005)


@pytest.mark.parametrize(
    ("speed", "time_s", "focal_mm", "distance_m", "smear_mm", "pixels"),
    [
        pytest.param(5.0, 1 / 10_000, 100, 0.6, 0.1000, 16.7, id="splash"),
        pytest.param(1.4, 1 / 500, 85, 2.0, 0.1243, 20.7, id="walking"),
    ],
)
def test_other_subjects(speed, time_s, focal_mm, distance_m, smear_mm, pixels):
    smear = blur.blur_mm(speed, time_s, framing.magnification(focal_mm, distance_m))
    assert smear == pytest.approx(smear_mm, abs=1e-4)
    assert blur.blur_px(smear, 0.006) == pytest.approx(pixels, abs=0.05)


def test_the_longest_time_that_keeps_the_jumper_within_a_circle_of_confusion():
    longest = blur.longest_time_s(0.03, 3.0, framing.magnification(50, 4.0))
    assert longest == pytest.approx(1 / 1266, rel=0.01)


def test_t05_taken_for_t01_understates_blur_by_up_to_1_73_doublings():
    # ISO 2827 durations of an ideal discharge.
    guessed = pulse.FlashDuration(1 / 1000, "t0.5").as_t01()
    assert pulse.FlashDuration(guessed.longest_s, "t0.1").stops_longer_than(
        pulse.FlashDuration(1 / 1000, "t0.1")
    ) == pytest.approx(1.73, abs=0.005)


def test_t05_of_one_unit_is_never_compared_with_t01_of_another():
    one, other = pulse.FlashDuration(1 / 1000, "t0.5"), pulse.FlashDuration(1 / 800, "t0.1")
    with pytest.raises(ValueError, match=r"t0\.5 cannot be compared with t0\.1"):
        one.stops_longer_than(other)


def test_flash_and_window_light_in_one_frame():
    # 160 lx s of flash and 2000 lx for 1/125 s: ambient is 16 of 176 lx s, 3.322 stops under the flash.
    assert blur.ambient_share(-3.3219281) == pytest.approx(16 / 176, abs=1e-7)
