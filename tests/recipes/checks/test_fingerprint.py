"""Facts about stale answers: another input gives another fingerprint, an equal one the same."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from recipes.checks import fingerprint as module
from recipes.checks.fingerprint import fingerprint
from tests.recipes.checks.setups import a_look, a_plan, a_room, a_setup, a_strobe

STARTS = datetime(2026, 5, 4, 9, tzinfo=UTC)


def test_equal_setups_have_equal_fingerprints():
    assert fingerprint(a_setup(room=a_room())) == fingerprint(a_setup(room=a_room()))


def test_in_what_order_the_sources_of_a_sheet_were_written_is_no_other_input():
    sources = {"output": {"basis": "measured"}, "durations": {"basis": "maker"}}
    one, other = (
        a_setup(heads=(a_strobe(sources=dict(pairs)),))
        for pairs in (sources.items(), reversed(sources.items()))
    )
    assert fingerprint(one) == fingerprint(other)


@pytest.mark.parametrize(
    "other",
    [
        a_setup(a_look(a_plan(height_m=2.1))),
        a_setup(heads=(a_strobe(mass_kg=3.1),)),
        a_setup(heads=(a_strobe(promised=False),)),
        a_setup(room=a_room()),
        a_setup(starts=STARTS),
        a_setup(travellers=2),
    ],
)
def test_any_other_input_gives_another_one(other):
    assert fingerprint(other) != fingerprint(a_setup())


def test_another_moment_gives_another_one():
    setup = a_setup(starts=STARTS)
    assert fingerprint(replace(setup, starts=STARTS.replace(hour=10))) != fingerprint(setup)


def test_a_changed_calculation_makes_every_stored_answer_stale(monkeypatch):
    before = fingerprint(a_setup())
    monkeypatch.setattr(module, "CALCULATION", module.CALCULATION + 1)
    assert fingerprint(a_setup()) != before


def test_a_check_that_comes_or_goes_makes_every_stored_answer_stale(monkeypatch):
    before = fingerprint(a_setup())
    monkeypatch.setattr(module, "CHECKS", module.CHECKS[:-1])
    assert fingerprint(a_setup()) != before
