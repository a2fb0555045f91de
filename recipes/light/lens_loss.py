"""How much light do the lens and its extension take from the exposure that the f-number promises?

A reading on a hand-held meter knows neither; both shift every zone alike.

Source: common optics; the T-number is ``N / sqrt(tau)``, the extension factor ``(1 + m)²`` for a lens whose
pupils are of one size.
"""

from __future__ import annotations

import numpy as np

from recipes.quantity import N, above_zero, at_least_zero, plain, share

__all__ = ["extension_loss_stops", "t_number"]


def t_number(f_number: N, transmittance: N) -> N:
    """The T-number of a lens: ``N / sqrt(tau)``."""
    return plain(above_zero("f_number", f_number) / np.sqrt(share("transmittance", transmittance)))


def extension_loss_stops(magnification: N) -> N:
    """Light lost by extending a lens to this magnification (1 is life size), in stops: ``2 log2(1 + m)``.

    For a lens with equal pupils; one whose sheet gives a pupil ratio loses less or more.
    """
    return plain(2.0 * np.log2(1.0 + at_least_zero("magnification", magnification)))
