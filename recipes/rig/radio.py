"""Do trigger and receiver speak the same, and does nobody else in the building?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from recipes.quantity import whole

__all__ = ["ChannelClash", "ChannelUse", "channel_clashes", "common_systems", "free_channel", "same_system"]


def _bare(system: str) -> str:
    return " ".join(system.casefold().split())


def same_system(one: str, other: str) -> bool:
    """Are two names of radio systems the same, however they were typed? Case and extra spaces do not count."""
    return bool(_bare(one)) and _bare(one) == _bare(other)


def common_systems(trigger: Sequence[str], receiver: Sequence[str]) -> tuple[str, ...]:
    """Radio systems that both speak, in the trigger's order and spelling; empty when they cannot talk."""
    return tuple(system for system in trigger if any(same_system(system, heard) for heard in receiver))


@dataclass(frozen=True)
class ChannelUse:
    """A shoot's use of a channel, half-open ``[starts, ends)``; without times it counts as all the time."""

    system: str
    channel: int
    whose: str
    starts: datetime | None = None
    ends: datetime | None = None

    def __post_init__(self) -> None:
        whole("channel", self.channel)
        if self.starts is not None and self.ends is not None and self.ends <= self.starts:
            raise ValueError(f"{self.whose} does not end after it starts; give an end after the start.")

    def overlaps(self, other: ChannelUse) -> bool:
        """Do the two share a moment? One that ends as the other starts does not."""
        begins_in_time = self.starts is None or other.ends is None or self.starts < other.ends
        ends_late_enough = self.ends is None or other.starts is None or other.starts < self.ends
        return begins_in_time and ends_late_enough

    def same_air(self, other: ChannelUse) -> bool:
        return same_system(self.system, other.system) and self.channel == other.channel


@dataclass(frozen=True)
class ChannelClash:
    """Two shoots on one channel at the same time: each fires the other's lights."""

    ours: ChannelUse
    theirs: ChannelUse


def channel_clashes(ours: Sequence[ChannelUse], others: Sequence[ChannelUse]) -> tuple[ChannelClash, ...]:
    """Every pair of our channels and others' that are the same, of the same system, at the same time."""
    return tuple(
        ChannelClash(mine, theirs)
        for mine in ours
        for theirs in others
        if mine.same_air(theirs) and mine.overlaps(theirs)
    )


def free_channel(
    wanted: ChannelUse, channels: int, others: Sequence[ChannelUse], first: int = 1
) -> int | None:
    """A channel that nobody else uses then: the wanted one if it is free, else the lowest; None when all are taken.

    The trigger has ``channels`` channels, counted from ``first``.
    """
    taken = {
        other.channel
        for other in others
        if same_system(other.system, wanted.system) and other.overlaps(wanted)
    }
    if wanted.channel not in taken:
        return wanted.channel
    return next((number for number in range(first, first + channels) if number not in taken), None)
