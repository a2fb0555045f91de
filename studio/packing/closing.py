"""What upper areas know that keeps a list open, without this area knowing of them."""

from __future__ import annotations

from collections.abc import Callable

from studio.shoots.models import Shoot

__all__ = ["ask_before_closing", "refuse_by_others"]

_asked: list[Callable[[Shoot], None]] = []


def ask_before_closing(refuse: Callable[[Shoot], None]) -> None:
    """Let ``refuse`` raise a `Refusal` where a list must stay open. Registering twice has no effect."""
    if refuse not in _asked:
        _asked.append(refuse)


def refuse_by_others(shoot: Shoot) -> None:
    """Raises what the first of them raises."""
    for refuse in _asked:
        refuse(shoot)
