"""Facts about what boards send to each other."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from recipes.light import exchange
from recipes.light.emission import beam
from recipes.light.geometry import rectangle
from recipes.light.gloss import Gloss
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


def spot(flux_lm: float = 1000.0, label: str = "lamp") -> Source:
    """On the left board alone, from close by."""
    emitter = PointEmitter(np.array([0.2, 0.0, 1.0]), np.array([1.0, 0.0, 0.0]))
    return Source(label, "flash", emitter, flux_lm, beam(60.0))


def off_each(sources: tuple[Source, ...], boards: tuple[Board, ...], label: str = "lamp") -> dict[str, float]:
    lit = illuminate(Scene(sources, boards), [0.0, 1.2, 1.0], [0.0, -1.0, 0.0])
    return {board.label: float(lit.of_path(label, board.label)) for board in boards}


def white_and_grey() -> tuple[Board, ...]:
    left, right = facing_boards(0.6)
    return (left, replace(right, reflectance=0.2))


def test_a_white_board_before_a_grey_one_keeps_its_light_by_turns(monkeypatch):
    """Of every second round the grey one keeps far more: the first rounds are no measure of each other."""
    found = off_each((spot(),), white_and_grey())
    monkeypatch.setattr(exchange, "ROUNDS", 40)
    summed = off_each((spot(),), white_and_grey())
    monkeypatch.setattr(exchange, "ROUNDS", 1)
    once = off_each((spot(),), white_and_grey())
    for label, light in found.items():
        assert abs(np.log2(light / summed[label])) < 0.01, label
        assert abs(np.log2(once[label] / summed[label])) > 0.1, label


def test_a_lamp_a_million_times_as_dim_is_sent_on_in_the_same_parts():
    bright, dim = off_each((spot(),), white_and_grey()), off_each((spot(1e-3),), white_and_grey())
    for label, light in dim.items():
        assert light == pytest.approx(1e-6 * bright[label], rel=1e-6)


def test_another_lamp_that_is_off_changes_nothing():
    alone = off_each((spot(),), white_and_grey())
    assert off_each((spot(), spot(0.0, "off")), white_and_grey()) == pytest.approx(alone)


def test_a_black_board_first_on_the_list_does_not_stop_the_others():
    black = Board("black", rectangle([0.0, -9.0, 1.0], [0.0, -1.0, 0.0], 0.5, 0.5), 0.0)
    alone = off_each((spot(),), white_and_grey())
    with_it = off_each((spot(),), (black, *white_and_grey()))
    assert {label: with_it[label] for label in alone} == pytest.approx(alone)


def test_a_silver_board_lights_a_matt_one_which_sends_it_on():
    """A silver board at the lamp throws its lobe onto a white one: without that the white one is nearly dark."""
    silver = replace(facing_boards(1.2)[0], gloss=Gloss(share=0.9, half_angle_deg=15.0))
    white = facing_boards(1.2)[1]
    both = off_each((spot(),), (silver, white))
    matt = off_each((spot(),), (replace(silver, reflectance=0.09, gloss=None), white))
    assert both["right"] > 2 * matt["right"]
