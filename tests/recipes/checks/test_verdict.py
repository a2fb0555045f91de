"""Facts about margins and about how times are said."""

from __future__ import annotations

import pytest

from recipes.checks.verdict import status_of, times_of


@pytest.mark.parametrize(
    ("margin", "status"),
    [
        (-0.0001, "gap"),
        (-1e-12, "tight"),
        (0.0, "tight"),
        (0.0999, "tight"),
        (0.1 - 1e-12, "ok"),
        (0.1, "ok"),
    ],
)
def test_a_margin_below_nothing_is_a_gap_and_below_what_is_asked_for_is_tight(margin, status):
    assert status_of(margin, 0.1) == status


@pytest.mark.parametrize(
    ("seconds", "said"),
    # Dials count down to 1/3 s and then go on in tenths.
    [(0.0, "0 s"), (0.00125, "1/800 s"), (1 / 3, "1/3 s"), (0.4, "0.4 s"), (0.45, "0.45 s"), (2.5, "2.5 s")],
)
def test_times_are_said_as_on_a_dial(seconds, said):
    assert times_of(seconds) == said


@pytest.mark.parametrize(("seconds", "said"), [(9.9, "9.9 s"), (10.0, "10 s"), (2089.6, "2090 s")])
def test_long_times_are_whole_seconds(seconds, said):
    assert times_of(seconds) == said
