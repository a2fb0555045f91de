"""Labels as the browser prints them: in place to a tenth of a millimetre, read by a decoder clean, turned and dirty."""

from __future__ import annotations

import base64
import io
import random
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest
from pypdf import PdfReader
from scipy.ndimage import rotate

from gear.inventory.label_sheets import SHEETS, LabelSheet
from gear.inventory.models import Unit
from tests.browser.house import House, open_house
from tests.browser.paper import MM_POINTS, dots
from tests.builders import a_gear_type, a_unit
from tests.gear.inventory.qr_damage import CODEWORDS, codewords

pytestmark = [pytest.mark.browser, pytest.mark.django_db]
zxingcpp = pytest.importorskip("zxingcpp")

PER_MM = 12.0
USED = 7
UNITS = 45
GREY = """async (png) => {
    const bytes = Uint8Array.from(atob(png), c => c.charCodeAt(0));
    const image = await createImageBitmap(new Blob([bytes], {type: "image/png"}));
    const canvas = new OffscreenCanvas(image.width, image.height).getContext("2d");
    canvas.drawImage(image, 0, 0);
    const rgba = canvas.getImageData(0, 0, image.width, image.height).data;
    let grey = "";
    for (let i = 0; i < rgba.length; i += 4) grey += String.fromCharCode(rgba[i + 1]);
    return [image.height, image.width, btoa(grey)];
}"""


@pytest.fixture(scope="module")
def house(django_db_setup: None, django_db_blocker: Any, browser: Any) -> Iterator[House]:
    with django_db_blocker.unblock(), open_house(browser) as opened:
        yield opened


@pytest.fixture(scope="module")
def codes(house: House) -> dict[str, str]:
    """The units of the house: tag to code, in the order of the labels."""
    kind = a_gear_type(name="Key head with a name that runs on for rather longer than a label is wide")
    for number in range(UNITS):
        a_unit(kind, tag=f"K-{number:02d}")
    return dict(Unit.objects.order_by("tag").values_list("tag", "code"))


@pytest.fixture(scope="module")
def printed(house: House, codes: dict[str, str]) -> dict[str, PdfReader]:
    """Every size of paper, the first seven labels used already."""
    papers = {}
    for sheet in SHEETS:
        page = house.go("manager", f"/gear/labels/?paper={sheet.name}&skip={USED}")
        papers[sheet.name] = PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True)))
    return papers


@pytest.fixture(scope="module")
def seen(house: House, codes: dict[str, str]) -> Any:
    """One label of the screen, rendered by the browser at 8 dots to the CSS pixel, as grey dots."""
    with house.browser.new_context(
        device_scale_factor=3, storage_state=house.page("manager").context.storage_state()
    ) as context:
        page = context.new_page()
        page.goto(f"{house.url}/gear/labels/?q={codes['K-03']}")
        png = page.locator(".label-sheet path").screenshot()
        height, width, grey = page.evaluate(GREY, base64.b64encode(png).decode())
    found = np.frombuffer(base64.b64decode(grey), np.uint8).reshape(height, width)
    return np.pad(found, 60, constant_values=255)


def read(picture: Any) -> list[Any]:
    return zxingcpp.read_barcodes(np.ascontiguousarray(picture), formats=zxingcpp.BarcodeFormat.QRCode)


by_sheet = pytest.mark.parametrize("sheet", SHEETS, ids=lambda sheet: sheet.name)


@by_sheet
def test_paper_has_its_size_and_no_sheet_is_empty_or_too_many(printed: Any, sheet: LabelSheet) -> None:
    pages = printed[sheet.name].pages
    assert len(pages) == -(-(UNITS + USED) // sheet.labels)
    for page in pages:
        assert float(page.mediabox.width) / MM_POINTS == pytest.approx(sheet.paper_width_mm, abs=0.3)
        assert float(page.mediabox.height) / MM_POINTS == pytest.approx(sheet.paper_height_mm, abs=0.3)


@by_sheet
def test_every_label_is_read_from_paper_in_its_place(printed: Any, codes: Any, sheet: LabelSheet) -> None:
    """Each code lies on its own label, and its symbol is as large as it was drawn."""
    expected = {f"FULLSTOP:{code}": divmod(n + USED, sheet.labels) for n, code in enumerate(codes.values())}
    found = {}
    for number, page in enumerate(printed[sheet.name].pages):
        for one in read(dots(page, PER_MM)):
            x, y = one.position.top_left.x / PER_MM, one.position.top_left.y / PER_MM
            place = next(
                place
                for place in range(sheet.labels)
                for left, top in [sheet.corner_mm(place)]
                if left < x < left + sheet.label_width_mm and top < y < top + sheet.label_height_mm
            )
            found[one.text] = (number, place)
    assert found == expected


@by_sheet
def test_the_first_symbol_is_where_the_numbers_say_to_a_tenth_of_a_millimetre(
    printed: Any, sheet: LabelSheet
) -> None:
    dark = np.argwhere(dots(printed[sheet.name].pages[0], 40) == 0) / 40
    x, y = sheet.corner_mm(USED)
    here = (dark[:, 1] > x) & (dark[:, 1] < x + sheet.label_width_mm)
    here &= (dark[:, 0] > y) & (dark[:, 0] < y + sheet.label_height_mm)
    box = min(sheet.label_height_mm - 4, 0.45 * sheet.label_width_mm)
    quiet = 4 * box / 33
    top = y + (sheet.label_height_mm - box) / 2
    assert dark[here].min(axis=0) == pytest.approx([top + quiet, x + 2 + quiet], abs=0.1)
    assert dark[here].max(axis=0) == pytest.approx([top + box - quiet, x + 2 + box - quiet], abs=0.1)


@by_sheet
def test_places_used_already_stay_white(printed: Any, sheet: LabelSheet) -> None:
    picture = dots(printed[sheet.name].pages[0], PER_MM)
    for place in range(USED):
        x, y = (round(v * PER_MM) for v in sheet.corner_mm(place))
        label = picture[
            y : y + int(sheet.label_height_mm * PER_MM), x : x + int(sheet.label_width_mm * PER_MM)
        ]
        assert label.min() == 255


@by_sheet
def test_tag_and_code_stand_there_to_be_read_by_eye_and_nothing_else_of_the_page(
    printed: Any, codes: Any, sheet: LabelSheet
) -> None:
    text = "\n".join(page.extract_text() for page in printed[sheet.name].pages)
    assert [word for pair in codes.items() for word in pair if word not in text] == []
    for word in ("Print at", "Units", "Sign out", "Search", "Today"):
        assert word not in text


@pytest.mark.parametrize("degrees", [0, 45, 90, 200])
def test_a_sheet_lying_askew_is_read(printed: Any, codes: Any, degrees: int) -> None:
    first = printed["a4-24"].pages[0]
    turned = rotate(dots(first, 8), degrees, order=1, cval=255)
    assert {one.text for one in read(turned)} == {f"FULLSTOP:{code}" for code in list(codes.values())[:17]}


@pytest.mark.parametrize("degrees", [0, 30, 90])
def test_the_bitmap_of_the_browser_is_read_clean_and_turned(seen: Any, codes: Any, degrees: int) -> None:
    assert [one.text for one in read(rotate(seen, degrees, order=1, cval=255))] == [
        f"FULLSTOP:{codes['K-03']}"
    ]


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("degrees", [0, 30])
def test_the_bitmap_is_read_with_thirty_percent_of_the_codewords_turned_round(
    seen: Any, codes: Any, seed: int, degrees: int
) -> None:
    """13 of 44 codewords, drawn by the seed, all their 104 modules turned from dark to light or back in the bitmap;
    finder, timing and alignment patterns and format information are left whole."""
    text = f"FULLSTOP:{codes['K-03']}"
    dark = np.argwhere(seen < 128)
    (top, left), (bottom, right) = dark.min(axis=0), dark.max(axis=0) + 1
    words, dirty = codewords(), seen.copy()
    for word in random.Random(seed).sample(range(CODEWORDS), 13):
        for row, column in np.argwhere(words == word):
            y = [round(top + (row + n) * (bottom - top) / 25) for n in (0, 1)]
            x = [round(left + (column + n) * (right - left) / 25) for n in (0, 1)]
            dirty[y[0] : y[1], x[0] : x[1]] = 255 - dirty[y[0] : y[1], x[0] : x[1]]
    assert 0.14 < (abs(dirty.astype(int) - seen) > 128)[top:bottom, left:right].mean() < 0.18
    assert [one.text for one in read(rotate(dirty, degrees, order=1, cval=255))] == [text]
