"""Which modules of a label's QR code belong to which codeword, and how to spoil them.

Version 2, level H: 44 codewords of 8 modules in one block, 16 of data and 28 of correction, so that 14 wrong ones are
mended (ISO/IEC 18004, tables 7 and 9).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["CODEWORDS", "MENDED", "codewords", "invert", "picture", "read"]

CODEWORDS = 44
MENDED = 14

Modules = NDArray[np.bool_]


def codewords() -> NDArray[np.int_]:
    """For each module the number of its codeword, -1 for patterns, format information and the 7 left over.

    Codewords run in pairs of columns from the right, upwards first, past the column of the timing pattern
    (ISO/IEC 18004, 7.7.3).
    """
    data = np.ones((25, 25), bool)
    data[:9, :9] = data[:9, 17:] = data[17:, :9] = False  # finders, separators, format information
    data[6, :] = data[:, 6] = False  # timing
    data[16:21, 16:21] = False  # alignment
    size, found, seen = len(data), np.full(data.shape, -1), 0
    up, right = True, size - 1
    while right > 0:
        right -= right == 6
        for row in range(size - 1, -1, -1) if up else range(size):
            for column in (right, right - 1):
                if data[row, column]:
                    found[row, column] = seen // 8 if seen < 8 * CODEWORDS else -1
                    seen += 1
        up, right = not up, right - 2
    assert seen == 8 * CODEWORDS + 7, "a symbol of version 2 has 359 modules beside its patterns"
    return found


def invert(modules: Modules, words: NDArray[np.int_], spoiled: list[int]) -> Modules:
    """The symbol with every module of these codewords turned round."""
    return modules ^ np.isin(words, spoiled)


def picture(modules: Modules, module_dots: int = 8) -> NDArray[np.uint8]:
    """The symbol with its quiet zone as dots, dark 0."""
    framed = np.pad(modules, 4)
    return np.where(np.kron(framed, np.ones((module_dots, module_dots), bool)), 0, 255).astype(np.uint8)


def read(dots: NDArray[np.uint8]) -> list[str]:
    """What an independent decoder reads."""
    import zxingcpp

    found = zxingcpp.read_barcodes(np.ascontiguousarray(dots), formats=zxingcpp.BarcodeFormat.QRCode)
    return [one.text for one in found]
