"""Rules of the catalogue that need no database."""

from __future__ import annotations

from gear.errors import Conflict

__all__ = ["keeps_its_kind"]


def keeps_its_kind(slug: str, kind_now: str, kind_asked: str) -> None:
    """A strobe does not become a stand: units, recipes and promises rely on the kind. Raises `Conflict`."""
    if kind_now != kind_asked:
        raise Conflict(
            f"{slug} is a {kind_now} and stays one; the edit says {kind_asked}.",
            ways_out=(f"Make a new gear type of kind {kind_asked} and move its units there.",),
        )
