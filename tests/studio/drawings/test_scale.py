"""The stops scale shows what the numbers say."""

from __future__ import annotations

from itertools import pairwise

import pytest

from studio.drawings.scale import ZoneMark, stops_scale


def _row(**mark: object):  # type: ignore[no-untyped-def]
    values = {"name": "face", "target_stops": 0.0, "tolerance_stops": 0.3, **mark}
    scale = stops_scale([ZoneMark(**values)])  # type: ignore[arg-type]
    return scale, scale.rows[0]


def _x(scale, label: str) -> float:  # type: ignore[no-untyped-def]
    return next(tick.x_percent for tick in scale.ticks if tick.label == label)


def test_a_zone_at_its_target_stands_in_the_middle_of_its_bracket() -> None:
    scale, row = _row(predicted_stops=0.0)
    assert row.column_percent == _x(scale, "0")
    assert row.column_percent == pytest.approx(
        (row.bracket_from_percent + row.bracket_to_percent) / 2, abs=1e-3
    )


def test_a_stop_is_as_wide_everywhere() -> None:
    scale, _ = _row()
    whole = [tick.x_percent for tick in scale.ticks if tick.whole]
    steps = [b - a for a, b in pairwise(whole)]
    assert steps == pytest.approx([steps[0]] * 9, abs=2e-3)


def test_the_ruler_has_two_short_ticks_between_whole_stops() -> None:
    scale, _ = _row()
    assert [tick.label for tick in scale.ticks][:4] == ["−5", "", "", "−4"]
    assert len(scale.ticks) == 28


def test_the_ruler_grows_to_hold_what_lies_outside() -> None:
    scale, row = _row(predicted_stops=5.2, spread_stops=0.3)
    assert (scale.low, scale.high) == (-5, 6)
    assert row.whisker_to_percent is not None
    assert row.whisker_to_percent < _x(scale, "+6")


def test_what_lies_beyond_the_largest_ruler_is_marked_at_its_edge() -> None:
    scale, row = _row(predicted_stops=-17.0)
    assert scale.low == -10
    assert row.off_scale == "below"
    assert row.column_percent == 0.0
    assert row.whisker_from_percent is None


def test_a_zone_outside_its_bracket_shows_by_how_much() -> None:
    _, row = _row(predicted_stops=1.5)
    assert row.mark.off_stops == pytest.approx(1.2)
    assert row.gap_from_percent == row.bracket_to_percent
    assert row.gap_to_percent == row.column_percent
    assert row.gap_width_percent > 0


def test_too_dark_is_negative() -> None:
    _, row = _row(predicted_stops=-1.0)
    assert row.mark.off_stops == pytest.approx(-0.7)


def test_darker_is_never_wrong_for_a_silhouette() -> None:
    _, row = _row(predicted_stops=-6.0, target_stops=-3.0, stays_dark=True)
    assert row.mark.off_stops == 0.0
    assert row.open_below
    assert row.bracket_from_percent == 0.0


def test_a_silhouette_can_be_too_bright() -> None:
    _, row = _row(predicted_stops=-2.0, target_stops=-3.0, stays_dark=True)
    assert row.mark.off_stops == pytest.approx(0.7)


def test_the_column_is_filled_by_the_shares_in_linear_light() -> None:
    _, row = _row(predicted_stops=0.0, ambient_share=0.25, flash_share=0.75)
    assert (row.ambient_px, row.flash_px) == (8.0, 24.0)


def test_an_unknown_zone_keeps_its_bracket_and_has_no_column() -> None:
    _, row = _row(missing="a reading")
    assert row.column_percent is None
    assert row.bracket_width_percent > 0


def test_no_zones_is_an_empty_ruler() -> None:
    assert stops_scale([]).rows == ()


def test_the_ruler_has_the_same_room_at_both_ends_for_its_labels() -> None:
    scale, _ = _row()
    assert scale.ticks[0].x_percent + scale.ticks[-1].x_percent == pytest.approx(100.0, abs=2e-3)
    assert scale.ticks[0].x_percent > 2
