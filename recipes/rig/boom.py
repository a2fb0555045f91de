"""How hard does a boom arm turn its pivot, what balances it, and what does its stand then feel?"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from recipes.quantity import N, above_zero, at_least_zero, finite, plain, within
from recipes.rig.stand import STANDARD_GRAVITY, Mass

__all__ = [
    "Boom",
    "boom_masses",
    "boom_moment_nm",
    "counterweight_kg",
    "head_height_m",
    "level_moment_kg_m",
    "reach_m",
    "unbalanced_nm",
]


def level_moment_kg_m(head_kg: N, head_arm_m: N, boom_kg: N, boom_length_m: N, rear_m: N) -> N:
    """Moment of head and boom about the pivot with the boom level, in kg m.

    Parameters: head with modifier in kg, its distance from the pivot in m; the boom's own mass and length, uniform;
    ``rear_m`` from the pivot to the boom's rear end.

    Equation: ``m_h a + m_b (L/2 - rear)``. Negative when the rear outweighs the front. Source: statics.
    """
    length = at_least_zero("boom_length_m", boom_length_m)
    rear = at_least_zero("rear_m", rear_m)
    if np.any(rear > length):
        raise ValueError(
            "rear_m is longer than the boom; give the length behind the pivot, within boom_length_m."
        )
    head = at_least_zero("head_kg", head_kg) * at_least_zero("head_arm_m", head_arm_m)
    return plain(head + at_least_zero("boom_kg", boom_kg) * (length / 2.0 - rear))


def boom_moment_nm(head_kg: N, head_arm_m: N, boom_kg: N, boom_length_m: N, rear_m: N, raised_deg: N) -> N:
    """The same moment in N m, with the boom raised from level: ``g cos(raised)`` times the level one."""
    level = np.asarray(level_moment_kg_m(head_kg, head_arm_m, boom_kg, boom_length_m, rear_m))
    return plain(level * STANDARD_GRAVITY * np.cos(np.radians(within("raised_deg", raised_deg, -90.0, 90.0))))


def counterweight_kg(moment_kg_m: N, weight_arm_m: N) -> N:
    """The counterweight that balances a level moment at its distance behind the pivot, in kg; 0 when none is needed.

    It balances at every angle: both sides shorten alike.
    """
    return plain(
        np.maximum(0.0, finite("moment_kg_m", moment_kg_m)) / above_zero("weight_arm_m", weight_arm_m)
    )


def unbalanced_nm(moment_kg_m: N, weight_kg: N, weight_arm_m: N, raised_deg: N) -> N:
    """What the pivot's lock must hold with a given counterweight, in N m; positive when the head sinks."""
    left = finite("moment_kg_m", moment_kg_m) - at_least_zero("weight_kg", weight_kg) * at_least_zero(
        "weight_arm_m", weight_arm_m
    )
    return plain(left * STANDARD_GRAVITY * np.cos(np.radians(within("raised_deg", raised_deg, -90.0, 90.0))))


def reach_m(arm_m: N, raised_deg: N) -> N:
    """How far from the column the head hangs, in m."""
    return plain(
        at_least_zero("arm_m", arm_m) * np.cos(np.radians(within("raised_deg", raised_deg, -90.0, 90.0)))
    )


def head_height_m(pivot_height_m: N, arm_m: N, raised_deg: N) -> N:
    """How high the head hangs, in m."""
    return plain(
        at_least_zero("pivot_height_m", pivot_height_m)
        + at_least_zero("arm_m", arm_m) * np.sin(np.radians(within("raised_deg", raised_deg, -90.0, 90.0)))
    )


@dataclass(frozen=True)
class Boom:
    """A rigged boom: head, arm and counterweight, pointing in a direction from its stand."""

    head_kg: float
    head_arm_m: float
    boom_kg: float
    boom_length_m: float
    rear_m: float
    weight_kg: float
    weight_arm_m: float
    raised_deg: float = 0.0
    bearing_deg: float = 0.0


def boom_masses(boom: Boom) -> tuple[Mass, ...]:
    """What the stand feels: head, boom and counterweight as masses round the column.

    Feed them, with the stand's own mass, to `recipes.rig.stand.weakest_edge`.
    """
    behind_deg = (boom.bearing_deg + 180.0) % 360.0
    middle_m = boom.boom_length_m / 2.0 - boom.rear_m
    return (
        Mass(boom.head_kg, reach_m(boom.head_arm_m, boom.raised_deg), boom.bearing_deg),
        Mass(
            boom.boom_kg,
            reach_m(abs(middle_m), boom.raised_deg),
            boom.bearing_deg if middle_m >= 0 else behind_deg,
        ),
        Mass(boom.weight_kg, reach_m(boom.weight_arm_m, boom.raised_deg), behind_deg),
    )
