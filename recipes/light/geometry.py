"""Flat faces and places: the one entry for whoever builds a scene.

`rectangle`, `disc` and `regular_polygon` make faces. A face has a front, the side its normal points to; what can be
asked of it stands in `recipes.light.face`. The frame, points and directions are those of `recipes.light.vectors`, whose
names are found here too: nearly all that asks for a face asks where it stands.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from recipes.light.disc import Disc
from recipes.light.face import Face, level_axes
from recipes.light.polygon import Polygon
from recipes.light.vectors import (
    TowardsNowhere,
    cross,
    direction,
    dot,
    facing,
    position,
    squares_between,
    unit,
)
from recipes.quantity import above_zero, finite, whole

__all__ = [
    "Disc",
    "Face",
    "Polygon",
    "TowardsNowhere",
    "cross",
    "direction",
    "disc",
    "dot",
    "facing",
    "position",
    "rectangle",
    "regular_polygon",
    "squares_between",
    "unit",
]


def rectangle(
    centre_m: ArrayLike,
    normal: ArrayLike,
    width_m: float,
    height_m: float,
    roll_deg: float = 0.0,
) -> Polygon:
    """A rectangle that looks along ``normal``; width is level, height as upright as the normal allows.

    Parameters: centre (3,), direction of the front (3,) of any length (`direction` aims it at a point), sides in m,
    turn about the normal in degrees, anticlockwise seen from the front. One that looks straight up or down has its
    width along x.
    """
    width, height = float(above_zero("width_m", width_m)), float(above_zero("height_m", height_m))
    front = unit(normal)
    along, up = level_axes(front)
    if roll_deg:
        turn = np.radians(float(finite("roll_deg", roll_deg)))
        along, up = along * np.cos(turn) + up * np.sin(turn), up * np.cos(turn) - along * np.sin(turn)
    half_width, half_height = along * (width / 2.0), up * (height / 2.0)
    middle = finite("centre_m", np.asarray(centre_m, dtype=np.float64))
    corners = np.array(
        [
            middle - half_width - half_height,
            middle + half_width - half_height,
            middle + half_width + half_height,
            middle - half_width + half_height,
        ]
    )
    # What a polygon finds out about itself is known here beforehand.
    found = object.__new__(Polygon)
    found.__dict__.update(
        corners=corners,
        area_m2=width * height,
        normal=front,
        centre=middle,
        across_m=float(np.hypot(width, height)),
        is_convex=True,
        is_parallelogram=True,
        axes=(along, up),
        half_extents=(half_width, half_height),
        _sides_of_rectangle=(half_width, half_height),
    )
    return found


def disc(centre_m: ArrayLike, normal: ArrayLike, diameter_m: float) -> Disc:
    """A disc that looks along ``normal``: centre (3,), direction (3,) of any length, diameter in m."""
    return Disc(
        np.asarray(centre_m, dtype=np.float64),
        np.asarray(normal, dtype=np.float64),
        float(above_zero("diameter_m", diameter_m)) / 2.0,
    )


def regular_polygon(centre_m: ArrayLike, normal: ArrayLike, corners: int, width_m: float) -> Polygon:
    """A polygon of equal sides that looks along ``normal``, one of its sides level and below.

    Parameters: centre (3,), direction of the front (3,) of any length, how many corners, and in m twice the distance
    from the middle to a side: of an even number of corners, the width from side to side.
    """
    number = whole("corners", corners, at_least=3)
    along, up = level_axes(unit(normal))
    turn = (np.arange(number) + 0.5) * (2.0 * np.pi / number) - np.pi / 2.0
    radius = float(above_zero("width_m", width_m)) / 2.0 / np.cos(np.pi / number)
    rim = np.cos(turn)[:, None] * along + np.sin(turn)[:, None] * up
    return Polygon(finite("centre_m", np.asarray(centre_m, dtype=np.float64)) + radius * rim)
