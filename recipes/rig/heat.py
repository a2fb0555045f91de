"""Does the modelling lamp burn hotter than the modifier bears?"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from recipes.quantity import N, above_zero, at_least_zero, part, plain, whole

__all__ = ["LampMargin", "lamp_margin", "lamp_share_allowed"]


@dataclass(frozen=True)
class LampMargin:
    """Lamp power inside a modifier against its limit, in W; margin positive when kept."""

    lamp_w: float
    limit_w: float
    margin_w: float


def lamp_margin(lamp_w: float, limit_w: float, heads: int = 1, lamp_share: float = 1.0) -> LampMargin:
    """Is the modifier's lamp limit kept?

    Parameters: rated power of one modelling lamp; the modifier's limit for all lamps in it; heads in it; part of its
    power the lamp is set to. A lamp that follows the flash power counts with 1 unless it is locked.
    """
    burning = (
        float(at_least_zero("lamp_w", lamp_w))
        * whole("heads", heads, at_least=1)
        * float(part("lamp_share", lamp_share))
    )
    limit = float(above_zero("limit_w", limit_w))
    return LampMargin(burning, limit, limit - burning)


def lamp_share_allowed(lamp_w: N, limit_w: N, heads: N = 1.0) -> N:
    """The part of its power that a modelling lamp may burn at, 0 to 1."""
    burning = at_least_zero("lamp_w", lamp_w) * above_zero("heads", heads)
    limit = above_zero("limit_w", limit_w)
    return plain(limit / np.maximum(burning, limit))
