"""What every caution must and must not say."""

from __future__ import annotations

import re

import pytest

from recipes.rig.caution import CAUTIONS, Hazard, caution, flashing_caution

DEFERS = re.compile(r"local|licensed|maker's instructions|current rules|medical advice", re.IGNORECASE)
VERDICT = re.compile(r"\b(un)?safe", re.IGNORECASE)


@pytest.mark.parametrize("hazard", list(Hazard), ids=lambda hazard: hazard.value)
def test_every_caution_defers_to_those_who_decide(hazard):
    sentence = caution(hazard)
    assert DEFERS.search(sentence)
    assert re.search(r"decide\.$|apply\.$", sentence)


@pytest.mark.parametrize("hazard", list(Hazard), ids=lambda hazard: hazard.value)
def test_no_caution_gives_a_verdict(hazard):
    assert not VERDICT.search(CAUTIONS[hazard])


@pytest.mark.parametrize(
    ("rate_hz", "warns"),
    # WCAG 2 SC 2.3.1: no more than three flashes a second; epilepsy charities: 3 to 30 Hz, some up to 60.
    [(0.5, False), (3.0, False), (3.1, True), (20.0, True), (60.0, True), (61.0, False)],
)
def test_quick_flashes_call_for_the_caution(rate_hz, warns):
    assert bool(flashing_caution(rate_hz)) is warns
