"""Is the flash ready again when the next frame comes, and how long can it go on?

"Ready" is two things: the lamp that says it may be fired, and full charge. A lamp that lights at 85 % of the
energy gives the next frame 0.234 stop less. Times come from the unit's table; what the table does not cover is
unknown, never extrapolated from power.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, Protocol

import numpy as np

from recipes.quantity import N, above_zero, at_least_zero, finite, plain, round_down, round_up, share, whole

__all__ = [
    "HeatMargin",
    "PaceMargin",
    "RecycleFigure",
    "ThermalFigure",
    "burst_frames",
    "charger_recycle_s",
    "early_shot_stops",
    "flash_energy_ws",
    "heat_margin",
    "pace_margin",
    "ready_lamp_shift_stops",
    "shortest_sustained_pace_s",
    "table_recycle_s",
]


class RecycleFigure(Protocol):
    """One line of a unit's recycle table."""

    @property
    def setting_stops(self) -> float: ...
    @property
    def ready_s(self) -> float: ...
    @property
    def full_s(self) -> float | None: ...


class ThermalFigure(Protocol):
    """One line of a unit's heat limits: at most ``flashes`` at full power in ``minutes``."""

    @property
    def flashes(self) -> int: ...
    @property
    def minutes(self) -> float: ...


def flash_energy_ws(full_energy_ws: N, setting_stops: N) -> N:
    """Energy at a setting, in watt-seconds: half for each stop under full power."""
    full = above_zero("full_energy_ws", full_energy_ws)
    setting = finite("setting_stops", setting_stops)
    if np.any(setting > 0):
        raise ValueError(
            f"setting_stops is {float(setting.max()):g}; settings count down from full power, give 0 or less."
        )
    return plain(full * np.exp2(setting))


def charger_recycle_s(energy_ws: N, charger_w: N, efficiency: N) -> N:
    """Time for a constant-power charger to put a flash's energy back, in s: ``E / (eta P)``."""
    energy = at_least_zero("energy_ws", energy_ws)
    return plain(energy / (share("efficiency", efficiency) * above_zero("charger_w", charger_w)))


def table_recycle_s(
    table: Sequence[RecycleFigure],
    setting_stops: float,
    until: Literal["ready lamp", "full charge"],
) -> float | None:
    """Recycle time at a setting by the unit's table, in s; None where the table says nothing.

    Between two lines the time runs straight in stops and logarithm (a straight line where one of them is 0).
    Outside the table, or for full charge where no line states it, the answer is None: ask the maker or a watch.
    """
    known = sorted(
        (line.setting_stops, seconds)
        for line in table
        if (seconds := line.ready_s if until == "ready lamp" else line.full_s) is not None
    )
    if not known or not known[0][0] - 1e-9 <= setting_stops <= known[-1][0] + 1e-9:
        return None
    settings, times = (np.array(column) for column in zip(*known, strict=True))
    if np.any(times <= 0):
        return float(np.interp(setting_stops, settings, times))
    return float(np.exp2(np.interp(setting_stops, settings, np.log2(times))))


def ready_lamp_shift_stops(energy_share: N) -> N:
    """What a frame gets when the lamp lights at this share of the energy, in stops (0 or negative)."""
    return plain(np.log2(share("energy_share", energy_share)))


def early_shot_stops(gap_s: N, full_charge_s: N) -> N:
    """What a frame gets that comes before full charge, in stops (0 or negative).

    Constant-power charger from an emptied bank: energy grows straight with time, so ``log2(gap / full)``.
    A lower bound for units that keep part of their charge at low settings. Raises ValueError at gap 0.
    """
    gap = above_zero("gap_s", gap_s)
    return plain(np.log2(np.minimum(1.0, gap / above_zero("full_charge_s", full_charge_s))))


@dataclass(frozen=True)
class PaceMargin:
    """Seconds between frames against seconds to recycle; margin positive when the unit keeps up."""

    pace_s: float
    recycle_s: float
    margin_s: float
    margin_stops: float

    @property
    def keeps_up(self) -> bool:
        return self.margin_s >= -1e-9


def pace_margin(pace_s: float, recycle_s: float) -> PaceMargin:
    """Does the unit recycle within the pace of the session? ``margin_stops`` is pace over recycle, in doublings:
    about how many stops more power it could give if recycling took its time in proportion."""
    pace = float(above_zero("pace_s", pace_s))
    recycle = float(at_least_zero("recycle_s", recycle_s))
    return PaceMargin(pace, recycle, pace - recycle, math.log2(pace / recycle) if recycle else math.inf)


def burst_frames(stored_ws: float, flash_ws: float, rate_hz: float, charging_w: float) -> float:
    """How many frames of a burst get their full flash, before the store runs low; infinite when it never does.

    ``charging_w`` is what reaches the store. A sum of energies for units that draw on one bank: the store
    starts full, each frame takes ``flash_ws``, the charger adds ``charging_w / rate_hz`` in between. A unit's
    own table, where it states the burst, goes first.
    """
    store = float(above_zero("stored_ws", stored_ws))
    flash = float(above_zero("flash_ws", flash_ws))
    back = float(at_least_zero("charging_w", charging_w)) / float(above_zero("rate_hz", rate_hz))
    if flash > store:
        return 0.0
    if back >= flash:
        return math.inf
    return 1.0 + float(round_down((store - flash) / (flash - back)))


@dataclass(frozen=True)
class HeatMargin:
    """The unit's tightest heat limit for a session: full-power flashes asked for in its minutes, and allowed."""

    minutes: float
    allowed_flashes: int
    asked_flashes: float
    margin_flashes: float

    @property
    def keeps_cool(self) -> bool:
        return self.margin_flashes >= -1e-9


def heat_margin(
    limits: Sequence[ThermalFigure], pace_s: float, frames: int, energy_share: float = 1.0
) -> HeatMargin | None:
    """Does the head stay within its heat limits at this pace? None when its sheet states none.

    ``energy_share`` counts a flash at part power as that part of a full one (heat follows energy: common
    practice, no source; give 1 to be strict). Of a run of ``frames``, the busiest stretch of each limit's
    minutes counts.
    """
    pace = float(above_zero("pace_s", pace_s))
    count = whole("frames", frames)
    part_of_full = float(share("energy_share", energy_share))
    answers = []
    for limit in limits:
        in_the_minutes = min(float(count), float(round_up(limit.minutes * 60.0 / pace)))
        asked = in_the_minutes * part_of_full
        answers.append(HeatMargin(limit.minutes, limit.flashes, asked, limit.flashes - asked))
    return min(answers, key=lambda answer: answer.margin_flashes / answer.allowed_flashes, default=None)


def shortest_sustained_pace_s(limits: Sequence[ThermalFigure], energy_share: float = 1.0) -> float:
    """The fastest pace that every heat limit bears without end, in s between frames; 0 without limits."""
    part_of_full = float(share("energy_share", energy_share))
    return max(
        (limit.minutes * 60.0 / float(round_down(limit.flashes / part_of_full)) for limit in limits),
        default=0.0,
    )
