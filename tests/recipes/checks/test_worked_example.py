"""A face by flash against bright windows, and the three moves a photographer makes on set, worked by hand.

The sums: one full aperture stop is a factor of two in light, so f/5.6 (5 stops above f/1) to f/4.5 (13/3 stops) is
2/3 stop, exactly; so is 1/200 (23/3 stops below 1 s) to 1/100 (20/3): one stop (ISO 2720:1974, Av = 2 log2 N,
Tv = -log2 t). That a flash shorter than the open shutter does not see the shutter time, and that half a stop down on
the strobe after 2/3 stop of aperture leaves +1/6, is common practice, no source.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from recipes.checks.findings import Finding
from recipes.checks.registry import Report, run_checks
from recipes.look import parse_look
from tests.recipes.checks.setups import a_plan, a_setup

TWO_THIRDS, ONE_SIXTH = float(Fraction(2, 3)), float(Fraction(1, 6))

ZONES: list[dict[str, Any]] = [
    {"name": "face", "target": {"placement_stops": 0.0, "tolerance_stops": 0.5}},
    {
        "name": "windows",
        "reading": "luminance",
        "glows": True,
        "bearing_deg": 180,
        "distance_m": 3.0,
        "target": {"placement_stops": 1.0, "tolerance_stops": 0.7},
    },
]


def found(
    aperture: str = "f/5.6", shutter: str = "1/200", setting_stops: float = -2.0, ev100: float = 13.6
) -> Report:
    """The findings of the look: the face by the strobe alone, the windows as the meter read them."""
    look = parse_look(
        {
            "title": "A face against the windows",
            "camera": {"aperture": aperture, "shutter": shutter, "iso": "100"},
            "zones": ZONES,
            "ambient": [{"zone": "face", "lux": 0.0}, {"zone": "windows", "ev100": ev100}],
            "lights": [a_plan(setting_stops=setting_stops, aim="face")],
        }
    )
    return run_checks(a_setup(look))


def placed(report: Report, zone: str) -> float:
    """Where the placement finding says that the zone lies."""
    finding: Finding = next(f for f in report.findings if f.check == "placement" and f.about == zone)
    assert finding.value is not None
    return finding.value


def moved(before: Report, after: Report, zone: str) -> float:
    return placed(after, zone) - placed(before, zone)


def test_the_windows_lie_where_their_reading_puts_them() -> None:
    # ISO 2720: EV = Av + Tv = 5 + 23/3 = 12 2/3 places a spot reading of EV 12 2/3 at 0; EV 13.6 lies 14/15 above.
    assert placed(found(ev100=13.6), "windows") == pytest.approx(13.6 - 38 / 3, abs=1e-9)


def test_opening_to_f_4_5_lifts_the_windows_by_two_thirds() -> None:
    assert moved(found(), found(aperture="f/4.5"), "windows") == pytest.approx(TWO_THIRDS, abs=1e-9)


def test_opening_to_f_4_5_lifts_the_flash_by_two_thirds_too() -> None:
    assert moved(found(), found(aperture="f/4.5"), "face") == pytest.approx(TWO_THIRDS, abs=1e-9)


def test_half_a_stop_less_on_the_strobe_then_leaves_the_face_a_sixth_above() -> None:
    after = found(aperture="f/4.5", setting_stops=-2.5)
    assert moved(found(), after, "face") == pytest.approx(ONE_SIXTH, abs=1e-9)


def test_half_a_stop_less_on_the_strobe_leaves_the_windows_where_they_are() -> None:
    before, after = found(aperture="f/4.5"), found(aperture="f/4.5", setting_stops=-2.5)
    assert moved(before, after, "windows") == 0.0


def test_twice_the_shutter_time_lifts_the_windows_by_one_stop() -> None:
    assert moved(found(), found(shutter="1/100"), "windows") == pytest.approx(1.0, abs=1e-9)


def test_twice_the_shutter_time_leaves_the_flash_alone() -> None:
    assert moved(found(), found(shutter="1/100"), "face") == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("zone", ["face", "windows"])
def test_the_finding_and_the_prediction_say_the_same(zone: str) -> None:
    report = found(aperture="f/4.5", setting_stops=-2.5)
    assert placed(report, zone) == report.prediction.zone(zone).placement


def test_the_prediction_keeps_the_two_kinds_of_light_apart() -> None:
    prediction = found().prediction
    shares = [(prediction.zone(z).flash_share, prediction.zone(z).ambient_share) for z in ("face", "windows")]
    assert shares == [(1.0, 0.0), (0.0, 1.0)]


def test_a_face_that_half_lives_on_ambient_gains_less_from_the_shutter() -> None:
    """Equal parts of ambient and flash: doubling one of two equal parts gives log2(3/2) stop."""
    flash = placed(found(), "face")
    ambient = 38 / 3 + flash
    before, after = (_half_ambient(shutter, ambient) for shutter in ("1/200", "1/100"))
    assert placed(before, "face") == pytest.approx(flash + 1.0, abs=1e-9)
    assert moved(before, after, "face") == pytest.approx(0.5849625007, abs=1e-9)


def _half_ambient(shutter: str, ev100: float) -> Report:
    look = parse_look(
        {
            "title": "Half and half",
            "camera": {"aperture": "f/5.6", "shutter": shutter, "iso": "100"},
            "zones": ZONES[:1],
            "ambient": [{"zone": "face", "ev100": ev100}],
            "lights": [a_plan(setting_stops=-2.0, aim="face")],
        }
    )
    return run_checks(a_setup(look))
