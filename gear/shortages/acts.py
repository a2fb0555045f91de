"""Taking a way out by its name, as the buttons and the API say it."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from gear.errors import FieldProblem, Invalid
from gear.shortages.models import Shortage
from gear.shortages.services import go_without, move_for, swap, take_fewer

__all__ = ["take_way_out"]


def take_way_out(shortage: Shortage, act: str, value: str, by: Any) -> Shortage:
    """Do it. Raises `Invalid` for a way that is none, and whatever the way itself refuses with."""
    match act:
        case "swap":
            return swap(shortage, value, by)
        case "without":
            return go_without(shortage, by)
        case "fewer":
            return take_fewer(shortage, by)
        case "move":
            return move_for(shortage, _instant(value), by)
    raise Invalid(
        f"There is no way out “{act[:20]}”.", (FieldProblem("act", "swap, without, fewer or move"),)
    )


def _instant(text: str) -> datetime:
    try:
        read = datetime.fromisoformat(text)
    except ValueError:
        read = datetime.min
    if read.tzinfo is None:
        raise Invalid(
            f"{text[:40]!r} is not an instant.", (FieldProblem("value", "YYYY-MM-DDTHH:MM with an offset"),)
        )
    return read
