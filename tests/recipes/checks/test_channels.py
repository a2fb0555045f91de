"""Facts about radio: two shoots on one channel fire each other's lights."""

from __future__ import annotations

import pytest

from recipes.checks.channels import check
from tests.recipes.checks.setups import a_prediction, a_setup, a_strobe, a_trigger, a_unit

NEIGHBOUR = ("northlight", 3, "Shoes, hall B")


def run(*others, channel=3, radio=("northlight",), **more):
    trigger = a_trigger(channel=channel, radio=radio)
    setup = a_setup(trigger=trigger, channels_in_the_building=others, **more)
    return list(check(setup, a_prediction()))


def test_the_same_channel_of_the_same_radio_clashes_and_a_free_one_is_offered():
    (finding,) = run(NEIGHBOUR, ("northlight", 1, "Hats"))
    assert finding.status == "gap"
    assert "Shoes, hall B" in finding.sentence
    assert finding.remedies[0].arguments == (("channel", "2"),)


def test_when_all_channels_are_taken_they_must_agree():
    (finding,) = run(*(("northlight", number, f"Shoot {number}") for number in (1, 2, 3, 4)))
    assert "agree with Shoot 3" in finding.remedies[0].sentence


def test_another_channel_is_free():
    (finding,) = run(("Northlight", 4, "Hats"))
    assert finding.status == "ok"


def test_another_radio_is_no_question():
    assert run(("hallcall", 3, "Hats")) == []


def test_one_radio_in_common_is_enough_to_clash():
    (finding,) = run(NEIGHBOUR, radio=("hallcall", "northlight"))
    assert finding.status == "gap"


def test_a_channel_that_nobody_recorded_is_unknown():
    (finding,) = run(NEIGHBOUR, channel=None)
    assert (finding.status, finding.missing) == ("unknown", "the channel set on TR-1")


def test_a_head_on_another_channel_does_not_fire():
    (finding,) = run(heads=(a_strobe(channel=7),))
    assert (finding.status, finding.about) == ("tight", "ST-1")
    assert finding.remedies[0].sentence == "Set ST-1 to channel 3."


def test_with_a_receiver_its_channel_counts():
    receiver = a_unit("receiver", "RX-1", radio=["northlight"], channel=5)
    (finding,) = run(heads=(a_strobe(channel=7),), units={"receiver": receiver})
    assert finding.about == "RX-1"


@pytest.mark.parametrize("head", [a_strobe(channel=3), a_strobe(), a_strobe(channel=7, radio=["hallcall"])])
def test_a_head_that_agrees_is_set_on_the_day_or_is_deaf_asks_nothing(head):
    assert run(heads=(head,)) == []


def test_without_a_trigger_or_strobes_there_is_no_question():
    assert list(check(a_setup(trigger=None, channels_in_the_building=(NEIGHBOUR,)), a_prediction())) == []
    assert run(NEIGHBOUR, heads=()) == []
