"""Facts about engraved series."""

from __future__ import annotations

from math import log2

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipes.light import series
from recipes.light.series import marks

QUANTITIES = ("aperture", "shutter", "iso")
SERIES = ("full", "half", "third")
PARSERS = {"aperture": series.parse_aperture, "shutter": series.parse_shutter, "iso": series.parse_iso}
NEAREST = {"aperture": series.nearest_aperture, "shutter": series.nearest_shutter, "iso": series.nearest_iso}

every_series = pytest.mark.parametrize(("quantity", "of"), [(q, s) for q in QUANTITIES for s in SERIES])


@every_series
def test_every_mark_is_read_back_from_its_engraving_and_its_label(quantity, of):
    for mark in marks(quantity, of):
        assert PARSERS[quantity](mark.engraved, of) == mark
        assert PARSERS[quantity](mark.label, of) == mark


@every_series
def test_every_mark_is_the_nearest_to_its_own_value(quantity, of):
    for mark in marks(quantity, of):
        assert NEAREST[quantity](mark.value, of) == mark


@every_series
def test_no_engraving_lies_nearer_to_the_next_mark(quantity, of):
    for mark in marks(quantity, of):
        step = {"full": 1, "half": 1 / 2, "third": 1 / 3}[of]
        assert abs(mark.engraving_error_stops) < step / 2


@every_series
def test_a_series_runs_on_in_even_steps(quantity, of):
    table = marks(quantity, of)
    assert [mark.index for mark in table] == list(range(table[0].index, table[0].index + len(table)))


@pytest.mark.parametrize("quantity", QUANTITIES)
def test_the_full_stops_stand_in_all_three_series(quantity):
    whole = [(mark.engraved, mark.stops) for mark in marks(quantity, "full")]
    for of, every in (("half", 2), ("third", 3)):
        assert [(mark.engraved, mark.stops) for mark in marks(quantity, of)[::every]] == whole


def test_some_engravings_mean_one_thing_in_half_stops_and_another_in_third_stops():
    found = {}
    for quantity in QUANTITIES:
        halves = {mark.engraved: mark for mark in marks(quantity, "half")}
        for mark in marks(quantity, "third"):
            if mark.engraved in halves and halves[mark.engraved].stops != pytest.approx(mark.stops):
                found[mark.label] = abs(halves[mark.engraved].stops - mark.stops)
    assert list(found) == ["f/1.2", "f/13", "1/20 s", "1/10 s", "1/6 s", "6 s", "10 s", "20 s"]
    assert list(found.values()) == pytest.approx([1 / 6] * 8)


@pytest.mark.parametrize(
    ("text", "label"),
    [("f/5.6", "f/5.6"), ("F5.6", "f/5.6"), (" 5.6 ", "f/5.6"), ("f 8", "f/8"), ("8.0", "f/8")],
)
def test_ways_to_write_an_aperture(text, label):
    assert series.parse_aperture(text).label == label


@pytest.mark.parametrize(
    ("text", "label"),
    [
        ("1/200", "1/200 s"),
        ("1/200s", "1/200 s"),
        ('2"', "2 s"),
        ("2 s", "2 s"),
        ("0.5", "1/2 s"),
        ("1", "1 s"),
    ],
)
def test_ways_to_write_a_time(text, label):
    assert series.parse_shutter(text).label == label


@pytest.mark.parametrize("text", ["400", 400, "ISO 400", "iso400"])
def test_ways_to_write_a_speed(text):
    assert series.parse_iso(text).label == "ISO 400"


@pytest.mark.parametrize(
    ("parse", "text", "of", "sentence"),
    [
        (series.parse_aperture, "f/5.7", "third", "the nearest are f/5.6 and f/6.3"),
        (series.parse_aperture, "f/0.3", "third", "the nearest is f/0.5"),
        (series.parse_aperture, "f/500", "third", "the nearest is f/128"),
        (
            series.parse_shutter,
            "1/90",
            "third",
            r"the nearest are 1/100 and 1/80 \(it stands in the half-stop",
        ),
        (series.parse_iso, 101, "third", "the nearest are 100 and 125"),
        (series.parse_shutter, "quick", "third", "write it like 1/125"),
        (series.parse_shutter, "1/0", "third", "write it like 1/125"),
        (series.parse_aperture, "-8", "full", "write it like f/5.6"),
        (series.parse_iso, "inf", "full", "write it like 400"),
    ],
)
def test_what_is_not_engraved_is_refused_with_what_is(parse, text, of, sentence):
    with pytest.raises(ValueError, match=sentence):
        parse(text, of)


@given(st.integers(-9, 9), st.sampled_from(QUANTITIES), st.sampled_from(SERIES))
def test_steps_there_and_back(steps, quantity, of):
    table = marks(quantity, of)
    start = table[len(table) // 2]
    if 0 <= len(table) // 2 + steps < len(table):
        assert start.moved(steps).moved(-steps) == start
        assert series.steps_between(start, start.moved(steps)) == pytest.approx(
            steps / {"full": 1, "half": 2, "third": 3}[of]
        )


def test_three_third_stops_close_the_aperture_by_one():
    assert series.parse_aperture("f/5.6").moved(3).label == "f/8"


@pytest.mark.parametrize(("steps", "end"), [(-1, "f/0.5"), (99, "f/128")])
def test_there_is_nothing_past_the_ends(steps, end):
    with pytest.raises(ValueError, match=f"leaves the full-stop series.*{end}"):
        series.parse_aperture("f/0.5", "full").moved(steps)


@pytest.mark.parametrize("value", [0, -1, float("inf"), float("nan")])
def test_nothing_has_no_nearest_mark(value):
    with pytest.raises(ValueError, match="no nearest mark"):
        series.nearest_shutter(value)


@pytest.mark.parametrize(
    ("quantity", "scale", "engraved", "steps", "stops"),
    [
        ("aperture", "third", "4.5", 13, 13 / 3),
        ("aperture", "half", "13", 15, 7.5),
        ("aperture", "third", "0.9", -1, -1 / 3),
        ("shutter", "third", "1/200", -23, -23 / 3),
        ("shutter", "full", "2", 1, 1.0),
        ("iso", "third", "400", 6, 2.0),
        ("iso", "third", "64", -2, -2 / 3),
    ],
)
def test_steps_are_counted_from_f_1_one_second_and_iso_100(quantity, scale, engraved, steps, stops):
    (mark,) = [one for one in marks(quantity, scale) if one.engraved == engraved]
    assert (mark.index, mark.stops) == (steps, pytest.approx(stops))


def test_what_the_engraving_adds_to_a_time_a_speed_and_an_aperture():
    # 1/60 stands for 1/64, ISO 125 for 100 · 2^(1/3), f/5.6 for 2^2.5: ISO 516, ISO 12232 and ISO 517.
    assert series.parse_shutter("1/60").engraving_error_stops == pytest.approx(log2(64 / 60))
    assert series.parse_iso("125").engraving_error_stops == pytest.approx(log2(1.25) - 1 / 3)
    assert series.parse_aperture("5.6").engraving_error_stops == pytest.approx(2 * log2(5.6) - 5)


@pytest.mark.parametrize("quantity", ["aperture", "shutter", "iso"])
def test_a_series_ends_after_its_last_mark(quantity):
    first, *_, last = marks(quantity)
    assert first.moved(0) is first
    assert first.moved(len(marks(quantity)) - 1) is last
    for wrong in (lambda: first.moved(-1), lambda: last.moved(1)):
        with pytest.raises(ValueError, match="leaves the third-stop series"):
            wrong()


def test_a_number_past_the_end_of_a_series_or_close_to_a_mark_is_none():
    with pytest.raises(ValueError, match="the nearest is 409600"):
        series.parse_iso("500000")
    with pytest.raises(ValueError, match=r"the nearest are f/5 and f/5\.6"):
        series.parse_aperture("5.596")
