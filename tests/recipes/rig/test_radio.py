"""What must hold for radio systems and channels."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from recipes.rig.radio import ChannelUse, channel_clashes, common_systems, free_channel, same_system


def at(hour: int) -> datetime:
    return datetime(2026, 5, 4, hour, tzinfo=UTC)


def a_use(
    channel: int, whose: str = "tram depot", begins: int | None = None, ends: int | None = None
) -> ChannelUse:
    return ChannelUse(
        "blip two",
        channel,
        whose,
        None if begins is None else at(begins),
        None if ends is None else at(ends),
    )


def test_trigger_and_receiver_need_a_system_in_common():
    assert common_systems(["Blip Two", "hum"], ["hum", "blip  two"]) == ("Blip Two", "hum")
    assert common_systems(["blip two"], ["hum"]) == ()


def test_a_system_without_a_name_is_not_the_same_as_another():
    assert not same_system("", " ")


def test_two_shoots_on_one_channel_at_the_same_time_clash():
    ours, theirs = a_use(5, "ours", 9, 12), a_use(5, "theirs", 11, 14)
    (clash,) = channel_clashes([ours], [theirs])
    assert (clash.ours, clash.theirs) == (ours, theirs)


@pytest.mark.parametrize(
    "theirs",
    [
        pytest.param(a_use(6, "theirs", 11, 14), id="another channel"),
        pytest.param(a_use(5, "theirs", 12, 14), id="after us"),
        pytest.param(a_use(5, "theirs", 7, 9), id="before us"),
        pytest.param(ChannelUse("hum", 5, "theirs"), id="another system"),
    ],
)
def test_others_do_not_clash(theirs):
    assert channel_clashes([a_use(5, "ours", 9, 12)], [theirs]) == ()
    assert channel_clashes([theirs], [a_use(5, "ours", 9, 12)]) == ()


def test_a_use_without_times_is_always_on():
    assert channel_clashes([a_use(5)], [a_use(5, "theirs", 9, 12)])


def test_the_wanted_channel_is_kept_when_it_is_free():
    assert free_channel(a_use(7), 16, [a_use(5, "theirs")]) == 7


def test_a_taken_channel_gives_way_to_the_lowest_free_one():
    others = [a_use(1, "first"), a_use(2, "second"), a_use(7, "third")]
    assert free_channel(a_use(7), 16, others) == 3


@pytest.mark.parametrize(
    "elsewhere",
    [ChannelUse("hum", 7, "theirs"), a_use(7, "theirs", 12, 14)],
    ids=["another system", "after us"],
)
def test_another_system_or_another_time_takes_no_channel(elsewhere):
    assert free_channel(a_use(7, "ours", 9, 12), 16, [elsewhere]) == 7


def test_when_every_channel_is_taken_there_is_none():
    assert free_channel(a_use(1), 2, [a_use(1, "first"), a_use(2, "second")]) is None


def test_there_is_no_channel_between_two_others():
    with pytest.raises(ValueError, match=r"channel is 5\.5; give a whole number"):
        a_use(5.5)


@pytest.mark.parametrize("ends", [9, 12])
def test_a_use_that_does_not_end_after_it_starts_is_refused(ends):
    with pytest.raises(ValueError, match="give an end after the start"):
        a_use(5, "theirs", 12, ends)
