"""Facts about what boards send to each other."""

from __future__ import annotations

import numpy as np
import pytest

from recipes.light import exchange
from recipes.light.geometry import rectangle
from recipes.light.scene import Board, PointEmitter, Scene, Source, illuminate

LAMP = Source("lamp", "flash", PointEmitter(np.array([0.0, 0.0, 1.0]), np.array([0.0, 1.0, 0.0])), 1000.0)


def facing_boards(apart_m: float, reflectance: float = 0.9) -> tuple[Board, ...]:
    """Two, 2 by 2 m, with the lamp between them."""
    return tuple(
        Board(name, rectangle([side * apart_m / 2.0, 0.0, 1.0], [-side, 0.0, 0.0], 2.0, 2.0), reflectance)
        for name, side in (("left", 1.0), ("right", -1.0))
    )


def off_the_boards(boards: tuple[Board, ...]) -> float:
    lit = illuminate(Scene((LAMP,), boards), [0.0, 1.2, 1.0], [0.0, -1.0, 0.0])
    return float(sum(lit.of_path("lamp", board.label) for board in boards))


@pytest.mark.parametrize(("apart_m", "within_stops"), [(1.0, 0.002), (0.5, 0.02), (0.25, 0.06)])
def test_boards_that_face_each_other_closely_keep_their_light(apart_m, within_stops, monkeypatch):
    """Against the same series summed over forty rounds; three rounds alone are 0.04, 0.28 and 0.88 stop too dark."""
    found = off_the_boards(facing_boards(apart_m))
    monkeypatch.setattr(exchange, "ROUNDS", 40)
    assert abs(np.log2(found / off_the_boards(facing_boards(apart_m)))) < within_stops


def test_black_boards_send_nothing_on():
    assert off_the_boards(facing_boards(0.5, reflectance=0.0)) == 0.0
