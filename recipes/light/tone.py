"""What number does a tone get on a screen?

From a tone as a share of white (1 for a perfect white under the same light) to lightness L* and the code of an sRGB
file, for the photographer who looks at a histogram.

Sources: CIE 15 (L*); IEC 61966-2-1 (sRGB).
"""

from __future__ import annotations

import numpy as np

from recipes.quantity import N, above_zero, part, plain, within

__all__ = ["lightness", "share_of_srgb_code", "srgb_code", "stops_from_white"]


def lightness(share_of_white: N) -> N:
    """CIE lightness L*, 0 to 100."""
    y = part("share_of_white", share_of_white)
    return plain(np.where(y > (6 / 29) ** 3, 116 * np.cbrt(y) - 16, y * (29 / 3) ** 3))


def srgb_code(share_of_white: N) -> N:
    """The value in an 8-bit sRGB file, 0 to 255, not rounded."""
    y = part("share_of_white", share_of_white)
    return plain(255 * np.where(y <= 0.0031308, 12.92 * y, 1.055 * y ** (1 / 2.4) - 0.055))


def share_of_srgb_code(code: N) -> N:
    """The share of white behind a value of an 8-bit sRGB file."""
    v = within("code", code, 0.0, 255.0) / 255
    return plain(np.where(v <= 0.04045, v / 12.92, ((v + 0.055) / 1.055) ** 2.4))


def stops_from_white(share_of_white: N) -> N:
    """Stops below (negative) or above a perfect white: ``log2``; 18 % lies at -2.474."""
    return plain(np.log2(above_zero("share_of_white", share_of_white)))
