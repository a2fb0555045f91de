"""Does the shutter hold the whole frame open while the flash burns?

A focal-plane shutter is fully open only for ``t - Tc`` (time minus curtain travel); a leaf or global shutter
for ``t``. What must fit in it is the trigger's delay plus t0.1, the time above a tenth of the peak: not t0.5,
and not merely "no faster than the marked sync speed". After t0.1 an exponential flash still has a tenth of its light to
give: where it fits by a hair, the rows that close first get 0.15 stop less. Times are true times (1/256), not engraved
ones (1/250).

Source: ISO 516 (shutter terms), ISO 2827 (flash duration).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from recipes.light.pulse import light_lost_stops
from recipes.quantity import N, above_zero, at_least_zero, plain

__all__ = [
    "Shutter",
    "SyncMargin",
    "fully_lit_part",
    "high_speed_sync_loss_stops",
    "late_closing_loss_stops",
    "open_window_s",
    "shortest_sync_time_s",
    "sync_margin",
]

Shutter = Literal["focal-plane", "leaf", "global"]


def open_window_s(shutter_s: N, curtain_travel_s: N = 0.0) -> N:
    """How long the whole frame is open at once, in s; negative when it never is.

    Parameters: shutter time and curtain travel in s. Leaf and global shutters have no curtain: travel 0.

    Equation: ``t - Tc``.
    """
    return plain(above_zero("shutter_s", shutter_s) - at_least_zero("curtain_travel_s", curtain_travel_s))


def shortest_sync_time_s(t01_s: N, curtain_travel_s: N = 0.0, trigger_delay_s: N = 0.0) -> N:
    """The shortest shutter time that takes in the whole flash over the whole frame, in s.

    Equation: ``Tc + delay + t0.1``.
    """
    return plain(
        above_zero("t01_s", t01_s)
        + at_least_zero("curtain_travel_s", curtain_travel_s)
        + at_least_zero("trigger_delay_s", trigger_delay_s)
    )


@dataclass(frozen=True)
class SyncMargin:
    """Whether delay and flash fit in the open window.

    ``margin_s`` is what the window has to spare. ``margin_stops`` is how many stops the shutter may still be
    shortened, counted on the shutter time: negative by as much as it must be lengthened. ``unlit_part`` is the
    part of the frame's height that does not get the whole flash.
    """

    window_s: float
    needed_s: float
    margin_s: float
    margin_stops: float
    shortest_time_s: float
    unlit_part: float

    @property
    def holds(self) -> bool:
        return self.margin_s >= -1e-12


def sync_margin(
    shutter_s: float,
    t01_s: float,
    trigger_delay_s: float = 0.0,
    shutter: Shutter = "focal-plane",
    curtain_travel_s: float | None = None,
) -> SyncMargin:
    """Does t0.1 plus the trigger's delay fit while the whole frame is open?

    Parameters: true shutter time, t0.1, delay from contact to light, curtain travel, all in s.
    Raises ValueError when a focal-plane shutter comes without its curtain travel.
    """
    travel = curtain_travel_s if shutter == "focal-plane" else 0.0
    if travel is None:
        raise ValueError(
            "curtain_travel_s is missing; a focal-plane shutter needs it: its sheet's figure, or the marked sync "
            "time as the most it can be."
        )
    window = open_window_s(shutter_s, travel)
    shortest = shortest_sync_time_s(t01_s, travel, trigger_delay_s)
    needed = shortest - travel
    lit = fully_lit_part(shutter_s, travel, t01_s, trigger_delay_s)
    return SyncMargin(
        window_s=window,
        needed_s=needed,
        margin_s=window - needed,
        margin_stops=float(np.log2(shutter_s / shortest)),
        shortest_time_s=shortest,
        unlit_part=1.0 - lit,
    )


def fully_lit_part(shutter_s: N, curtain_travel_s: N, t01_s: N = 0.0, trigger_delay_s: N = 0.0) -> N:
    """The part of the frame's height, 0 to 1, that is open for the whole flash.

    The flash starts ``trigger_delay_s`` after the first curtain has arrived. An instantaneous one without
    delay lights ``t / Tc`` of the frame. With a leaf or global shutter (travel 0) it is all or nothing: what is
    lost then is light, see `late_closing_loss_stops`.
    """
    travel = at_least_zero("curtain_travel_s", curtain_travel_s)
    spare = (
        above_zero("shutter_s", shutter_s)
        - at_least_zero("trigger_delay_s", trigger_delay_s)
        - at_least_zero("t01_s", t01_s)
    )
    has_curtain = travel > 0
    of_the_height = np.clip(spare / np.where(has_curtain, travel, 1.0), 0.0, 1.0)
    return plain(np.where(has_curtain, of_the_height, np.where(spare >= 0, 1.0, 0.0)))


def late_closing_loss_stops(shutter_s: N, t01_s: N, trigger_delay_s: N = 0.0) -> N:
    """Flash light that comes after a leaf or global shutter has closed, in stops lost (positive).

    Ideal exponential flash that starts ``trigger_delay_s`` after the shutter opened; infinite when it starts
    after the shutter has closed.
    """
    opened = above_zero("shutter_s", shutter_s) - at_least_zero("trigger_delay_s", trigger_delay_s)
    return plain(np.asarray(light_lost_stops(plain(opened), t01_s)))


def high_speed_sync_loss_stops(shutter_s: N, curtain_travel_s: N) -> N:
    """The least that high-speed sync loses against the same energy in one flash, in stops (positive).

    The unit must burn for the whole passage of the slit, ``Tc + t``, while each row sees it for ``t``.
    A lower bound: real units lose more, so a measured loss goes first.

    Equation: ``log2((Tc + t) / t)``, constant power.
    """
    time = above_zero("shutter_s", shutter_s)
    return plain(np.log2((above_zero("curtain_travel_s", curtain_travel_s) + time) / time))
