"""How far off is a figure of a spec sheet?"""

from __future__ import annotations

from gear.specs import FigureSource

__all__ = ["spread_of", "stated_spread"]

_SPREAD_OF_BASIS = {"measured": 0.1, "maker": 0.3, "computed": 0.2, "estimated": 0.5, "unstated": 0.5}
"""One standard deviation in stops of a figure of light, where its sheet gives none: common practice, no source."""


def spread_of(source: FigureSource) -> float:
    """One standard deviation of a figure of light in stops: its sheet's, else by where the figure comes from."""
    return stated_spread(source, _SPREAD_OF_BASIS[source.basis])


def stated_spread(source: FigureSource, otherwise: float) -> float:
    """One standard deviation of a figure of light in stops: its sheet's, else another one."""
    return source.spread_stops if source.spread_stops is not None else otherwise
