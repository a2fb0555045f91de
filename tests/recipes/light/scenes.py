"""Small builders of positions, faces and lights for tests of light."""

from __future__ import annotations

from typing import Any

import numpy as np
from hypothesis import strategies as st

from recipes.light.geometry import Disc, Face, Polygon, disc, rectangle, unit
from recipes.light.scene import PointEmitter, Source

AHEAD = np.array([0.0, 1.0, 0.0])
UP = np.array([0.0, 0.0, 1.0])


def a_softbox(label: str = "key", at: Any = (0, 0, 0), towards: Any = AHEAD, **changes: Any) -> Source:
    face = changes.pop("face", None) or rectangle(at, towards, 0.6, 0.9)
    return Source(**({"label": label, "kind": "flash", "emitter": face, "flux_lm": 5000.0} | changes))


def a_bulb(label: str = "bulb", at: Any = (0, 0, 0), towards: Any = AHEAD, **changes: Any) -> Source:
    emitter = PointEmitter(np.asarray(at, dtype=float), np.asarray(towards, dtype=float))
    return Source(**({"label": label, "kind": "flash", "emitter": emitter, "flux_lm": 5000.0} | changes))


def hinged(
    turned_deg: float, width: float = 0.3, height: float = 0.4, hinge: tuple[float, float] = (0.05, 1.0)
) -> list[Polygon]:
    """Two boards that share an upright edge, each turned by as much out of the plane between them."""
    turn = np.radians(turned_deg)
    low, high = -height / 2, height / 2
    ends = [[hinge[0] + way * width * np.cos(turn), hinge[1] + width * np.sin(turn)] for way in (-1, 1)]
    rows = [[[*hinge, low], [*end, low], [*end, high], [*hinge, high]] for end in ends]
    return [Polygon(np.array(row)) for row in rows]


@st.composite
def directions(draw: st.DrawFn) -> np.ndarray:
    around, height = draw(st.floats(0, 2 * np.pi)), draw(st.floats(-1, 1))
    level = np.sqrt(1 - height**2)
    return np.array([level * np.cos(around), level * np.sin(around), height])


@st.composite
def points(draw: st.DrawFn, reach: float = 3.0) -> np.ndarray:
    return np.array([draw(st.floats(-reach, reach)) for _ in range(3)])


@st.composite
def faces(draw: st.DrawFn) -> Face:
    centre, normal = draw(points()), draw(directions())
    if draw(st.booleans()):
        return disc(centre, normal, draw(st.floats(0.1, 2.0)))
    return rectangle(
        centre, normal, draw(st.floats(0.1, 2.0)), draw(st.floats(0.1, 2.0)), draw(st.floats(0, 360))
    )


def moved(thing: Any, turn: np.ndarray, shift: np.ndarray) -> Any:
    """A face turned about the origin and shifted."""
    if isinstance(thing, Polygon):
        return Polygon(thing.corners @ turn.T + shift)
    assert isinstance(thing, Disc)
    return Disc(turn @ thing.centre + shift, turn @ thing.normal, thing.radius_m)


def a_turn(axis: np.ndarray, angle: float) -> np.ndarray:
    """Rotation matrix about an axis (Rodrigues)."""
    x, y, z = unit(axis)
    cross = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    return np.eye(3) + np.sin(angle) * cross + (1 - np.cos(angle)) * cross @ cross


def all_round(radius: float, order: int = 40) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Receivers on a sphere round the origin that look inwards: points, normals, and the area of each."""
    heights, weights = np.polynomial.legendre.leggauss(order)
    around = (np.arange(2 * order) + 0.5) * np.pi / order
    level = np.sqrt(1 - heights**2)
    outward = np.stack(
        [
            level[:, None] * np.cos(around),
            level[:, None] * np.sin(around),
            np.broadcast_to(heights[:, None], (order, 2 * order)),
        ],
        axis=-1,
    ).reshape(-1, 3)
    areas = np.repeat(weights * np.pi / order, 2 * order) * radius**2
    return radius * outward, -outward, areas
