"""How much light do the lens and its extension take from the exposure that the f-number promises?

A reading on a hand-held meter knows neither; both shift every zone alike. The constants of meters and the speeds of
cameras are made for a lens that lets 0.90 through and is focused far away, so only what differs from that counts.

Source: common optics; the T-number is ``N / sqrt(tau)``, the extension factor ``(1 + m)²`` for a lens whose
pupils are of one size. ISO 12232 for the 0.90.
"""

from __future__ import annotations

import numpy as np

from recipes.quantity import N, above_zero, at_least_zero, plain, share

__all__ = [
    "NOMINAL_TRANSMITTANCE",
    "extension_loss_stops",
    "loss_beyond_nominal_stops",
    "t_number",
    "unknown_extension_stops",
]

NOMINAL_TRANSMITTANCE = 0.9
"""Of the lens that ISO 12232 reckons with in its factor q."""


def t_number(f_number: N, transmittance: N) -> N:
    """The T-number of a lens: ``N / sqrt(tau)``."""
    return plain(above_zero("f_number", f_number) / np.sqrt(share("transmittance", transmittance)))


def extension_loss_stops(magnification: N) -> N:
    """Light lost by extending a lens to this magnification (1 is life size), in stops: ``2 log2(1 + m)``.

    For a lens with equal pupils; one whose sheet gives a pupil ratio loses less or more.
    """
    return plain(2.0 * np.log2(1.0 + at_least_zero("magnification", magnification)))


def loss_beyond_nominal_stops(transmittance: N) -> N:
    """What a lens takes more than the standard's, in stops; negative for one that lets more through."""
    return plain(np.log2(NOMINAL_TRANSMITTANCE / share("transmittance", transmittance)))


def unknown_extension_stops(magnification: N) -> N:
    """How far off it is to leave extension out when nobody says how the lens focuses, one standard deviation in stops.

    A lens that moves out as a whole loses all of `extension_loss_stops`; one that focuses inside shortens its focal
    length and loses less, down to nothing: an even chance between the two, ``2 log2(1 + m) / sqrt(3)`` from nothing.
    """
    return plain(np.asarray(extension_loss_stops(magnification)) / np.sqrt(3.0))
