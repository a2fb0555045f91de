"""On which days something repeats. Outside values: RFC 5545, RFC 7529, and python-dateutil's reader of RRULE."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from itertools import islice, pairwise

import pytest
from dateutil.rrule import rrulestr
from hypothesis import given
from hypothesis import strategies as st
from icalendar import vRecur

from gear.booking.series_rule import WEEKDAYS, Rule, days, in_words, rrule_text
from gear.errors import Invalid

TUESDAY = date(2027, 5, 4)


def some(rule: Rule, first: date, how_many: int = 10) -> list[str]:
    return [day.isoformat() for day in islice(days(rule, first), how_many)]


def test_weekly_ten_times_is_ten_days_a_week_apart() -> None:
    found = list(days(Rule("week", count=10), TUESDAY))
    assert found == [TUESDAY + timedelta(weeks=n) for n in range(10)]


def test_the_last_day_is_included() -> None:
    assert some(Rule("week", until=date(2027, 5, 18)), TUESDAY) == ["2027-05-04", "2027-05-11", "2027-05-18"]


def test_several_days_of_every_second_week() -> None:
    rule = Rule("week", interval=2, weekdays=("TU", "FR"))
    assert some(rule, TUESDAY, 4) == ["2027-05-04", "2027-05-07", "2027-05-18", "2027-05-21"]


def test_the_first_day_must_be_one_of_the_weekdays() -> None:
    with pytest.raises(Invalid, match="on a Tuesday, which is not among the days chosen"):
        some(Rule("week", weekdays=("MO", "WE")), TUESDAY)


@pytest.mark.parametrize(
    ("skip", "expected"),
    [
        # RFC 7529, 4.1: OMIT is RFC 5545's own rule; BACKWARD the previous valid day; FORWARD the next one.
        ("omit", ["2027-01-31", "2027-03-31", "2027-05-31", "2027-07-31"]),
        ("backward", ["2027-01-31", "2027-02-28", "2027-03-31", "2027-04-30"]),
        ("forward", ["2027-01-31", "2027-03-01", "2027-03-31", "2027-05-01"]),
    ],
)
def test_monthly_on_the_31st(skip: str, expected: list[str]) -> None:
    assert some(Rule("month", skip=skip, count=4), date(2027, 1, 31)) == expected


def test_a_birthday_on_29_february_as_rfc_7529_works_it_out() -> None:
    # RFC 7529, 4.3.4: DTSTART 20120229, RSCALE=GREGORIAN;FREQ=YEARLY;SKIP=FORWARD.
    rule = Rule("year", skip="forward")
    assert some(rule, date(2012, 2, 29), 5) == [
        "2012-02-29",
        "2013-03-01",
        "2014-03-01",
        "2015-03-01",
        "2016-02-29",
    ]


def test_a_moved_day_after_the_last_day_is_none() -> None:
    rule = Rule("month", skip="forward", until=date(2027, 4, 30))
    assert some(rule, date(2027, 1, 31)) == ["2027-01-31", "2027-03-01", "2027-03-31"]


def test_the_second_tuesday_and_the_last_friday_of_the_month() -> None:
    assert some(Rule("month", monthly_on="weekday"), date(2027, 5, 11), 3) == [
        "2027-05-11",
        "2027-06-08",
        "2027-07-13",
    ]
    assert some(Rule("month", monthly_on="last-weekday"), date(2027, 5, 28), 3) == [
        "2027-05-28",
        "2027-06-25",
        "2027-07-30",
    ]


def test_a_fifth_weekday_is_refused_with_the_last_one() -> None:
    with pytest.raises(Invalid, match="Repeat on the last Saturday instead"):
        some(Rule("month", monthly_on="weekday"), date(2027, 5, 29))


@pytest.mark.parametrize(
    "wrong",
    [
        {"each": "fortnight"},
        {"each": "week", "interval": 0},
        {"each": "week", "count": 0},
        {"each": "week", "count": 601},
        {"each": "week", "count": 3, "until": TUESDAY},
        {"each": "week", "weekdays": ("XX",)},
        {"each": "month", "skip": "sideways"},
    ],
)
def test_a_rule_that_cannot_be_is_refused_by_field(wrong: dict) -> None:
    with pytest.raises(Invalid) as refused:
        Rule(**wrong)
    assert refused.value.problems[0].where in wrong


RULES = st.one_of(
    st.builds(Rule, st.just("day"), st.integers(1, 5), count=st.integers(1, 20)),
    st.builds(
        Rule,
        st.just("week"),
        st.integers(1, 3),
        st.sets(st.sampled_from(WEEKDAYS)).map(tuple),
        count=st.integers(1, 20),
    ),
    st.builds(Rule, st.just("month"), st.integers(1, 3), count=st.integers(1, 20)),
    st.builds(Rule, st.just("year"), count=st.integers(1, 5)),
)


@given(RULES, st.dates(date(2026, 1, 1), date(2030, 12, 31)))
def test_what_is_written_as_rrule_is_read_as_the_same_days(rule: Rule, first: date) -> None:
    if rule.weekdays and WEEKDAYS[first.weekday()] not in rule.weekdays:
        return
    start = datetime(first.year, first.month, first.day)
    read = rrulestr(rrule_text(rule, first), dtstart=start)
    assert list(days(rule, first)) == [at.date() for at in read]


@given(st.sampled_from(["backward", "forward"]), st.integers(29, 31), st.integers(1, 4))
def test_moved_days_are_one_a_month_in_order_and_none_is_lost(skip: str, day: int, interval: int) -> None:
    found = list(days(Rule("month", interval=interval, skip=skip, count=30), date(2027, 1, day)))
    assert len(found) == 30
    assert all(one < other for one, other in pairwise(found))


def test_a_moved_day_is_said_with_rscale_and_skip() -> None:
    text = rrule_text(Rule("month", skip="backward", count=4), date(2027, 1, 31))
    assert dict(vRecur.from_ical(text)) == {
        "RSCALE": ["GREGORIAN"],
        "FREQ": ["MONTHLY"],
        "COUNT": [4],
        "SKIP": ["BACKWARD"],
    }


@pytest.mark.parametrize(
    ("rule", "first", "said"),
    [
        (Rule("week", count=10), TUESDAY, "every week on Tuesday, 10 times"),
        (
            Rule("week", 2, ("TU", "FR"), until=date(2027, 9, 1)),
            TUESDAY,
            "every 2 weeks on Tuesday and Friday, until 1 Sep 2027",
        ),
        (
            Rule("month", skip="backward"),
            date(2027, 5, 31),
            "every month on day 31 (in a shorter month the last day before it), without end",
        ),
        (Rule("month", monthly_on="weekday"), TUESDAY, "every month on the first Tuesday, without end"),
        (Rule("day", 3, count=2), TUESDAY, "every 3 days, 2 times"),
    ],
)
def test_a_rule_in_words(rule: Rule, first: date, said: str) -> None:
    assert in_words(rule, first) == said
