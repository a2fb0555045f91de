"""Facts about flashing. Public guidance warns above three flashes a second (WCAG 2, 2.3.1; epilepsy charities)."""

from __future__ import annotations

import pytest

from recipes.checks.flash_rate import check
from tests.recipes.checks.setups import a_look, a_prediction, a_setting, a_setup


def session(**more):
    return a_setup(a_look(session=more))


def only(findings):
    (finding,) = findings
    return finding


@pytest.mark.parametrize(
    ("rate_hz", "status", "margin"),
    [(2.0, "ok", 1.0), (3.0, "ok", 0.0), (3.1, "tight", None), (20.0, "tight", None)],
)
def test_a_burst_over_three_a_second_calls_for_a_word_first(rate_hz, status, margin):
    finding = only(check(session(burst_frames=10, burst_rate_hz=rate_hz), a_prediction()))
    assert (finding.status, finding.value, finding.limit) == (status, rate_hz, 3.0)
    assert finding.margin == margin
    assert "seizures" in finding.caution


@pytest.mark.parametrize(("pace_s", "asked"), [(1.0, 0), (0.9, 1)])
def test_up_to_one_flash_a_second_nobody_asks(pace_s, asked):
    # Common practice, no source.
    assert len(list(check(session(pace_s=pace_s), a_prediction()))) == asked


def test_the_pace_alone_can_be_fast_enough():
    finding = only(check(session(pace_s=0.25), a_prediction()))
    assert (finding.status, finding.value) == ("tight", 4.0)


def test_a_burst_rate_without_a_burst_does_not_count():
    assert list(check(session(burst_rate_hz=20.0), a_prediction())) == []


def test_without_strobes_there_is_no_question():
    setup = a_setup(a_look(session={"pace_s": 0.25}), heads=())
    assert list(check(setup, a_prediction(a_setting(setting_stops=None)))) == []


def test_two_frames_are_a_burst_already():
    finding = only(check(session(burst_frames=2, burst_rate_hz=5.0), a_prediction()))
    assert finding.value == 5.0
    assert [working.result for working in finding.workings] == ["0.25 a second", "5 a second"]
