"""What several checks of one readiness need, computed once for all of them and gone with it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, time
from functools import cached_property

from recipes.checks.lighting import Lighting, light_up
from recipes.checks.panes import site_of
from recipes.checks.setup import Setup
from recipes.checks.window_ambient import Ambient, ambient_of, windows_of
from recipes.light.sun import SunPath, instants_through, sun_path
from recipes.light.window_room import WindowsInRoom
from recipes.look import Zone

__all__ = ["Common", "read_at"]

STEP_S = 600.0


@dataclass(frozen=True, eq=False)
class Common:
    """The light and the sun of a setup, each computed when the first check asks for it."""

    setup: Setup

    @cached_property
    def lighting(self) -> Lighting:
        """The terms of every sum, and the stage to ask for more."""
        return light_up(self.setup)

    @cached_property
    def windows(self) -> WindowsInRoom | None:
        """The room as its windows light it."""
        return windows_of(self.setup, self.lighting)

    def ambient(self, zone: Zone) -> Ambient:
        """The ambient of a zone, as far as it falls off from the windows."""
        return ambient_of(self.setup, self.lighting, zone, lambda: self.windows)

    @cached_property
    def instants(self) -> tuple[datetime, ...]:
        """Every ten minutes, or oftener, from the start to the end of the shoot; five at least. None without hours."""
        starts, ends = self.setup.starts, self.setup.ends
        if starts is None or ends is None:
            return ()
        step = min(STEP_S, (ends - starts).total_seconds() / 4)
        instants = instants_through(starts, ends, step)
        return instants if instants[-1] >= ends else (*instants, ends.astimezone(UTC))

    @cached_property
    def readings(self) -> tuple[datetime, ...]:
        """When the readings that name their hour were taken, as if on the day of the shoot; each hour once."""
        starts = self.setup.starts
        hours = dict.fromkeys(reading.at for reading in self.setup.look.ambient if reading.at is not None)
        return () if starts is None else tuple(read_at(hour, starts) for hour in hours)

    @cached_property
    def sun(self) -> SunPath | None:
        """The sun at the instants of the shoot, then at the readings; None where hours or place are unknown.

        The algorithm takes as long for one instant as for a hundred, so it is asked once.
        """
        room = self.setup.room
        site = site_of(room) if room is not None else None
        if site is None or not self.instants:
            return None
        return sun_path(site, (*self.instants, *self.readings))


def read_at(hour: str, starts: datetime) -> datetime:
    """The instant of an hour (HH:MM) on the day on which the shoot starts, where the shoot is."""
    return datetime.combine(starts.date(), time.fromisoformat(hour), starts.tzinfo)
