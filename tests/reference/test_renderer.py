"""The calculation against a path tracer, on random scenes.

mitsuba 3.9 (W. Jakob et al.), variant scalar_rgb. Each receiver is a tiny matt white patch seen by a radiance meter, so
that E = pi L; every estimate is the mean of independent runs and carries its own standard error, which must be small
against the tolerance it is held to. The faces of lamps are black to other light, as the renderer's paths need.

Tolerances: 0.05 stop straight, 0.1 stop by way of a board, 0.2 stop for what a room adds to a receiver that does not
face the lit wall, 0.11 by a window, 0.3 stop for one that stands by a board which only walls light. Chance never lays
out what a set does: a lamp aimed at the meter, a meter that looks straight past it, shoes on the floor; scenes "as on
a set" do.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Any

import mitsuba
import numpy as np
import pytest

from recipes.light.form_factor import form_factor
from recipes.light.geometry import Disc, Face, Polygon, direction, disc, position, rectangle, unit
from recipes.light.geometry import facing as looks_to
from recipes.light.obstruction import Blocker, passing
from recipes.light.quadrature import even_nodes
from recipes.light.scene import Board, RoomBox, Scene, Source, illuminate

mitsuba.set_variant("scalar_rgb")

RUNS = 8
PATCH_M = 1e-3


@dataclass(frozen=True)
class Comparison:
    """One receiver: core against renderer in stops, and the renderer's own standard error in stops."""

    seed: int
    off_stops: float
    error_stops: float


def matt(reflectance: float) -> dict[str, Any]:
    return {"type": "diffuse", "reflectance": {"type": "rgb", "value": float(reflectance)}}


def shape(face: Face, reflectance: float, radiance: float = 0.0) -> dict[str, Any]:
    if isinstance(face, Disc):
        along, up = (axis * face.radius_m for axis in face.axes)
    else:
        assert isinstance(face, Polygon)
        along, up = (face.corners[1] - face.corners[0]) / 2, (face.corners[3] - face.corners[0]) / 2
    frame = np.eye(4)
    frame[:3, 0], frame[:3, 1], frame[:3, 2], frame[:3, 3] = along, up, face.normal, face.centre
    found = {
        "type": "disk" if isinstance(face, Disc) else "rectangle",
        "to_world": mitsuba.ScalarTransform4f(frame),
        "bsdf": matt(reflectance),
    }
    if radiance:
        found["emitter"] = {"type": "area", "radiance": {"type": "rgb", "value": radiance}}
    return found


def described_for(
    scene: Scene, point: np.ndarray, facing: np.ndarray, bounces: int, samples: int
) -> dict[str, Any]:
    """The renderer's scene for one receiver, with all paths up to so many bounces."""
    described: dict[str, Any] = {
        "type": "scene",
        "integrator": {"type": "path", "max_depth": bounces + 2, "rr_depth": 1000},
        "patch": shape(rectangle(point, facing, PATCH_M, PATCH_M), 1.0),
        "sensor": {
            "type": "radiancemeter",
            "origin": [float(x) for x in point + facing * PATCH_M],
            "direction": [float(-x) for x in facing],
            "film": {"type": "hdrfilm", "width": 1, "height": 1, "rfilter": {"type": "box"}},
            "sampler": {"type": "independent", "sample_count": samples},
        },
    }
    for source in scene.sources:
        assert isinstance(source.emitter, Face)
        exitance = source.flux_lm / source.emitter.area_m2
        described[f"lamp {source.label}"] = shape(source.emitter, 0.0, exitance / math.pi)
    for board in scene.boards:
        described[f"board {board.label}"] = shape(board.face, board.reflectance)
    bodies = [source.emitter for source in scene.sources]
    for row, blocker in enumerate(scene.blockers):
        if not any(blocker.face is body for body in bodies):
            assert blocker.transmittance == 0.0
            described[f"flag {row}"] = shape(blocker.face, 0.0)
    if scene.room is not None:
        for name, face, reflectance in scene.room.surfaces:
            described[name] = shape(face, reflectance)
    return described


def traced(
    scene: Scene, point: np.ndarray, facing: np.ndarray, bounces: int, samples: int
) -> tuple[float, float]:
    """Illuminance of a receiver by all paths up to so many bounces, and its standard error."""
    loaded = mitsuba.load_dict(described_for(scene, point, facing, bounces, samples))
    runs = [math.pi * float(np.array(mitsuba.render(loaded, seed=seed))[0, 0, 0]) for seed in range(RUNS)]
    return float(np.mean(runs)), float(np.std(runs, ddof=1) / math.sqrt(RUNS))


def compared(seed: int, core: float, render: tuple[float, float]) -> Comparison:
    value, error = render
    return Comparison(seed, math.log2(core / value), error / value / math.log(2))


def a_face(chance: np.random.Generator, centre: np.ndarray, normal: np.ndarray, most: float) -> Face:
    if chance.random() < 0.4:
        return disc(centre, normal, chance.uniform(0.2, most))
    return rectangle(
        centre, normal, chance.uniform(0.2, most), chance.uniform(0.2, most), chance.uniform(0, 90)
    )


def a_direction(chance: np.random.Generator) -> np.ndarray:
    return unit(chance.normal(size=3))


def straight(seed: int) -> list[Comparison]:
    """A face and two receivers at random, one of them often with its horizon across the face."""
    chance = np.random.default_rng(seed)
    lamp = Source("a", "flash", a_face(chance, np.zeros(3), a_direction(chance), 1.6), 1000.0)
    scene = Scene((lamp,))
    found = []
    while len(found) < 2:
        point = chance.uniform(-2.5, 2.5, size=3)
        facing = unit(direction(point, lamp.centre) + chance.uniform(0.0, 1.2) * a_direction(chance))
        core = float(illuminate(scene, point, facing).flash_lxs)
        if core > 3.0:
            found.append(compared(seed, core, traced(scene, point, facing, bounces=0, samples=2048)))
    return found


def off_a_board(seed: int) -> list[Comparison]:
    """A face turned to a board, and a receiver that the face does not reach itself."""
    chance = np.random.default_rng(1000 + seed)
    for _ in range(10_000):
        board = a_face(chance, np.zeros(3), np.array([1.0, 0, 0]), 2.4)
        lamp_at = np.array([chance.uniform(0.4, 2.0), chance.uniform(-1.2, 1.2), chance.uniform(-0.8, 0.8)])
        lamp = a_face(chance, lamp_at, direction(lamp_at, chance.uniform(-0.2, 0.2, size=3)), 0.6)
        point = np.array([chance.uniform(0.3, 3.0), chance.uniform(-2.0, 2.0), chance.uniform(-1.0, 1.0)])
        facing = unit(direction(point, board.centre) + chance.uniform(0.0, 0.8) * a_direction(chance))
        behind_the_lamp = lamp.height_over(point) < -0.05 and np.linalg.norm(point - lamp_at) > 0.8
        if (
            behind_the_lamp
            and form_factor(board, point, facing) > 0.05
            and form_factor(lamp, board.centre, board.normal) > 0.005
            and not shaded_by_the_lamp(lamp, board, point)
        ):
            break
    scene = Scene((Source("a", "flash", lamp, 1000.0),), (Board("b", board, chance.uniform(0.4, 0.9)),))
    core = float(illuminate(scene, point, facing).flash_lxs)
    return [compared(seed, core, traced(scene, point, facing, bounces=1, samples=16384))]


def shaded_by_the_lamp(lamp: Face, board: Face, point: np.ndarray) -> bool:
    """Whether the back of the lamp stands before part of the board: the core knows no lamp bodies."""

    return passing(even_nodes(board, 8).points, point[None, :], [Blocker(lamp)]) is not None


def in_a_room(seed: int) -> list[Comparison]:
    """A face turned to a wall, and a receiver that neither the face reaches nor the lit wall."""
    chance = np.random.default_rng(2000 + seed)
    room = RoomBox(
        width_m=chance.uniform(4, 9),
        depth_m=chance.uniform(4, 9),
        height_m=chance.uniform(2.6, 4),
        mark_m=(2.0, 2.0),
        floor_reflectance=chance.uniform(0.1, 0.4),
        ceiling_reflectance=chance.uniform(0.5, 0.8),
        walls=tuple(chance.uniform(0.2, 0.8, size=4)),  # type: ignore[arg-type]
    )
    _, wall, _ = room.surfaces[chance.integers(2, 6)]
    inside = room.low + 0.8, room.high - np.array([0.8, 0.8, 0.6])
    for _ in range(10_000):
        lamp_at, point = chance.uniform(*inside), chance.uniform(*inside)
        to_wall = direction(lamp_at, wall.centre)
        face = a_face(chance, lamp_at, to_wall, 0.6)
        sideways = unit(a_direction(chance) * [1, 1, 0.3])
        if (
            wall.height_over(lamp_at) < 0.5 * wall.height_over(point)
            and np.linalg.norm(lamp_at - point) > 1.0
            and 0.0 <= sideways @ wall.normal < 0.8
        ):
            break
    scene = Scene((Source("a", "flash", face, 1000.0),), room=room)
    core = float(illuminate(scene, point, sideways).flash_lxs)
    return [compared(seed, core, traced(scene, point, sideways, bounces=40, samples=2048))]


def by_a_board_in_a_room(seed: int) -> list[Comparison]:
    """A board that the lamp does not reach, in a room, and receivers close to it and further off: one that looks at it,
    one along it, one away. Nobody looks at a black one: there is next to nothing to be seen."""
    chance = np.random.default_rng(5000 + seed)
    walls = tuple(chance.uniform(0.3, 0.8, size=4))
    width, depth, height = chance.uniform(4, 7), chance.uniform(4, 7), chance.uniform(2.6, 3.5)
    floor, ceiling = chance.uniform(0.1, 0.4), chance.uniform(0.5, 0.8)
    room = RoomBox(width, depth, height, (2.0, 2.0), floor, ceiling, walls)  # type: ignore[arg-type]
    _, wall, _ = room.surfaces[chance.integers(2, 6)]
    for _ in range(10_000):
        lamp_at, centre = chance.uniform(room.low + 0.9, room.high - 0.9, size=(2, 3))
        near, far = wall.height_over(lamp_at), wall.height_over(centre)
        if near < 1.6 and far > near + 0.6 and np.linalg.norm(lamp_at - centre) > 1.2:
            break
    lamp = rectangle(lamp_at, direction(lamp_at, wall.centre), 0.4, 0.6)
    front = unit(wall.normal * chance.choice([-1, 1]) + 0.6 * chance.normal(size=3) * [1, 1, 0.4])
    reflectance = 0.85 if seed % 2 else 0.04
    face = rectangle(centre, front, *chance.uniform(0.8, 1.6, size=2))
    scene = Scene(
        (Source("a", "flash", lamp, 1000.0),), (Board("b", face, reflectance),), (Blocker(lamp),), room
    )
    found = []
    for away_m in (0.05, 0.5):
        point = centre + front * away_m + 0.2 * sum(chance.uniform(-1, 1) * axis for axis in face.axes)
        for facing in (-front, unit(face.axes[0] + 0.15 * front), front)[seed % 2 == 0 :]:
            core = float(illuminate(scene, point, facing).flash_lxs)
            found.append(compared(seed, core, traced(scene, point, facing, bounces=40, samples=2048)))
    return found


def as_on_a_set(seed: int, room: RoomBox | None = None) -> list[Comparison]:
    """A lamp that is aimed at the subject from a usual place, and what a meter reads there to the camera, to either
    side, backwards and upwards, and at its shoes: what chance never lays out, with the meter on the lamp's axis and the
    lamp on its horizon."""
    chance = np.random.default_rng(9000 + seed)
    mark = np.array([0.0, 0.0, 1.5])
    stands = position(
        chance.choice([0.0, 30, 45, 60, 90, 135, 180]),
        chance.choice([1.5, 2, 3]),
        chance.choice([1.5, 2, 2.5]),
    )
    face = disc if seed % 2 else partial(rectangle, height_m=0.9)
    lamp = face(stands, direction(stands, mark), float(chance.choice([0.3, 0.6, 1.0])))
    boards, bodies = (), ()
    if room is not None:
        by = position(chance.choice([0.0, 90, 270]), chance.choice([0.6, 1.0]), 1.5)
        board = rectangle(by, direction(by, mark), chance.choice([1.0, 2.0]), 2.0)
        boards, bodies = (Board("b", board, chance.choice([0.85, 0.05])),), (Blocker(lamp),)
    scene = Scene((Source("a", "flash", lamp, 1000.0),), boards, bodies, room)
    found = []
    upwards, shoes = np.array([0.0, 0.0, 1.0]), np.array([0.0, 0.0, 0.02])
    meters = [(mark, looks_to(bearing)) for bearing in (0, 90, 180, 270)]
    for point, facing in (*meters, (mark, upwards), (shoes, looks_to(0)), (shoes, looks_to(90))):
        core = float(illuminate(scene, point, facing).flash_lxs)
        seen = traced(scene, point, facing, bounces=40 if room else 0, samples=4096 if room else 2048)
        if max(core, seen[0]) > 3.0:
            found.append(compared(seed, core, seen))
    return found


def as_on_a_set_in_a_room(seed: int) -> list[Comparison]:
    """The same in a room, with a white or a black board next to the subject."""
    return as_on_a_set(seed, RoomBox(6, 8, 3.2, (3, 4), 0.2, 0.7, (0.5, 0.5, 0.5, 0.5)))


def by_a_window(seed: int) -> list[Comparison]:
    """A pane in a wall, often close to the ceiling, a board next to the subject, and what a meter reads there in all
    directions, at the shoes, and close before the pane, turned into the room and along the wall."""
    chance = np.random.default_rng(7000 + seed)
    room = RoomBox(5.0, 6.0, 2.8, (2.5, 3.0), 0.2, 0.7, tuple(chance.choice([0.3, 0.5, 0.7], 4)))  # type: ignore[arg-type]
    _, wall, _ = room.surfaces[2 + seed % 4]
    along = wall.axes[0] if abs(wall.axes[0][2]) < 0.5 else wall.axes[1]
    middle = (
        wall.centre * [1, 1, 0] + [0, 0, chance.choice([1.3, 1.9])] + along * chance.choice([-0.5, 0.0, 0.5])
    )
    # A millimetre before the wall, so that the renderer can tell them apart.
    pane = rectangle(middle + wall.normal * 0.001, wall.normal, chance.choice([1.0, 2.0]), 1.6)
    mark, upwards = np.array([0.0, 0.0, 1.5]), np.array([0.0, 0.0, 1.0])
    by = position(chance.choice([0.0, 90, 180, 270]), 0.8, 1.5)
    board = Board("b", rectangle(by, direction(by, mark), 1.0, 2.0), chance.choice([0.85, 0.05]))
    scene = Scene((Source("w", "ambient", pane, 5000.0),), (board,), room=room)
    near = middle + wall.normal * 0.3
    meters = [(mark, looks_to(bearing)) for bearing in (0, 90, 180, 270)]
    meters += [(mark, upwards), (np.array([0.0, 0, 0.02]), looks_to(0)), (near, wall.normal), (near, along)]
    found = []
    for point, facing in meters:
        core = float(illuminate(scene, point, facing).ambient_lux)
        found.append(compared(seed, core, traced(scene, point, facing, bounces=40, samples=2048)))
    return found


def gathered(kind: Callable[[int], list[Comparison]], scenes: int) -> list[Comparison]:
    return [comparison for seed in range(scenes) for comparison in kind(seed)]


@pytest.mark.parametrize(
    ("kind", "scenes", "tolerance_stops"),
    [
        pytest.param(straight, 28, 0.05, id="straight"),
        pytest.param(as_on_a_set, 16, 0.05, id="as on a set"),
        pytest.param(as_on_a_set_in_a_room, 8, 0.20, id="as on a set in a room"),
        pytest.param(off_a_board, 24, 0.10, id="off a board"),
        pytest.param(by_a_window, 8, 0.11, id="by a window"),
        pytest.param(in_a_room, 16, 0.20, id="in a room"),
        pytest.param(by_a_board_in_a_room, 8, 0.30, id="by a board in a room"),
    ],
)
def test_the_core_agrees_with_a_path_tracer(kind, scenes, tolerance_stops, capsys):
    found = gathered(kind, scenes)
    off = np.array([abs(comparison.off_stops) for comparison in found])
    error = np.array([comparison.error_stops for comparison in found])
    half, nine_tenths, most = np.percentile(off, [50, 90, 100])
    with capsys.disabled():
        print(
            f"\n{kind.__name__}: {len(off)} receivers, off by {half:.3f} (median), {nine_tenths:.3f} (90 %), "
            f"{most:.3f} (most) stops; renderer's own error at most {error.max():.3f}"
        )
    assert error.max() < tolerance_stops / 3, "the renderer is too noisy to judge; give it more samples"
    assert half <= tolerance_stops / 3
    assert nine_tenths <= tolerance_stops * 2 / 3
    assert most <= tolerance_stops, found[int(off.argmax())]
