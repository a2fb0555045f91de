"""A table as CSV text: from an uploaded file to cells, and from cells to a file that a spreadsheet opens without harm.

A cell that a spreadsheet would take for a formula goes out with an apostrophe before it; coming in exactly that
apostrophe is taken away again, so that what goes out and comes back is the same. Pure: no Django.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from gear.errors import Invalid

__all__ = [
    "BYTES_AT_MOST",
    "ROWS_AT_MOST",
    "Table",
    "TableRow",
    "neutralised",
    "read_table",
    "restored",
    "text_of",
    "written_row",
]

BYTES_AT_MOST = 5 * 1024 * 1024
ROWS_AT_MOST = 20_000
BOM = "\ufeff"

_FORMULA = re.compile(r"'*[=+\-@\t\r]")
_MARKED = re.compile(r"'+[=+\-@\t\r]")
_DELIMITERS = ",;\t"
_BLANK = _DELIMITERS + ' "\r\n\f\v'


@dataclass(frozen=True)
class TableRow:
    """One row of cells; ``number`` is the row that a spreadsheet shows, counting from 1. ``problem`` says why its
    cells do not fit the header, if they do not.
    """

    number: int
    cells: tuple[str, ...]
    problem: str = ""


@dataclass(frozen=True)
class Table:
    """A header and the rows under it that hold anything."""

    columns: tuple[str, ...]
    rows: tuple[TableRow, ...]


def text_of(content: bytes) -> str:
    """The text of an uploaded file. Raises `Invalid` when it is too large, not text, or not UTF-8."""
    if len(content) > BYTES_AT_MOST:
        raise Invalid(
            f"The file is larger than {BYTES_AT_MOST // 1024 // 1024} MB, the most that goes at once. "
            "Split it into several files; units that are not in a file stay as they are."
        )
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise Invalid("The file is UTF-16 text. Save it again as “CSV UTF-8” and upload that.")
    if content.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0")):
        raise Invalid(
            "The file is a spreadsheet or an archive. Save the sheet as “CSV UTF-8” and upload that."
        )
    if b"\x00" in content:
        raise Invalid("The file is not text: it holds zero bytes. Upload a file saved as “CSV UTF-8”.")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise Invalid(
            f"The file is not UTF-8 text: line {line} holds the byte {content[error.start]:#04x}, as files saved in an "
            "older encoding (Windows-1252, Latin-1) do. Save it again as “CSV UTF-8” and upload that."
        ) from None


def read_table(text: str, known: Collection[str]) -> Table:
    """Header and rows of CSV text with comma, semicolon or tab between cells; ``known`` are the columns there may be.

    Empty rows are passed over. Raises `Invalid` for a header with unknown or repeated columns, a quotation mark that
    is not closed, no rows, or too many.
    """
    text = text.removeprefix(BOM)
    if "\x00" in text:
        raise Invalid("The file is not text: it holds zero bytes. Upload a file saved as “CSV UTF-8”.")
    if not text.strip(_BLANK):
        raise Invalid("The file is empty. Its first row names the columns; each further row is one unit.")
    header: tuple[str, ...] | None = None
    rows: list[TableRow] = []
    number = 0
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=_delimiter(text, known), strict=True)
    try:
        for number, cells in enumerate(reader, start=1):
            if not any(cell.strip() for cell in cells):
                continue
            if header is None:
                header = _header(cells, known)
            else:
                rows.append(_row(cells, header, number))
            if len(rows) > ROWS_AT_MOST:
                raise Invalid(
                    f"The file has more than {ROWS_AT_MOST} rows. Split it into several files; units that are not in a "
                    "file stay as they are."
                )
    except csv.Error as error:
        raise Invalid(
            f"Row {number + 1} cannot be read ({error}). Often a quotation mark is opened there and not closed; a "
            "quotation mark inside a cell is written twice."
        ) from None
    if header is None or not rows:
        raise Invalid("The file names columns but has no row under them.")
    return Table(header, tuple(rows))


def written_row(cells: Sequence[str], numeric: Sequence[bool] = ()) -> str:
    """One line of CSV with its line end, formulas made harmless except in numeric columns."""
    out = io.StringIO(newline="")
    flags = numeric or [False] * len(cells)
    csv.writer(out, lineterminator="\r\n").writerow(
        [cell if number else neutralised(cell) for cell, number in zip(cells, flags, strict=True)]
    )
    return out.getvalue()


def neutralised(cell: str) -> str:
    """The cell with an apostrophe before it if a spreadsheet would take it for a formula.

    A cell that looks already marked gets one more, so that `restored` gives every cell back as it was.
    """
    return f"'{cell}" if _FORMULA.match(cell) else cell


def restored(cell: str) -> str:
    """What `neutralised` was given."""
    return cell[1:] if _MARKED.match(cell) else cell


def _delimiter(text: str, known: Collection[str]) -> str:
    first = next((line for line in text.splitlines() if line.strip(_BLANK)), "")

    def names_known(delimiter: str) -> int:
        return sum(_column(cell.strip(' "')) in known for cell in first.split(delimiter))

    return max(_DELIMITERS, key=names_known)


def _column(cell: str) -> str:
    return cell.strip().lower().replace(" ", "_").replace("-", "_")


def _header(cells: Iterable[str], known: Collection[str]) -> tuple[str, ...]:
    columns = tuple(_column(cell) for cell in cells)
    while columns and not columns[-1]:
        columns = columns[:-1]
    unknown = [name or "(a column without a name)" for name in columns if name not in known]
    if unknown:
        raise Invalid(
            f"The first row names {', '.join(f'“{name[:40]}”' for name in unknown[:8])}, which the import does not "
            f"know. It knows: {', '.join(known)}."
        )
    twice = sorted({name for name in columns if columns.count(name) > 1})
    if twice:
        raise Invalid(f"The first row names {', '.join(twice)} twice. Keep one of them.")
    return columns


def _row(cells: Sequence[str], header: Sequence[str], number: int) -> TableRow:
    cells = list(cells)
    while len(cells) > len(header) and not cells[-1].strip():
        cells.pop()
    problem = ""
    if len(cells) != len(header):
        problem = (
            f"has {len(cells)} cells where the first row names {len(header)} columns; put a cell that holds the "
            "separator or a line break between quotation marks"
        )
    return TableRow(number, tuple(cells), problem)
