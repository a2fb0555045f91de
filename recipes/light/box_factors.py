"""How much of what leaves one patch of a box reaches another?

The six sides of a box, each cut into ``PATCHES_A_SIDE`` by ``PATCHES_A_SIDE`` equal rectangles. Two of them are
parallel or stand upright on each other, with all edges along the box, and for those the configuration factor from face
to face has a closed form: a sum over the corners of a function G of how far they lie apart,

    parallel, d apart    G = ( x q atan(x/q) + y p atan(y/p) - d²/2 ln(x² + y² + d²) ) / 2 pi
                         p² = x² + d²,  q² = y² + d²
    upright              G = ( y r atan(y/r) - (r² - y²)/4 ln(r² + y²) ) / 2 pi
                         r² = x² + z²

Patches are equally wide, so G is needed at a handful of distances only, and every factor is a difference of them.

Source: J. R. Howell, *A Catalog of Radiation Configuration Factors*, C-13 and C-15 (J. R. Ehlert, T. F. Smith, *Journal
of Thermophysics and Heat Transfer* 7, 1993). The rows sum to 1 as they must (tested).
"""

from __future__ import annotations

import numpy as np

from recipes.quantity import Array

__all__ = ["PATCHES_A_SIDE", "SIDES", "box_factors", "places_of_patches"]

PATCHES_A_SIDE = 4

SIDES = ((2, 0), (2, 1), (0, 1), (0, 0), (1, 0), (1, 1))
"""Normal axis of floor, ceiling, left, right, far and near side, and whether it lies at the low (0) or high (1) end."""


def box_factors(size_m: tuple[float, float, float]) -> Array:
    """Factors (from, to) between all patches of a box of this size along x, y and z: six sides, each with its patches
    in the order of `places_of_patches`."""
    size = np.array(size_m)
    parallel = _parallel(*size[_NORMAL_AND_OTHERS])
    upright = _upright(*size[_RECEIVING_SENDING_ALONG])
    return np.where(
        _FACING,
        parallel[_APART_1, _APART_2, _AXIS[:, None]],
        np.where(_STANDING, upright[_OFF_1, _OFF_2, _ALONG, _AXIS[:, None], _AXIS[None, :]], 0.0),
    )


def places_of_patches() -> np.ndarray[tuple[int, ...], np.dtype[np.int64]]:
    """Which cell of the box along x, y and z each patch fills, (patches, 3); 0 along its own normal."""
    steps = np.arange(PATCHES_A_SIDE)
    found = np.zeros((len(SIDES), PATCHES_A_SIDE, PATCHES_A_SIDE, 3), dtype=np.int64)
    for row, (axis, _) in enumerate(SIDES):
        first, second = (other for other in range(3) if other != axis)
        found[row, :, :, first] = steps[:, None]
        found[row, :, :, second] = steps[None, :]
    return found.reshape(-1, 3)


def _parallel(apart_m: Array, first_m: Array, second_m: Array) -> Array:
    """Factor by how many patches they are shifted along the first and the second side; sizes (n,) of some at once."""
    steps = np.arange(PATCHES_A_SIDE + 1) / PATCHES_A_SIDE
    x, y = steps[:, None, None] * first_m, steps[:, None] * second_m
    p, q = np.sqrt(x**2 + apart_m**2), np.sqrt(y**2 + apart_m**2)
    corner = (
        x * q * np.arctan(x / q) + y * p * np.arctan(y / p) - apart_m**2 / 2.0 * np.log(p**2 + y**2)
    ) / (2.0 * np.pi)
    return _shifted(_shifted(corner, 0), 1) * PATCHES_A_SIDE**2 / (first_m * second_m)


def _upright(first_m: Array, second_m: Array, along_m: Array) -> Array:
    """Factor by how many patches each is off the common edge, and by how many they are shifted along it.

    ``first_m`` is how far the sending side reaches from the edge, ``second_m`` the receiving one; sizes (n, m) of some
    at once.
    """
    steps = (np.arange(PATCHES_A_SIDE + 1) / PATCHES_A_SIDE)[:, None, None]
    square = (steps[:, None, None] * first_m) ** 2 + (steps[:, None] * second_m) ** 2
    y = steps * along_m
    r, whole = np.sqrt(square), square + y**2
    with_angle = y * r * np.arctan2(y, r)
    with_log = (square - y**2) / 4.0 * np.log(np.where(whole > 0, whole, 1.0))
    corner = (with_angle - with_log) / (2.0 * np.pi)
    differences = np.diff(np.diff(_shifted(corner, 2), axis=0), axis=1)
    return np.asarray(differences * PATCHES_A_SIDE**2 / (first_m * along_m))


def _shifted(corner: Array, axis: int) -> Array:
    """Over the ends of two equal stretches shifted by 0, 1, ... of their lengths: ``2 G(n) - G(n - 1) - G(n + 1)``."""
    values = np.moveaxis(corner, axis, 0)
    before = np.concatenate([values[1:2], values[:-2]])
    return np.moveaxis(2.0 * values[:-1] - before - values[1:], 0, axis)


def _pairs() -> tuple[np.ndarray[tuple[int, ...], np.dtype[np.int64]], ...]:
    """For every pair of patches: how they lie to each other, in numbers of patches."""
    place = places_of_patches()
    axis, end = (np.repeat([side[n] for side in SIDES], PATCHES_A_SIDE**2) for n in (0, 1))
    apart = np.abs(place[:, None, :] - place[None, :, :])
    others = np.array([[other for other in range(3) if other != axis_] for axis_ in range(3)])[axis]
    rows = np.arange(len(place))[:, None]
    columns = rows.T
    apart_1, apart_2 = (apart[rows, columns, others[:, n, None]] for n in (0, 1))
    # From the side that the other patch lies on.
    off_1 = place[rows, axis[None, :]]
    off_1 = np.where(end[None, :] == 0, off_1, PATCHES_A_SIDE - 1 - off_1)
    along = apart[rows, columns, np.clip(3 - axis[:, None] - axis[None, :], 0, 2)]
    return axis, end, apart_1, apart_2, off_1, off_1.T, along


_AXIS, _END, _APART_1, _APART_2, _OFF_1, _OFF_2, _ALONG = _pairs()
_FACING = (_AXIS[:, None] == _AXIS[None, :]) & (_END[:, None] != _END[None, :])
_STANDING = _AXIS[:, None] != _AXIS[None, :]
_NORMAL_AND_OTHERS = np.array([[0, 1, 2], [1, 0, 0], [2, 2, 1]])
"""For each axis, itself and the two others."""
_RECEIVING_SENDING_ALONG = np.array(
    [[[second, first, (3 - first - second) % 3] for second in range(3)] for first in range(3)]
).transpose(2, 0, 1)
"""For each pair of axes, the second, the first, and the one along which their sides meet; of one with itself nothing is
known."""
