"""Facts about the power of heads. The head reaches down six stops; a twentieth of a stop is less than a dial shows."""

from __future__ import annotations

import pytest

from recipes.checks.power_range import check, setting_words
from tests.recipes.checks.setups import a_look, a_plan, a_prediction, a_setting, a_setup

BOUNCE = {"bearing_deg": 90, "distance_m": 2.0, "width_m": 2.0, "height_of_board_m": 1.2}


def told(wanted, plan=None, **setting):
    prediction = a_prediction(a_setting(wanted_stops=wanted, setting_stops=wanted, **setting))
    (finding,) = check(a_setup(a_look(plan or a_plan())), prediction)
    return finding


@pytest.mark.parametrize(
    ("wanted", "limit", "margin", "status", "words"),
    [
        (-3.0, 0.0, 3.0, "ok", "at 1/8 power"),
        (-1.0, 0.0, 1.0, "ok", "1.0 stops left above"),
        (-0.05, 0.0, 0.05, "tight", "0.1 stops left above"),
        (0.04, 0.0, -0.04, "tight", "stops left above"),
        (0.06, 0.0, -0.06, "gap", "too weak"),
        (-5.5, -6.0, 0.5, "ok", "5.5 stops left above"),
        (-5.95, -6.0, 0.05, "tight", "stops left above"),
        (-6.04, -6.0, -0.04, "tight", "stops left above"),
        (-6.06, -6.0, -0.06, "gap", "too strong even at its lowest setting"),
    ],
)
def test_a_setting_lies_between_full_power_and_the_lowest(wanted, limit, margin, status, words):
    finding = told(wanted)
    assert (finding.status, finding.limit, finding.margin) == (status, limit, pytest.approx(margin))
    assert words in finding.sentence


@pytest.mark.parametrize("estimated", [True, False])
def test_a_setting_that_rests_on_an_estimate_says_so(estimated):
    assert told(-1.0, estimated=estimated).estimated is estimated


@pytest.mark.parametrize(
    ("heads", "status", "sentence", "remedies"),
    [
        ((), "gap", "Key has no head assigned.", 1),
        (None, "unknown", "Key: cannot tell the setting; missing a meter reading.", 0),
    ],
)
def test_without_a_setting_a_head_is_missed_or_what_is_not_known_of_it(heads, status, sentence, remedies):
    prediction = a_prediction(a_setting(setting_stops=None, wanted_stops=None, missing="a meter reading"))
    (finding,) = check(a_setup(heads=heads), prediction)
    assert (finding.status, finding.sentence, len(finding.remedies)) == (status, sentence, remedies)


def test_a_setting_that_the_recipe_fixes_is_as_sure_as_the_dial():
    assert told(-0.05, fixed=True).status == "ok"


@pytest.mark.parametrize(
    ("wanted", "fixed", "offered"),
    # The head is known to a tenth of a stop.
    [(-0.2, False, 0), (-0.05, False, 1), (0.05, False, 1), (0.8, False, 1), (0.8, True, 0)],
)
def test_a_turned_light_that_may_be_too_weak_is_offered_to_come_nearer(wanted, fixed, offered):
    nearer = [
        one for one in told(wanted, a_plan(bounce=BOUNCE), fixed=fixed).remedies if "nearer" in one.sentence
    ]
    assert len(nearer) == offered


def test_a_head_that_is_a_stop_too_weak_comes_to_seven_tenths_of_its_distance():
    # 1 / sqrt(2).
    assert "to 71% of its distance" in told(1.0).remedies[0].sentence
    assert told(-0.05).remedies == ()


def test_a_turned_light_is_told_the_factor_it_lacks():
    assert "1.5 stops is a factor of 2.8" in told(1.5, a_plan(bounce=BOUNCE)).remedies[0].sentence
    assert "0.0 stops is a factor of 1.0" in told(-0.05, a_plan(bounce=BOUNCE)).remedies[0].sentence


@pytest.mark.parametrize(("wanted", "held"), [(-6.04, 0), (-6.06, 1), (-7.0, 1)])
def test_a_head_that_is_too_strong_is_held_back(wanted, held):
    assert len([one for one in told(wanted).remedies if one.sentence.startswith("Hold Key back")]) == held


@pytest.mark.parametrize(
    ("stops", "words"),
    [
        (0.0, "full power"),
        (-0.04, "full power"),
        (-0.3, "full power −0.3"),
        (-1.0, "1/2 power"),
        (-2.3, "1/4 power −0.3"),
    ],
)
def test_settings_are_said_as_people_say_them(stops, words):
    assert setting_words(stops) == words
