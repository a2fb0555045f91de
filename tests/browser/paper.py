"""A printed page as dark and light dots: the filled paths of a PDF page, drawn again from its own numbers."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray
from pypdf import PageObject
from pypdf.generic import ContentStream

__all__ = ["MM_POINTS", "dots"]

MM_POINTS = 72 / 25.4
Dots = NDArray[np.uint8]


def dots(page: PageObject, per_mm: float = 12.0) -> Dots:
    """The page at ``per_mm`` dots a millimetre, 0 for dark and 255 for light, shape (height, width).

    Only axis-parallel filled paths in black are drawn, which is what the modules of a printed QR code are; text is not.
    """
    width, height = float(page.mediabox.width), float(page.mediabox.height)
    scale = per_mm / MM_POINTS
    picture = np.full((round(height * scale), round(width * scale)), 255, np.uint8)

    def fill(path: list[tuple[float, float]], matrix: NDArray[np.float64]) -> None:
        at = np.array([(x, y, 1.0) for x, y in path]) @ matrix
        x, y = at[:, 0] * scale, (height - at[:, 1]) * scale
        left, right, top, bottom = (round(float(v)) for v in (x.min(), x.max(), y.min(), y.max()))
        picture[max(0, top) : bottom, max(0, left) : right] = 0

    matrix = np.eye(3)
    dark, stack, paths = True, [], []
    for operands, operator in ContentStream(page.get_contents(), page.pdf).operations:
        numbers: list[Any] = [float(n) for n in operands] if _numeric(operands) else []
        match operator:
            case b"q":
                stack.append((matrix, dark))
            case b"Q":
                matrix, dark = stack.pop()
            case b"cm":
                a, b, c, d, e, f = numbers
                matrix = np.array([[a, b, 0], [c, d, 0], [e, f, 1]]) @ matrix
            case b"rg" | b"g" | b"sc" | b"scn":
                dark = all(n == 0 for n in numbers)
            case b"m":
                paths.append([tuple(numbers)])
            case b"l":
                paths[-1].append(tuple(numbers))
            case b"re":
                x, y, w, h = numbers
                paths.append([(x, y), (x + w, y), (x + w, y + h), (x, y + h)])
            case b"f" | b"f*":
                for path in paths if dark else ():
                    fill(path, matrix)
                paths = []
            case b"n":
                paths = []
    return picture


def _numeric(operands: Any) -> bool:
    try:
        return all(float(n) == float(n) for n in operands)
    except (TypeError, ValueError):
        return False
