"""The packing list and the readiness on paper, A4 and Letter: all of it is there, nothing is cut, no empty sheet."""

from __future__ import annotations

import io
from collections.abc import Iterator
from typing import Any

import pytest
from pypdf import PdfReader

from gear.booking.services import promise_units
from gear.inventory.models import Unit
from studio.readiness.services import check_shoots
from studio.shoots.models import Shoot
from studio.shoots.services import assign_unit
from tests.browser.house import House, open_house
from tests.builders import a_gear_type, a_look, a_recipe, a_shoot, a_unit
from tests.studio.readiness.plans import WEAK, a_head, a_look_light

pytestmark = [pytest.mark.browser, pytest.mark.django_db]

MARGIN_POINTS = 14 / 25.4 * 72
SIZES = ["A4", "Letter"]
LOOKS = ["Face against the windows", "The same, a stop and a half moodier", "Clean silhouette on white"]


@pytest.fixture(scope="module")
def house(django_db_setup: None, django_db_blocker: Any, browser: Any) -> Iterator[House]:
    with django_db_blocker.unblock(), open_house(browser) as opened:
        yield opened


@pytest.fixture(scope="module")
def shoot(house: House) -> Shoot:
    """Three recipes, one of them with a gap; forty-eight things in three cases and loose."""
    manager = house.people["manager"]
    plain = a_look(lights=[a_look_light()])
    recipes = [a_recipe(manager, plain.model_copy(update={"title": title})) for title in LOOKS]
    shoot = a_shoot(*recipes, title="Spring lookbook in the hall")
    for number, recipe in enumerate(shoot.recipes.order_by("position")):
        assign_unit(recipe, "Key", "head", 1, a_head(f"K-0{number}", {} if number else WEAK).tag, manager)
    case, bag = (
        a_gear_type("case", {"mass_kg": 5.5}, name="Case for heads"),
        a_gear_type("weight", {"mass_kg": 7}),
    )
    bag.name = "Saddle bag with a name that runs on for rather longer than a phone is wide"
    bag.save()
    cases = [a_unit(case, tag=f"C-0{number}") for number in range(3)]
    bags = [a_unit(bag, tag=f"W-{n:02d}", case=(*cases, None)[n % 4], shelf="F1") for n in range(42)]
    promise_units(shoot.booking, [unit.pk for unit in bags], manager)
    check_shoots([shoot])
    return shoot


@pytest.fixture(scope="module")
def printed(house: House, shoot: Shoot) -> dict[tuple[str, str], PdfReader]:
    """Both pages as the browser prints them, on both sizes of paper."""
    sheets = {}
    for what in ("packing", "readiness"):
        page = house.go("manager", f"/shoots/{shoot.pk}/{what}")
        for size in SIZES:
            sheets[what, size] = PdfReader(io.BytesIO(page.pdf(format=size)))
    return sheets


def text_of(paper: PdfReader) -> str:
    return "\n".join(sheet.extract_text() for sheet in paper.pages)


def words_outside(paper: PdfReader) -> list[str]:
    """Pieces of text that begin outside the margins of their sheet."""
    outside: list[str] = []
    for sheet in paper.pages:
        right = float(sheet.mediabox.width) - MARGIN_POINTS

        def look(text: str, cm: Any, tm: Any, font: Any, size: float, right: float = right) -> None:
            x = tm[4] * cm[0] + cm[4]
            if text.strip() and not MARGIN_POINTS - 2 <= x < right:
                outside.append(f"{text.strip()[:30]} at {x:.0f}")

        sheet.extract_text(visitor_text=look)
    return outside


@pytest.mark.parametrize("size", SIZES)
def test_the_packing_list_has_every_thing_on_it(printed: Any, shoot: Shoot, size: str) -> None:
    text = text_of(printed["packing", size])
    tags = Unit.objects.filter(packing_lines__shoot=shoot).values_list("tag", flat=True)
    assert len(tags) == 48
    assert [tag for tag in tags if tag not in text] == []


@pytest.mark.parametrize("size", SIZES)
def test_the_packing_list_says_for_which_shoot_where_and_what_it_weighs(printed: Any, size: str) -> None:
    text = text_of(printed["packing", size])
    for word in ("Spring lookbook in the hall", "Hall", "Case for heads", "kg in all"):
        assert word in text


@pytest.mark.parametrize("size", SIZES)
def test_a_long_name_is_not_cut(printed: Any, size: str) -> None:
    text = " ".join(text_of(printed["packing", size]).split())
    assert text.count("rather longer than a phone is wide") == 42


@pytest.mark.parametrize("size", SIZES)
def test_the_packing_list_leaves_the_buttons_on_the_screen(printed: Any, size: str) -> None:
    text = text_of(printed["packing", size])
    for word in ("Back in", "Print", "Close the list", "Sign out", "Count a case again"):
        assert word not in text


@pytest.mark.parametrize("size", SIZES)
def test_the_readiness_has_every_recipe_and_the_gap_with_its_number(printed: Any, size: str) -> None:
    text = " ".join(text_of(printed["readiness", size]).split())
    for word in (*LOOKS, "K-00", "too weak", "−"):
        assert word in text


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize(("what", "most"), [("packing", 5), ("readiness", 9)])
def test_it_is_no_pile_of_paper_and_no_sheet_is_empty(printed: Any, what: str, most: int, size: str) -> None:
    paper = printed[what, size]
    assert len(paper.pages) <= most
    assert [n for n, sheet in enumerate(paper.pages) if len(sheet.extract_text().split()) < 5] == []


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("what", ["packing", "readiness"])
def test_every_word_begins_inside_the_margins(printed: Any, what: str, size: str) -> None:
    assert words_outside(printed[what, size]) == []


@pytest.mark.parametrize("width_mm", [210 - 28, 215.9 - 28], ids=SIZES)
@pytest.mark.parametrize("what", ["packing", "readiness"])
def test_no_column_is_wider_than_the_paper(house: House, shoot: Shoot, what: str, width_mm: float) -> None:
    width = int(width_mm / 25.4 * 96)
    page = house.go("manager", f"/shoots/{shoot.pk}/{what}")
    page.set_viewport_size({"width": width, "height": 1000})
    page.emulate_media(media="print")
    try:
        too_wide = page.evaluate(
            """(width) => [...document.querySelectorAll("main *")]
                .filter(e => e.checkVisibility() && !e.closest("svg"))
                .filter(e => e.getBoundingClientRect().right > width + 1)
                .map(e => e.outerHTML.slice(0, 80))""",
            width,
        )
    finally:
        page.emulate_media(media="screen")
    assert too_wide == []
