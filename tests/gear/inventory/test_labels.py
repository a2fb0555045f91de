"""Labels: sheets that add up to the paper, text that fits, and a QR code that stands damage."""

import random
import re

import numpy as np
import pytest
from scipy.ndimage import rotate

from gear.inventory.label_sheets import INCH_MM, SHEETS, sheet_named
from gear.inventory.labels import EDGE_MM, LabelFor, draw_sheets, qr_modules, qr_path
from gear.inventory.marks import label_text
from gear.inventory.queries import unit_by_mark
from gear.inventory.short_code import code_of
from tests.builders import a_gear_type, a_unit
from tests.gear.inventory.qr_damage import CODEWORDS, MENDED, codewords, invert, picture, read

CODE = code_of(3_141_592)
SEEDS = range(12)
BY_NAME = {sheet.name: sheet for sheet in SHEETS}


def modules(code=CODE):
    return np.array(qr_modules(code))


def some(count):
    return [LabelFor(f"K-{n:02d}", code_of(n * 1009), "Key head") for n in range(count)]


@pytest.mark.parametrize("sheet", SHEETS, ids=BY_NAME)
def test_a_sheet_adds_up_to_its_paper(sheet):
    """The same margin on both sides: left + columns + gaps + right is the width of the paper, and so downwards."""
    last_x, last_y = sheet.corner_mm(sheet.labels - 1)
    assert last_x + sheet.label_width_mm + sheet.left_mm == pytest.approx(sheet.paper_width_mm, abs=0.01)
    assert last_y + sheet.label_height_mm + sheet.top_mm == pytest.approx(sheet.paper_height_mm, abs=0.01)
    assert sheet.column_pitch_mm >= sheet.label_width_mm
    assert sheet.row_pitch_mm >= sheet.label_height_mm


@pytest.mark.parametrize(("name", "labels"), [("a4-24", 24), ("a4-40", 40), ("letter-30", 30)])
def test_the_common_sizes_are_there(name, labels):
    assert BY_NAME[name].labels == labels


def test_papers_have_the_size_of_the_standard():
    """A4 is 210 × 297 mm (ISO 216); Letter is 8.5 × 11 in (ANSI/ASME Y14.1, size A)."""
    assert {(s.paper_width_mm, s.paper_height_mm) for s in SHEETS} == {
        (210, 297),
        (8.5 * INCH_MM, 11 * INCH_MM),
    }


@pytest.mark.parametrize("sheet", SHEETS, ids=BY_NAME)
@pytest.mark.parametrize("tag", ["K3", "K-03", "A-VERY-LONG-TAG-0123"])
def test_everything_stays_on_its_label(sheet, tag):
    name = "Key head with a name that runs on for rather longer than any label is wide"
    for place, label in enumerate(
        next(draw_sheets([LabelFor(tag, CODE, name)] * sheet.labels, sheet)).labels
    ):
        x, y = sheet.corner_mm(place)
        right, bottom = x + sheet.label_width_mm - EDGE_MM, y + sheet.label_height_mm - EDGE_MM
        quiet = 4 * label.module_mm
        assert label.qr_x_mm - quiet >= x + EDGE_MM - 1e-9
        assert label.qr_y_mm + 25 * label.module_mm + quiet <= bottom + 1e-9
        for line in (label.tag, label.code):
            assert line.x_mm >= label.qr_x_mm + 25 * label.module_mm + quiet - 1e-9
            assert line.x_mm + 0.602 * line.size_mm * len(line.text) <= right + 1e-9
            assert y + EDGE_MM < line.y_mm < bottom
        assert len(label.name) == 2
        assert label.name[-1].y_mm < bottom


@pytest.mark.parametrize("sheet", SHEETS, ids=BY_NAME)
def test_a_module_is_half_a_millimetre_and_more(sheet):
    """A phone at arm's length reads 0.5 mm (common practice, no source)."""
    assert next(draw_sheets(some(1), sheet)).labels[0].module_mm > 0.5


def test_places_used_already_stay_empty_on_the_first_sheet_only():
    sheet = BY_NAME["a4-24"]
    sheets = list(draw_sheets(some(30), sheet, skip=5))
    assert [len(one.labels) for one in sheets] == [19, 11]
    first = sheets[0].labels[0]
    x, y = sheet.corner_mm(5)
    assert (first.tag.text, sheets[1].labels[0].tag.text) == ("K-00", "K-19")
    assert x < first.qr_x_mm < x + sheet.label_width_mm
    assert y < first.qr_y_mm < y + sheet.label_height_mm


def test_no_unit_is_no_sheet():
    assert list(draw_sheets([], SHEETS[0])) == []


def test_a_sheet_that_is_not_known_is_the_first():
    assert sheet_named("a0-1") is SHEETS[0]


def test_the_path_draws_every_dark_module_and_no_other():
    drawn = np.zeros((25, 25), bool)
    for x, y, run in re.findall(r"M(\d+) (\d+)h(\d+)v1h-\d+z", qr_path(qr_modules(CODE))):
        drawn[int(y), int(x) : int(x) + int(run)] = True
    assert (drawn == modules()).all()


def test_the_label_fits_a_symbol_of_25_modules():
    """Version 2 at level H takes 20 alphanumeric characters (ISO/IEC 18004, table 7); the text has 15."""
    assert len(label_text(CODE)) == 15
    assert modules().shape == (25, 25)


@pytest.mark.parametrize("number", range(0, 6_000_000, 499_979))
def test_a_decoder_reads_the_code(number):
    assert read(picture(modules(code_of(number)))) == [f"FULLSTOP:{code_of(number)}"]


@pytest.mark.parametrize("degrees", [13, 45, 90, 137, 180, 271])
def test_a_decoder_reads_it_turned(degrees):
    turned = rotate(picture(modules()), degrees, order=1, cval=255)
    assert read(turned) == [label_text(CODE)]


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("degrees", [0, 33])
def test_it_stands_damage_to_thirty_percent_of_its_codewords(seed, degrees):
    """13 of the 44 codewords, drawn by the seed (29.5 %), are wrong in all their 8 modules: 104 of the 352 modules that
    carry codewords are turned round. Finder, timing and alignment patterns and format information are whole, as they
    must be: level H says nothing of them."""
    words = codewords()
    spoiled = random.Random(seed).sample(range(CODEWORDS), 13)
    damaged = invert(modules(), words, spoiled)
    assert (damaged != modules()).sum() == 104
    assert read(rotate(picture(damaged), degrees, order=1, cval=255)) == [label_text(CODE)]


@pytest.mark.parametrize("seed", SEEDS)
def test_it_stands_a_patch_torn_off(seed):
    """A white rectangle in the lower right, where no finder and no format information lies, of as many modules as touch
    10 to 14 codewords; the small alignment pattern may be under it."""
    words, chance = codewords(), random.Random(seed)
    while True:
        top, left = chance.randrange(9, 22), chance.randrange(9, 22)
        patch = np.s_[top : top + chance.randrange(3, 13), left : left + chance.randrange(3, 13)]
        touched = set(words[patch].ravel()) - {-1}
        if 10 <= len(touched) <= MENDED:
            break
    damaged = modules()
    damaged[patch] = False
    assert read(picture(damaged)) == [label_text(CODE)]


@pytest.mark.parametrize("spoiled", [15, 18, 25, 44])
def test_beyond_that_it_is_not_read_and_never_read_as_another(spoiled):
    words = codewords()
    for seed in SEEDS:
        damaged = invert(modules(), words, random.Random(seed).sample(range(CODEWORDS), spoiled))
        assert read(picture(damaged)) == []


@pytest.mark.django_db
def test_what_the_decoder_reads_names_the_unit():
    unit = a_unit()
    a_unit()
    [text] = read(picture(modules(unit.code)))
    assert unit_by_mark(text) == unit


@pytest.mark.django_db
@pytest.mark.parametrize("role", ["manager", "photographer", "assistant"])
def test_everyone_prints_labels_and_the_filter_chooses(role, signed_in):
    kind = a_gear_type()
    unit, other = a_unit(kind), a_unit(kind, condition="repair")
    page = signed_in(role).get("/gear/labels/", {"condition": "repair"}).content.decode()
    assert other.code in page
    assert unit.code not in page
    assert "1 label on 1 sheet" in page


@pytest.mark.django_db
def test_the_page_takes_the_size_of_the_paper(signed_in):
    a_unit()
    page = signed_in().get("/gear/labels/", {"paper": "letter-30"}).content.decode()
    assert "@page { size: 215.900mm 279.400mm; margin: 0; }" in page
    assert 'viewBox="0 0 215.900 279.400"' in page


@pytest.mark.django_db
@pytest.mark.parametrize("odd", ["x", "-1", "4.5", "999999", "\x00"])
def test_an_odd_number_of_used_labels_is_said_and_counts_as_none(odd, signed_in):
    a_unit()
    answer = signed_in().get("/gear/labels/", {"skip": odd})
    assert answer.status_code == 200
    assert "begins at its first label" in answer.content.decode()


@pytest.mark.django_db
def test_no_unit_for_the_filters_says_so(signed_in):
    assert "no label to print" in signed_in().get("/gear/labels/", {"q": "zzz"}).content.decode()


@pytest.mark.django_db
def test_more_units_than_one_print_takes_are_counted(signed_in, monkeypatch, django_assert_max_num_queries):
    monkeypatch.setattr("gear.inventory.label_pages.AT_MOST", 50)
    kind = a_gear_type()
    for _ in range(51):
        a_unit(kind)
    client = signed_in()
    with django_assert_max_num_queries(15):
        page = client.get("/gear/labels/").content.decode()
    assert "51 units fit these filters; the first 50 are below" in page


@pytest.mark.django_db
def test_a_name_cannot_break_out_of_the_drawing(signed_in):
    a_unit(a_gear_type(name="<script>x</script>"))
    page = signed_in().get("/gear/labels/").content.decode()
    assert "<script>x" not in page
