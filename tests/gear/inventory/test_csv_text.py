"""CSV text: what is read, what is refused in a sentence, and that what goes out comes back the same."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gear.errors import Invalid
from gear.inventory.csv_text import (
    BYTES_AT_MOST,
    ROWS_AT_MOST,
    neutralised,
    read_table,
    restored,
    text_of,
    written_row,
)

KNOWN = ("tag", "gear_type", "notes")
CELL = st.text(st.characters(exclude_characters="\x00", exclude_categories=["Cs"]), max_size=30)


def rows(text):
    return [row.cells for row in read_table(text, KNOWN).rows]


def test_a_plain_table_is_read():
    table = read_table("tag,gear_type\nK-01,strobe\n", KNOWN)
    assert table.columns == ("tag", "gear_type")
    assert (table.rows[0].number, table.rows[0].cells) == (2, ("K-01", "strobe"))


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("line_end", ["\n", "\r\n", "\r"])
def test_any_usual_separator_and_line_end_reads_the_same(delimiter, line_end):
    lines = [["tag", "notes"], ["K-01", '"a, b; c"'], ["K-02", ""]]
    assert rows(line_end.join(delimiter.join(line) for line in lines)) == [("K-01", "a, b; c"), ("K-02", "")]


def test_a_cell_may_hold_line_breaks_and_quotation_marks():
    assert rows('tag,notes\nK-01,"one\ntwo ""three"""\n') == [("K-01", 'one\ntwo "three"')]


def test_empty_rows_are_passed_over_and_rows_keep_the_number_a_spreadsheet_shows():
    table = read_table("\n;;\ntag;notes\n\n;\nK-01;x\n", KNOWN)
    assert [row.number for row in table.rows] == [6]


def test_a_byte_order_mark_is_no_part_of_the_first_column():
    assert read_table(text_of("\ufefftag\nK-01\n".encode()), KNOWN).columns == ("tag",)
    assert read_table("\ufefftag\nK-01\n", KNOWN).columns == ("tag",)


def test_column_names_may_be_written_as_people_write_them():
    assert read_table("Tag, Gear type\nK-01,x\n", KNOWN).columns == ("tag", "gear_type")


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"a" * (BYTES_AT_MOST + 1), "larger than 5 MB"),
        (b"PK\x03\x04 sheet", "spreadsheet or an archive"),
        (b"\xd0\xcf\x11\xe0 old sheet", "spreadsheet or an archive"),
        ("tag\nK-01".encode("utf-16"), "UTF-16"),
        (b"\x89PNG\r\n\x00\x00", "zero bytes"),
        ("tag,notes\nK-01,caf\xe9\n".encode("latin-1"), "line 2 holds the byte 0xe9"),
    ],
)
def test_a_file_that_is_no_utf8_text_is_refused_with_how_to_mend_it(content, said):
    with pytest.raises(Invalid, match=said):
        text_of(content)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "is empty"),
        (" \n;;\n", "is empty"),
        ("tag,notes\n", "no row under them"),
        ("tag,colour\nK-01,x\n", "“colour”, which the import does not know"),
        ("tag,,notes\nK-01,,x\n", "a column without a name"),
        ("tag,tag\nK-01,K-01\n", "names tag twice"),
        ('tag,notes\nK-01,a\nK-02,"open\nK-03,b\n', "Row 3 cannot be read"),
        ('tag,notes\nK-01,"a"b\n', "Row 2 cannot be read"),
        ("tag\n" + "K-01\n" * (ROWS_AT_MOST + 1), "more than 20000 rows"),
        ('tag,notes\nK-01,"' + "a" * 200_000 + '"\n', "Row 2 cannot be read"),
    ],
)
def test_a_table_that_cannot_be_read_is_refused_with_how_to_mend_it(text, said):
    with pytest.raises(Invalid, match=said):
        read_table(text, KNOWN)


def test_a_row_with_too_few_or_too_many_cells_says_so_and_the_others_are_read():
    table = read_table("tag,notes\nK-01\nK-02,x,y\nK-03,z\nK-04,z,,\n", KNOWN)
    assert [bool(row.problem) for row in table.rows] == [True, True, False, False]
    assert "has 3 cells where the first row names 2 columns" in table.rows[1].problem


@pytest.mark.parametrize("cell", ["=1+1", "+1", "-1", "@SUM(A1)", "\tx", "\rx", "'=1", "''-1"])
def test_what_a_spreadsheet_would_run_goes_out_harmless(cell):
    assert neutralised(cell) == "'" + cell


@pytest.mark.parametrize("cell", ["", "K-01", "'tis", "a=b", "1-2", "'"])
def test_other_text_goes_out_as_it_is(cell):
    assert neutralised(cell) == cell


def test_a_negative_number_in_a_numeric_column_stays_a_number():
    assert written_row(["-1", "-1"], [True, False]) == "-1,'-1\r\n"


@given(CELL | st.text("'=+-@\t\r\n ,;\"", max_size=8))
def test_whatever_goes_out_comes_back(cell):
    assert restored(neutralised(cell)) == cell
    assert not neutralised(cell).startswith(("=", "+", "-", "@", "\t", "\r"))


@given(
    st.lists(st.tuples(CELL, CELL, CELL | st.text("'=+-@\t\r\n ,;\"", max_size=8)), min_size=1, max_size=6)
)
def test_a_written_table_reads_back_cell_by_cell(table):
    written = [("K-01", *cells[1:]) for cells in table]
    text = written_row(KNOWN) + "".join(written_row(cells) for cells in written)
    assert [tuple(restored(c) for c in cells) for cells in rows(text)] == written


@given(st.binary(max_size=200))
def test_any_bytes_end_in_a_table_or_a_sentence(content):
    sentence = "read."
    try:
        read_table(text_of(content), KNOWN)
    except Invalid as refusal:
        sentence = refusal.sentence
    assert sentence.endswith(".")
