"""At which flash rates is a warning due?

Flashing light can set off a seizure in a person with photosensitive epilepsy, known or not. The bands here are those
that public guidance names; they tell when to warn the people in the room, and nothing more. Rules of the place and of
the venue go first, and so does the word of anyone present.

Sources: epilepsy charities' public pages, and the limit of the United Kingdom's Health and Safety Executive as they
quote it (read second hand); Web Content Accessibility Guidelines 2.x, success criterion 2.3.1; IEC 62471:2006.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from recipes.quantity import above_zero, at_least_zero, part, whole

__all__ = [
    "FlashCaution",
    "FlashLevel",
    "RiskGroup",
    "fastest_burst_hz",
    "flash_caution",
    "is_general_flash",
    "is_red_flash",
    "risk_group_caution",
    "screen_flashing_allowed",
]

FlashLevel = Literal["below", "warn", "common", "strongest", "above"]

WARN_ABOVE_HZ = 3.0
WARN_UP_TO_HZ = 60.0
COMMON_UP_TO_HZ = 30.0
STRONGEST_HZ = (15.0, 25.0)
EVENT_LIMIT_HZ = 4.0
"""What UK events guidance limits strobes to, as quoted by a charity."""

DEFER = (
    "Tell everyone in the room before the first flash, ask who should not stay, and follow the rules of the place and "
    "the venue."
)

RiskGroup = Literal["exempt", "1", "2", "3"]

_RISK = {
    "exempt": "Labelled exempt: no photobiological hazard named by IEC 62471.",
    "1": "Labelled risk group 1: no hazard named for normal behaviour; do not stare into the source.",
    "2": (
        "Labelled risk group 2: relies on looking away from the glare. Do not let anyone stare into it, keep it out of "
        "the eye line of subjects who cannot turn away, and keep the distance that its manual gives."
    ),
    "3": (
        "Labelled risk group 3: may hurt the eye even at a glance. Use only as its manual and a competent person "
        "say, and follow local rules."
    ),
}


@dataclass(frozen=True)
class FlashCaution:
    """How a flash rate stands to the bands of public guidance.

    ``level``: "below" 3 a second, "warn" to 60, "common" from 3 to 30 where most reactions are reported, "strongest"
    from 15 to 25, "above" 60. ``sentence`` is what to show; ``over_event_limit`` is True above 4 a second.
    """

    rate_hz: float
    level: FlashLevel
    over_event_limit: bool
    sentence: str

    @property
    def due(self) -> bool:
        """Whether a warning is due."""
        return self.level in ("warn", "common", "strongest")


def fastest_burst_hz(frames_per_second: float, strobes_in_turn: int = 1) -> float:
    """The rate of flashes that people in the room see: that of the camera, times the strobes that fire in turn."""
    return float(above_zero("frames_per_second", frames_per_second)) * whole(
        "strobes_in_turn", strobes_in_turn, 1
    )


def flash_caution(rate_hz: float) -> FlashCaution:
    """How the rate of a burst, of a stroboscopic flash or of rapid-fire shooting stands to public guidance."""
    rate = float(at_least_zero("rate_hz", rate_hz))
    level: FlashLevel
    if rate <= WARN_ABOVE_HZ:
        level = "below"
        tell = "below the rate from which public guidance warns (more than 3 a second); some people react to less."
    elif rate > WARN_UP_TO_HZ:
        level = "above"
        tell = "above the band that public guidance warns of (3 to 60 a second); start and stop may still pass it."
    elif STRONGEST_HZ[0] <= rate <= STRONGEST_HZ[1]:
        level = "strongest"
        tell = "in the band that sets off the most reactions (15 to 25 a second)."
    elif rate <= COMMON_UP_TO_HZ:
        level = "common"
        tell = "in the band in which most reactions are reported (3 to 30 a second)."
    else:
        level = "warn"
        tell = "in the band that public guidance warns of (3 to 60 a second)."
    over = rate > EVENT_LIMIT_HZ
    limit = " UK events guidance limits strobes to 4 a second." if over else ""
    return FlashCaution(rate, level, over, f"{rate:.3g} flashes a second: {tell}{limit} {DEFER}")


def screen_flashing_allowed(flashes_in_a_second: int, area_sr: float) -> bool:
    """Whether flashing on a screen keeps to the three-flashes criterion.

    Either no more than three general or red flashes within any second, or a flashing area of at most 0.006 sr within
    any 10 degrees of the field of view. Source: WCAG 2.x, 2.3.1.
    """
    few = at_least_zero("flashes_in_a_second", flashes_in_a_second) <= 3
    small = at_least_zero("area_sr", area_sr) <= 0.006
    return bool(few or small)


def is_general_flash(first: float, second: float) -> bool:
    """Whether a change of relative luminance (0 to 1) counts as half of a general flash.

    A change of a tenth of the maximum or more, with the darker image below 0.80. Source: WCAG 2.x definition.
    """
    a, b = float(part("first", first)), float(part("second", second))
    return abs(a - b) >= 0.1 - 1e-12 and min(a, b) < 0.8


def is_red_flash(red_share: float, change_uv: float) -> bool:
    """Whether a change involving a saturated red counts: R/(R+G+B) of 0.8 or more, and more than 0.2 in CIE 1976 UCS.

    Source: WCAG 2.x definition, wording of ISO 9241-391.
    """
    return bool(part("red_share", red_share) >= 0.8 and at_least_zero("change_uv", change_uv) > 0.2)


def risk_group_caution(group: RiskGroup) -> str:
    """The usual caution for a source by the IEC 62471 group on its label; the group is read, never computed.

    Raises ValueError for a group that the standard does not know.
    """
    if group not in _RISK:
        raise ValueError(f"the risk group is {group!r}; give the one on the label: {', '.join(_RISK)}.")
    return _RISK[group]
