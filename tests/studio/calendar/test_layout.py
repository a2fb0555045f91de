"""Where bars stand: positions worked by hand from hours."""

from __future__ import annotations

from datetime import date

import pytest

from studio.calendar.layout import Bar, laid_out, overlapping, taken_over_time
from studio.calendar.span import Span, span_of
from tests.studio.calendar.promised import PARIS, a_promise


@pytest.fixture
def tuesday() -> Span:
    return span_of("day", date(2026, 12, 1), PARIS)


def at(hour: int, minute: int = 0) -> str:
    return f"2026-12-01T{hour:02d}:{minute:02d}"


def only(bars: tuple[Bar, ...]) -> Bar:
    (bar,) = bars
    return bar


def test_six_hours_from_six_o_clock_are_the_second_quarter_of_the_day(tuesday: Span) -> None:
    bar = only(laid_out([a_promise(at(6), at(12))], tuesday))
    assert (bar.from_percent, bar.width_percent) == (25.0, 25.0)


def test_prep_and_turnaround_stand_apart_from_use(tuesday: Span) -> None:
    """Use 10 to 12, blocked 9 to 14: the bar is 5 h, the use begins after one fifth and fills two."""
    bar = only(laid_out([a_promise(at(10), at(12), prep=at(9), ready=at(14))], tuesday))
    assert bar.from_percent == 37.5
    assert bar.width_percent == pytest.approx(100 * 5 / 24, abs=1e-3)
    assert (bar.use_from_percent, bar.use_width_percent) == pytest.approx((20.0, 40.0), abs=1e-2)
    assert bar.shows_buffers


def test_two_that_only_touch_stand_in_one_lane_side_by_side(tuesday: Span) -> None:
    first, second = laid_out([a_promise(at(10), at(12)), a_promise(at(12), at(14))], tuesday)
    assert first.lane == second.lane == 0
    assert first.from_percent + first.width_percent == pytest.approx(second.from_percent, abs=1e-3)


def test_one_minute_of_overlap_takes_a_second_lane(tuesday: Span) -> None:
    bars = laid_out([a_promise(at(10), at(12, 1)), a_promise(at(12), at(14), state="enquiry")], tuesday)
    assert sorted(bar.lane for bar in bars) == [0, 1]


def test_what_stands_is_above_what_is_only_asked_for(tuesday: Span) -> None:
    asked, stands = laid_out([a_promise(at(8), at(12), state="enquiry"), a_promise(at(10), at(14))], tuesday)
    assert (asked.promise.state, asked.lane) == ("enquiry", 1)
    assert (stands.promise.state, stands.lane) == ("confirmed", 0)


def test_what_began_before_is_cut_at_the_edge(tuesday: Span) -> None:
    bar = only(laid_out([a_promise("2026-11-30T12:00", at(12))], tuesday))
    assert (bar.from_percent, bar.width_percent) == (0.0, 50.0)
    assert bar.goes_on_before
    assert not bar.goes_on_after


def test_what_ends_when_the_day_begins_is_not_on_it(tuesday: Span) -> None:
    assert laid_out([a_promise("2026-11-30T12:00", at(0))], tuesday) == ()


def test_what_ends_at_midnight_does_not_go_on(tuesday: Span) -> None:
    bar = only(laid_out([a_promise(at(18), "2026-12-02T00:00")], tuesday))
    assert bar.from_percent + bar.width_percent == 100
    assert not bar.goes_on_after


def test_when_only_turnaround_reaches_into_the_day_no_use_is_drawn(tuesday: Span) -> None:
    bar = only(laid_out([a_promise("2026-11-30T12:00", "2026-11-30T22:00", ready=at(6))], tuesday))
    assert bar.width_percent == 25.0
    assert bar.use_width_percent == 0


def test_noon_to_noon_over_the_change_forward_is_23_hours_wide() -> None:
    week = span_of("week", date(2026, 3, 29), PARIS)
    bar = only(laid_out([a_promise("2026-03-28T12:00", "2026-03-29T12:00")], week))
    assert bar.from_percent == pytest.approx(100 * (5 * 24 + 12) / 167, abs=1e-3)
    assert bar.width_percent == pytest.approx(100 * 23 / 167, abs=1e-3)


def test_noon_to_noon_over_the_change_back_is_25_hours_wide() -> None:
    week = span_of("week", date(2026, 10, 25), PARIS)
    bar = only(laid_out([a_promise("2026-10-24T12:00", "2026-10-25T12:00")], week))
    assert bar.width_percent == pytest.approx(100 * 25 / 169, abs=1e-3)


def test_the_words_beside_two_bars_do_not_share_the_room_between_them() -> None:
    week = span_of("week", date(2026, 12, 1), PARIS)
    pair = [
        a_promise("2026-12-01T09:00", "2026-12-01T12:00"),
        a_promise("2026-12-02T09:00", "2026-12-02T12:00"),
    ]
    first, second = laid_out(pair, week)
    between = second.from_percent - first.from_percent - first.width_percent
    reach = (first.label_percent if first.label_at == "after" else 0) + (
        second.label_percent if second.label_at == "before" else 0
    )
    assert first.label_at == "after"
    assert reach <= between + 0.01


def test_a_bar_without_room_beside_it_says_its_name_only_when_asked() -> None:
    month = span_of("month", date(2026, 12, 1), PARIS)
    close = [a_promise(f"2026-12-{day:02d}T09:00", f"2026-12-{day:02d}T20:00") for day in range(1, 32)]
    bars = laid_out(close, month)
    assert {bar.label_at for bar in bars[1:-1]} == {"none"}
    assert bars[1].sentence == "Gloves: confirmed, Wed 2 Dec 2026, 09:00 to 20:00"


def test_the_sentence_says_what_is_blocked_and_whose_clock_it_is(tuesday: Span) -> None:
    promise = a_promise(at(10), at(12), prep=at(9), ready=at(14), zone="Europe/Lisbon", state="hold")
    bar = only(laid_out([promise], tuesday))
    assert bar.sentence == (
        "Gloves: hold, Tue 1 Dec 2026, 10:00 to 12:00 (Europe/Lisbon); "
        "blocked Tue 1 Dec 2026, 09:00 to 14:00 (Europe/Lisbon)"
    )
    assert bar.from_percent == pytest.approx(100 * 10 / 24, abs=1e-3)  # nine in Lisbon is ten in Paris


def test_units_taken_one_after_the_other_are_never_added(tuesday: Span) -> None:
    promises = [a_promise(at(10), at(12), count=2), a_promise(at(12), at(14), count=3)]
    steps = taken_over_time(promises, tuesday)
    assert [step.taken for step in steps] == [0, 2, 3, 0]
    assert [step.from_percent for step in steps] == pytest.approx([0, 41.6667, 50, 58.3333], abs=1e-3)


def test_an_enquiry_takes_nothing_until_it_is_asked_for_as_a_wish(tuesday: Span) -> None:
    promises = [a_promise(at(10), at(12), state="enquiry", count=4)]
    assert max(step.taken for step in taken_over_time(promises, tuesday)) == 0
    assert max(step.taken for step in taken_over_time(promises, tuesday, wishes=True)) == 4


def test_touching_is_no_conflict_and_overlap_is(tuesday: Span) -> None:
    first = a_promise(at(10), at(12))
    assert overlapping([first, a_promise(at(12), at(13), state="enquiry")], tuesday) == []
    assert len(overlapping([first, a_promise(at(11), at(13), state="enquiry")], tuesday)) == 1


@pytest.mark.parametrize("state", ["cancelled", "closed", "ended"])
def test_what_nobody_wants_any_more_is_in_no_conflict(tuesday: Span, state: str) -> None:
    assert overlapping([a_promise(at(10), at(12)), a_promise(at(11), at(13), state=state)], tuesday) == []


def test_a_conflict_on_another_day_is_not_shown_here(tuesday: Span) -> None:
    long = a_promise("2026-11-28T08:00", at(12))
    assert (
        overlapping([long, a_promise("2026-11-29T08:00", "2026-11-29T12:00", state="enquiry")], tuesday) == []
    )
