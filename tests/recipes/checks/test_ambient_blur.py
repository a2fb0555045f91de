"""Facts about smear. At 1/125 (1/128 s) 3 m/s smear 3000 · 0.0078125 · 0.02916 = 0.6834 mm."""

from __future__ import annotations

import pytest

from recipes.checks.ambient_blur import check
from tests.recipes.checks.setups import a_look, a_prediction, a_setup, a_zone

RUNNER = {"movement_m_per_s": 3.0}


def moving(**subject):
    return a_setup(a_look(subject={**RUNNER, **subject}))


def lit(ambient_share: float, **more):
    return a_prediction(zones=(a_zone(ambient_share=ambient_share, flash_share=1 - ambient_share, **more),))


def only(findings):
    (finding,) = findings
    return finding


@pytest.mark.parametrize(
    ("share", "under", "status"),
    # log2(1 / share) against three stops; the spread of the zone is 0.1.
    [(0.0625, 4.0, "ok"), (0.12, 3.059, "tight"), (0.25, 2.0, "gap"), (1.0, 0.0, "gap")],
)
def test_the_smear_must_lie_three_stops_under_the_picture(share, under, status):
    # Three stops: common practice, no source.
    finding = only(check(moving(), lit(share)))
    assert (finding.status, finding.unit) == (status, "stops")
    assert finding.value == pytest.approx(under, abs=1e-3)


def test_burning_lights_smear_like_ambient():
    finding = only(check(moving(), lit(0.0625, continuous_share=0.1875)))
    assert finding.value == pytest.approx(2.0)


def test_next_to_no_ambient_shows_no_smear():
    finding = only(check(moving(), lit(0.0)))
    assert "no smear shows" in finding.sentence
    # The share is told no lower than twelve stops down.
    assert finding.value == pytest.approx(12.0)
    assert "no smear shows" not in only(check(moving(), lit(2.0**-11.9))).sentence


def test_a_smear_within_the_allowed_blur_asks_for_nothing_more():
    finding = only(check(moving(allowed_blur_mm=0.7), lit(1.0)))
    assert (finding.status, finding.unit, finding.value) == ("ok", "mm", pytest.approx(0.6834, abs=1e-4))


def test_with_high_speed_sync_the_flash_smears_too():
    look = a_look(subject=RUNNER, camera={"shutter": "1/1000", "high_speed_sync": True})
    assert only(check(a_setup(look), lit(0.0))).value == pytest.approx(0.0)


def test_the_worst_zone_on_the_subject_counts():
    zones = (
        a_zone("cheek", ambient_share=0.05),
        a_zone("skirt", ambient_share=0.5),
        a_zone("window", reading="luminance", ambient_share=1.0),
    )
    assert only(check(moving(), a_prediction(zones=zones))).about == "skirt"


def test_without_a_reading_it_is_unknown():
    finding = only(check(moving(), a_prediction(zones=(a_zone(placement=None),))))
    assert (finding.status, finding.missing) == ("unknown", "a meter reading")


def test_a_subject_at_rest_or_a_silhouette_asks_nothing():
    assert list(check(a_setup(), lit(1.0))) == []
    assert list(check(moving(), lit(1.0, stays_dark=True))) == []
