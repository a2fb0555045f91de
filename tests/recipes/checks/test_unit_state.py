"""Facts about units: promised for the whole time, in service, inspected."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from recipes.checks.unit_state import check
from tests.recipes.checks.setups import a_prediction, a_setup, a_strobe

ENDS = datetime(2026, 5, 4, 18, tzinfo=UTC)


def run(**state):
    return list(check(a_setup(heads=(a_strobe(**state),), ends=ENDS), a_prediction()))


def test_units_in_order_are_told_together():
    (finding,) = run()
    assert (finding.status, finding.value, finding.limit) == ("ok", 4.0, 4.0)


@pytest.mark.parametrize(
    ("state", "words"),
    [
        ({"fit_for_use": False, "why_not": "in repair"}, "not to be used: in repair"),
        ({"promised": False, "clash": "with Hats until 14:00"}, "it is with Hats until 14:00"),
        ({"promised": False}, "nobody has promised it"),
    ],
)
def test_a_unit_that_is_not_there_is_a_gap(state, words):
    trouble, fine = run(**state)
    assert (trouble.status, trouble.about) == ("gap", "ST-1")
    assert words in trouble.sentence
    assert fine.value == 3.0


def test_an_inspection_that_falls_due_before_the_end_is_a_gap():
    trouble, _ = run(inspection_due="2026-05-01")
    assert (trouble.status, trouble.margin, trouble.unit) == ("gap", -3.0, "days")
    assert (trouble.value, trouble.limit) == (-3.0, 0.0)


def test_an_inspection_due_on_the_day_itself_is_in_date():
    (finding,) = run(inspection_due="2026-05-04")
    assert finding.status == "ok"


def test_without_an_end_nobody_can_say_what_is_due():
    setup = a_setup(heads=(a_strobe(inspection_due="2020-01-01"),))
    (finding,) = check(setup, a_prediction())
    assert finding.status == "ok"


def test_when_nothing_is_in_order_there_is_no_good_news():
    setup = a_setup(heads=(a_strobe(promised=False),), camera=None, lens=None, trigger=None)
    (finding,) = check(setup, a_prediction())
    assert finding.status == "gap"
