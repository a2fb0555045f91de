"""Where does what stand on a label? Sheets of labels as numbers for a drawing, in millimetres. No database."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import segno

from gear.inventory.label_sheets import LabelSheet
from gear.inventory.marks import label_text

__all__ = ["DrawnLabel", "DrawnSheet", "LabelFor", "Line", "draw_sheets", "qr_modules", "qr_path"]

QUIET_MODULES = 4
"""The empty border of a QR code, in modules: ISO/IEC 18004, quiet zone."""

EDGE_MM = 2.0
"""Nothing stands nearer to the edge of a label: the paper shifts in the printer, and few printers reach its border."""

_MONO_ADVANCE = 0.602
_TEXT_ADVANCE = 0.56
_TAG_MM, _CODE_MM, _NAME_MM = 6.0, 4.5, 2.5


@dataclass(frozen=True)
class LabelFor:
    """What a label is made for."""

    tag: str
    code: str
    name: str


@dataclass(frozen=True)
class Line:
    """One line of text: where its baseline begins and how high it is set."""

    text: str
    x_mm: float
    y_mm: float
    size_mm: float


@dataclass(frozen=True)
class DrawnLabel:
    """One label. ``qr`` is a path in modules from the corner at ``qr_x_mm``, ``qr_y_mm``, to be scaled by
    ``module_mm``."""

    tag: Line
    code: Line
    name: tuple[Line, ...]
    qr: str
    qr_x_mm: float
    qr_y_mm: float
    module_mm: float


@dataclass(frozen=True)
class DrawnSheet:
    """One sheet of paper with the labels on it."""

    labels: tuple[DrawnLabel, ...]

    @property
    def words(self) -> str:
        """What is on it, for who cannot see it."""
        return f"Labels {self.labels[0].tag.text} to {self.labels[-1].tag.text}"


def draw_sheets(units: Sequence[LabelFor], sheet: LabelSheet, skip: int = 0) -> Iterator[DrawnSheet]:
    """Labels in order, sheet by sheet; the first ``skip`` places of the first sheet are used already and stay empty."""
    left, place = list(units), skip % sheet.labels
    while left:
        here, left = left[: sheet.labels - place], left[sheet.labels - place :]
        yield DrawnSheet(tuple(_draw(unit, sheet, place + n) for n, unit in enumerate(here)))
        place = 0


def qr_modules(code: str) -> tuple[tuple[bool, ...], ...]:
    """The modules of a unit's QR code by row, True for dark: ISO/IEC 18004, level H, which mends what hides up to
    about 30 % of the codewords; a label on gear is scratched, taped over and dirty."""
    qr = segno.make_qr(label_text(code), error="h", boost_error=False)
    return tuple(tuple(bool(module) for module in row) for row in qr.matrix)


def qr_path(modules: Sequence[Sequence[bool]]) -> str:
    """The dark modules as one path, a rectangle for each run in a row."""
    parts = []
    for y, row in enumerate(modules):
        x = 0
        while x < len(row):
            run = 0
            while x + run < len(row) and row[x + run]:
                run += 1
            if run:
                parts.append(f"M{x} {y}h{run}v1h-{run}z")
            x += run or 1
    return "".join(parts)


def _draw(unit: LabelFor, sheet: LabelSheet, place: int) -> DrawnLabel:
    x, y = sheet.corner_mm(place)
    modules = qr_modules(unit.code)
    box = min(sheet.label_height_mm - 2 * EDGE_MM, 0.45 * sheet.label_width_mm)
    module = box / (len(modules) + 2 * QUIET_MODULES)
    text_x = x + EDGE_MM + box
    room = sheet.label_width_mm - 3 * EDGE_MM - box
    top = y + (sheet.label_height_mm - box) / 2
    tag = Line(unit.tag, text_x, top + 0.30 * box, min(_TAG_MM, room / (_MONO_ADVANCE * len(unit.tag))))
    code = Line(unit.code, text_x, top + 0.56 * box, min(_CODE_MM, room / (_MONO_ADVANCE * len(unit.code))))
    wrapped = textwrap.wrap(
        unit.name, max(4, int(room / (_TEXT_ADVANCE * _NAME_MM))), max_lines=2, placeholder="…"
    )
    name = tuple(
        Line(words, text_x, top + 0.74 * box + n * 1.2 * _NAME_MM, _NAME_MM)
        for n, words in enumerate(wrapped)
    )
    return DrawnLabel(
        tag=tag,
        code=code,
        name=name,
        qr=qr_path(modules),
        qr_x_mm=x + EDGE_MM + QUIET_MODULES * module,
        qr_y_mm=top + QUIET_MODULES * module,
        module_mm=module,
    )
