"""Which sheets of labels are there, and where on the paper does each label lie? In millimetres from the upper left."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["SHEETS", "LabelSheet", "sheet_named"]

INCH_MM = 25.4


@dataclass(frozen=True)
class LabelSheet:
    """One size of label paper. The pitch is from the edge of a label to the same edge of the next one."""

    name: str
    words: str
    paper_width_mm: float
    paper_height_mm: float
    columns: int
    rows: int
    label_width_mm: float
    label_height_mm: float
    left_mm: float
    top_mm: float
    column_pitch_mm: float
    row_pitch_mm: float

    @property
    def labels(self) -> int:
        """How many labels are on one sheet."""
        return self.columns * self.rows

    def corner_mm(self, place: int) -> tuple[float, float]:
        """The upper left corner (x, y) of a label, counted in rows from the upper left and from 0."""
        row, column = divmod(place, self.columns)
        return self.left_mm + column * self.column_pitch_mm, self.top_mm + row * self.row_pitch_mm


SHEETS = (
    LabelSheet("a4-24", "A4, 3 × 8 of 70 × 36 mm", 210, 297, 3, 8, 70, 36, 0, 4.5, 70, 36),
    LabelSheet("a4-40", "A4, 4 × 10 of 52.5 × 29.7 mm", 210, 297, 4, 10, 52.5, 29.7, 0, 0, 52.5, 29.7),
    LabelSheet(
        "letter-30",
        "Letter, 3 × 10 of 2 ⅝ × 1 in",
        8.5 * INCH_MM,
        11 * INCH_MM,
        3,
        10,
        2.625 * INCH_MM,
        INCH_MM,
        0.1875 * INCH_MM,
        0.5 * INCH_MM,
        2.75 * INCH_MM,
        INCH_MM,
    ),
)
"""Common sizes of label paper; common practice, no source. Another size is another line here."""


def sheet_named(name: str) -> LabelSheet:
    """The sheet with this name, the first one where there is none."""
    return next((sheet for sheet in SHEETS if sheet.name == name), SHEETS[0])
