"""The main job in a real browser, by the three people whose job it is, on data that they enter themselves.

The day runs once for the module: each act is a fixture that needs the act before it and keeps what the pages said;
each test asks one thing about it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from django.core import mail

from gear.catalogue.models import GearType
from gear.inventory.models import Unit
from recipes.records.models import Recipe
from studio.packing.models import PackingClosure
from studio.places.models import Room
from studio.shoots.models import Assignment, Shoot
from tests.browser.house import GEAR_TYPES, PASSWORD, PHONE, UNITS, House, fill_in, on_the_clock, open_house

pytestmark = [pytest.mark.browser, pytest.mark.django_db]
Notes = SimpleNamespace


@pytest.fixture(scope="module")
def house(django_db_setup: None, django_db_blocker: Any, browser: Any) -> Iterator[House]:
    with django_db_blocker.unblock(), open_house(browser) as opened:
        yield opened


@pytest.fixture(scope="module")
def signing_in(house: House) -> Notes:
    """The manager signs in by hand, first with a wrong password."""
    with house.browser.new_context() as context:
        page = context.new_page()
        page.goto(f"{house.url}/shoots/")
        page.get_by_label("Username").fill("runa")
        page.get_by_label("Password").fill("turnstile")
        page.get_by_role("button", name="Sign in").click()
        refused = page.locator("main").inner_text()
        page.get_by_label("Password").fill(PASSWORD)
        page.get_by_role("button", name="Sign in").click()
        page.wait_for_url(f"{house.url}/shoots/")
        return Notes(refused=refused, who=page.locator(".account summary").inner_text())


def test_a_wrong_password_gets_a_sentence(signing_in: Notes) -> None:
    assert "correct username and password" in signing_in.refused


def test_signing_in_leads_to_where_one_wanted_to_go(signing_in: Notes) -> None:
    assert "Runa" in signing_in.who


@pytest.fixture(scope="module")
def store(house: House, tmp_path_factory: pytest.TempPathFactory) -> Notes:
    """The manager imports gear types and units, looking at each dry run first."""
    folder = tmp_path_factory.mktemp("store")
    broken, good = folder / "broken.csv", folder / "units.csv"
    broken.write_text(UNITS.replace("K-05,gl-400b", "K-05,gl-four-hundred"))
    good.write_text(UNITS)

    def upload(label: str, file: Path) -> Any:
        page = house.go("manager", "/gear/import/")
        page.get_by_label(label).set_input_files(file)
        page.locator("form", has=page.get_by_label(label)).get_by_text("See what it would do").click()
        return page

    page = upload("Document of gear types", GEAR_TYPES)
    types_dry, types_before = page.locator("main").inner_text(), GearType.objects.count()
    page.get_by_role("button", name="Import all of it").click()
    page.wait_for_url(re.compile("/gear/types/"))
    page = upload("Inventory file", broken)
    refused, offered = (
        page.locator("main").inner_text(),
        page.get_by_role("button", name="Import all of it").count(),
    )
    page = upload("Inventory file", good)
    page.get_by_role("button", name="Import all of it").click()
    page.get_by_text("Imported: 23 new").wait_for()
    return Notes(types_dry=types_dry, types_before=types_before, refused=refused, offered=offered)


def test_a_dry_run_counts_what_is_new_and_changes_nothing(store: Notes) -> None:
    assert re.search(r"\d+ new, 0 changed", store.types_dry)
    assert store.types_before == 0


def test_a_file_with_a_faulty_row_names_it_and_cannot_be_imported(store: Notes) -> None:
    assert "gl-four-hundred" in store.refused
    assert store.offered == 0


def test_a_confirmed_import_fills_the_store(store: Notes) -> None:
    assert Unit.objects.count() == 23


@pytest.fixture(scope="module")
def unit(house: House, store: Notes) -> Notes:
    """The manager enters a stand by hand and corrects its shelf."""
    page = house.go("manager", "/gear/new/")
    fill_in(page, {"tag": "S-03", "gear_type": "st-heavy", "shelf": "F1"})
    page.get_by_role("button", name="Save").click()
    page.wait_for_url(f"{house.url}/gear/S-03/")
    page.get_by_role("link", name="Edit").click()
    fill_in(page, {"shelf": "F2"})
    page.get_by_role("button", name="Save").click()
    page.wait_for_url(f"{house.url}/gear/S-03/")
    return Notes(said=page.locator("main").inner_text())


def test_a_unit_entered_by_hand_is_corrected_on_its_page(unit: Notes) -> None:
    assert "F2" in unit.said


@pytest.fixture(scope="module")
def room(house: House) -> Room:
    """The manager enters the place and its hall, with the window behind the mark and one circuit."""
    page = house.go("manager", "/places/new")
    fill_in(page, {"name": "Tram depot", "zone": "Europe/Vienna", "country": "AT"})
    fill_in(page, {"latitude_deg": "48.21", "longitude_deg": "16.37"})
    page.get_by_role("button", name="Save").click()
    page.wait_for_url(re.compile("/rooms/new"))
    fill_in(page, {"name": "Car hall", "width_m": "9", "depth_m": "12", "height_m": "5.2"})
    fill_in(page, {"mark_x_m": "4.5", "mark_y_m": "3", "north_deg": "200", "temperature_c": "17"})
    window = {
        "name": "Gate window",
        "wall": "far",
        "offset_m": "3",
        "sill_m": "0.8",
        "width_m": "3",
        "height_m": "2.6",
    }
    fill_in(page, {f"windows-0-{name}": value for name, value in window.items()})
    fill_in(page, {"circuits-0-name": "Hall A"})
    page.get_by_role("button", name="Save").click()
    page.wait_for_url(re.compile(r"/places/rooms/\d+"))
    return Room.objects.get()


def test_a_room_is_entered_with_its_window_and_circuit(room: Room) -> None:
    assert [w.name for w in room.windows.all()] + [c.name for c in room.circuits.all()] == [
        "Gate window",
        "Hall A",
    ]


@pytest.fixture(scope="module")
def recipe(house: House) -> Recipe:
    """The photographer writes the look down step by step: a face off the big board, against the windows."""
    page = house.go("photographer", "/recipes/new")

    def step(values: dict[str, str | bool], do: str = "Next") -> None:
        fill_in(page, values)
        before = page.url
        page.get_by_role("button", name=do, exact=True).click()
        page.wait_for_url(lambda url: url != before)

    step(
        {
            "about-title": "Face against the windows",
            "about-extras": "meter",
            "camera-aperture": "f/9",
            "camera-shutter": "1/200",
            "camera-iso": "100",
            "camera-distance_m": "2.8",
            "camera-height_m": "1.55",
            "camera-focal_length_mm": "85",
        }
    )
    face = {"name": "lit cheek", "target__placement_stops": "0", "target__tolerance_stops": "0.3"}
    fill_in(page, {f"zones-0-{n}": v for n, v in {**face, "height_m": "1.55", "facing_deg": "35"}.items()})
    step({}, "Add a zone")
    window = {
        "name": "windows",
        "reading": "luminance",
        "target__placement_stops": "+1 1/3",
        "target__tolerance_stops": "0.75",
        "bearing_deg": "180",
        "distance_m": "2,8",
        "height_m": "1.9",
        "glows": True,
    }
    step({f"zones-1-{name}": value for name, value in window.items()})
    readings = [("ambient-0", "10.4"), ("ambient-1", "15.3")]
    step({f"{row}-{n}": v for row, ev in readings for n, v in (("form", "ev100"), ("value", ev))})
    light = {"bearing_deg": "18", "distance_m": "1.6", "height_m": "1.75", "aim": "lit cheek"}
    face_of_it = {"modifier__shape": "disc", "modifier__width_m": "0.18"}
    board = {
        "bearing_deg": "45",
        "distance_m": "2.6",
        "height_m": "1.5",
        "width_m": "2",
        "height_of_board_m": "2",
    }
    bounce = {f"bounce__{name}": value for name, value in {**board, "reflectance": "0.86"}.items()}
    step({f"lights-0-{name}": value for name, value in {**light, **face_of_it, **bounce}.items()})
    step({})  # no boards, flags and scrims by themselves
    step({"session-frames": "120", "session-pace_s": "3"})
    step({"note": "first written down"}, "Save this recipe")
    return Recipe.objects.select_related("head", "owner").get()


def test_a_recipe_is_written_in_plain_steps(recipe: Recipe) -> None:
    look = recipe.head.look
    assert (look.camera.aperture, look.zone("windows").target.placement_stops) == (
        "f/9",
        pytest.approx(4 / 3),
    )


def test_the_recipe_belongs_to_who_wrote_it(recipe: Recipe, house: House) -> None:
    assert recipe.owner == house.people["photographer"]


@pytest.fixture(scope="module")
def revisions(house: House, recipe: Recipe) -> Notes:
    """The photographer edits the recipe as text, first with a slip, and compares the two revisions."""
    page = house.go("photographer", f"/recipes/{recipe.pk}")
    page.get_by_role("link", name="Edit as text").click()
    box = page.get_by_label("The document")
    text = box.input_value()
    box.fill(text.replace('"f/9"', '"f/nine"'))
    page.get_by_role("button", name="Save", exact=True).click()
    refused = page.get_by_role("alert").inner_text()
    fill_in(page, {"text": text.replace('"1/200"', '"1/160"'), "note": "windows a third brighter"})
    page.get_by_role("button", name="Save", exact=True).click()
    page.wait_for_url(f"{house.url}/recipes/{recipe.pk}")
    page.get_by_role("link", name="What changed since revision 1").click()
    page.get_by_role("heading", name="1 against 2").wait_for()
    return Notes(refused=refused, compared=page.locator("main").inner_text())


def test_a_slip_in_the_text_is_named_with_its_place(revisions: Notes) -> None:
    assert "aperture" in revisions.refused.lower()


def test_two_revisions_are_compared_in_stops(revisions: Notes) -> None:
    assert "1/200" in revisions.compared
    assert "1/160" in revisions.compared
    assert re.search(r"\+0[.,]3|\+1/3|⅓", revisions.compared)


@pytest.fixture(scope="module")
def shoot(house: House, store: Notes, room: Room, revisions: Notes, recipe: Recipe) -> Shoot:
    """The photographer asks for a shoot with that recipe."""
    page = house.go("photographer", "/shoots/new")
    fill_in(page, {"title": "Spring lookbook", "starts": on_the_clock(7, 9), "ends": on_the_clock(7, 14)})
    fill_in(
        page, {"recipe_1": str(recipe.pk), "state": "hold", "assistant": str(house.people["assistant"].pk)}
    )
    page.get_by_role("button", name="Plan it").click()
    page.get_by_text("Choose its units next").wait_for()
    return Shoot.objects.select_related("booking").get(title="Spring lookbook")


def test_a_photographer_asks_and_does_not_confirm(house: House, shoot: Shoot) -> None:
    page = house.go("photographer", f"/shoots/{shoot.pk}")
    assert page.get_by_role("button", name="Confirm").count() == 0


@pytest.fixture(scope="module")
def assigned(house: House, shoot: Shoot) -> Notes:
    """The manager tries a head that somebody else has, takes the weak one that is free, lets the rest be suggested,
    and confirms."""
    page = house.go("manager", "/shoots/new")
    fill_in(page, {"title": "Orchestra headshots", "state": "confirmed"})
    fill_in(page, {"starts": on_the_clock(7, 8), "ends": on_the_clock(7, 12)})
    page.get_by_role("button", name="Plan it").click()
    page.locator("#extra-unit").fill("K-06")
    page.get_by_role("button", name="Add the unit").click()
    page.locator("#extras").get_by_role("link", name="K-06").wait_for()
    page = house.go("manager", f"/shoots/{shoot.pk}")
    page.get_by_role("link", name="Choose a unit for Key Head").click()
    page.get_by_label("Tag", exact=True).fill("k-06")
    page.get_by_role("button", name="Take it", exact=True).click()
    taken = page.get_by_role("alert").inner_text()
    instead = page.locator("section", has=page.get_by_role("heading", name="Take instead")).inner_text()
    page.get_by_role("button", name="Take K-01").click()
    page.wait_for_url(re.compile(rf"/shoots/{shoot.pk}#"))
    page.get_by_role("button", name="Suggest units").click()
    page.get_by_text(re.compile(r"Filled \d+ jobs")).wait_for()
    for spare in ("R-27", "R-35", "H-05", "R-16"):
        page.locator("#extra-unit").fill(spare)
        page.get_by_role("button", name="Add the unit").click()
        page.locator("#extras").get_by_role("link", name=spare).wait_for()
    page.get_by_role("button", name="Confirm").click()
    page.locator(".pill", has_text="Confirmed").wait_for()
    return Notes(taken=taken, instead=instead)


def test_a_taken_unit_is_refused_with_who_has_it(assigned: Notes) -> None:
    assert "K-06" in assigned.taken
    assert "Orchestra headshots" in assigned.taken


def test_a_taken_unit_is_refused_with_what_is_free_instead(assigned: Notes) -> None:
    assert "K-05" in assigned.instead


def test_the_store_fills_the_jobs_that_were_left(assigned: Notes) -> None:
    jobs = set(Assignment.objects.values_list("job", flat=True))
    assert jobs >= {"head", "modifier", "board", "stand", "camera", "lens", "trigger", "battery"}


@pytest.fixture(scope="module")
def mended(house: House, assigned: Notes, shoot: Shoot) -> Notes:
    """The manager reads the gap of the weak head, and takes the offered one with a click."""
    page = house.go("manager", f"/shoots/{shoot.pk}")
    page.get_by_role("link", name="Can it be made?").click()
    gap = _gap(page, "stops too weak")
    offers = gap.get_by_role("button", name="Do this")
    notes = Notes(
        gap=gap.inner_text(), number=gap.locator(".finding-margin").inner_text(), offers=offers.count()
    )
    notes.remedies = gap.locator(".remedies li p:first-child").all_inner_texts()
    gap.locator("li", has_text="Use K-05").get_by_role("button", name="Do this").click()
    page.get_by_text("K-05 now does Key").wait_for()
    notes.gaps_after = _gap(page, "stops too weak").count()
    notes.stale_after = page.locator('.readiness-recipe header .status[data-status="stale"]').count()
    return notes


def _gap(page: Any, words: str) -> Any:
    return page.locator('.finding[data-status="gap"]', has_text=words)


def test_a_gap_stands_with_its_number(mended: Notes) -> None:
    assert re.search(r"−\d\.\d", mended.number)
    assert "K-01" in mended.gap


def test_a_gap_offers_another_head_and_another_camera_setting(mended: Notes) -> None:
    assert mended.offers >= 2
    assert any("K-05" in remedy for remedy in mended.remedies)
    assert any("f/9" in remedy or "ISO" in remedy for remedy in mended.remedies)


def test_what_a_click_mends_is_gone(mended: Notes) -> None:
    assert mended.gaps_after == 0


def test_what_a_click_mends_is_computed_at_once(mended: Notes) -> None:
    assert mended.stale_after == 0


@pytest.fixture(scope="module")
def faulty(house: House, mended: Notes, shoot: Shoot) -> Notes:
    """The assistant finds a fault on the new head; the manager looks at the readiness and at the first page."""
    mail.outbox.clear()
    page = house.go("assistant", "/gear/K-05/fault/", phone=True)
    fill_in(page, {"text": "fires twice, smells of burnt varnish"})
    page.get_by_role("button", name="Take it out of use").click()
    page.get_by_text("K-05 is out of use").wait_for()
    letters = list(mail.outbox)
    readiness = house.go("manager", f"/shoots/{shoot.pk}/readiness").locator("main").inner_text()
    today = house.go("manager", "/").locator(".first-gap").inner_text()
    return Notes(letters=letters, readiness=readiness, today=today)


def test_a_fault_changes_the_readiness_at_once(faulty: Notes) -> None:
    assert re.search(r"K-05.*burnt varnish", faulty.readiness)


def test_a_fault_is_the_first_thing_on_the_first_page(faulty: Notes) -> None:
    assert "Spring lookbook" in faulty.today
    assert "K-05" in faulty.today


def test_a_fault_is_written_to_the_manager_and_the_photographer_once(faulty: Notes) -> None:
    assert [sorted(letter.to) for letter in faulty.letters] == [
        ["ilo@tram-depot.example", "runa@tram-depot.example"]
    ]
    assert "burnt varnish" in faulty.letters[0].body


@pytest.fixture(scope="module")
def packed(house: House, faulty: Notes, shoot: Shoot) -> Notes:
    """The manager puts the weak head back for the broken one; the assistant packs with a thumb, takes back, closes."""
    page = house.go("manager", f"/shoots/{shoot.pk}/readiness")
    page.get_by_role("link", name="Shoot", exact=True).click()
    page.get_by_role("link", name="Change a unit for Key Head").click()
    page.get_by_role("button", name="Take K-01").click()
    page.wait_for_url(re.compile(rf"/shoots/{shoot.pk}#"))

    page = house.go("assistant", f"/shoots/{shoot.pk}/packing", phone=True)
    count = page.locator(".packing-count .figure")
    notes = Notes(sideways=page.evaluate("document.documentElement.scrollWidth"))
    notes.thumbs = page.evaluate(
        """() => [...document.querySelectorAll(".packing button, .packing a, .packing input:not([type=hidden])")]
            .filter(e => e.checkVisibility() && !e.closest("p") && e.getBoundingClientRect().height < 44)
            .map(e => e.outerHTML.slice(0, 80))"""
    )
    page.get_by_role("button", name="C-01 Case for heads").tap()
    page.get_by_text("C-01 packed").wait_for()
    notes.tapped = count.inner_text()
    page.locator("#scan").fill("k-01")
    page.keyboard.press("Enter")
    page.get_by_text("K-01 packed").wait_for()
    notes.typed = count.inner_text()
    page.locator("#scan").fill("K-06")
    page.keyboard.press("Enter")
    notes.wrong = page.get_by_role("alert").inner_text()
    notes.after_wrong = count.inner_text()

    page.get_by_role("link", name="Back in").tap()
    page.get_by_role("button", name="Close the list").tap()
    notes.open = page.get_by_role("alert").inner_text()
    for tag in ("C-01", "K-01"):
        page.locator("#scan").fill(tag)
        page.keyboard.press("Enter")
        page.get_by_text(f"{tag} is back").wait_for()
    notes.closed_before = PackingClosure.objects.count()
    page.get_by_role("button", name="Close the list").tap()
    page.get_by_text("Closed: everything that went out").wait_for()
    notes.closed_by = PackingClosure.objects.get().by
    return notes


def test_the_packing_list_fits_a_phone(packed: Notes) -> None:
    assert packed.sideways <= PHONE["width"]


def test_everything_on_the_packing_list_is_as_large_as_a_thumb(packed: Notes) -> None:
    assert packed.thumbs == []


def test_a_tap_packs(packed: Notes) -> None:
    assert packed.tapped.startswith("1")


def test_a_typed_tag_packs(packed: Notes) -> None:
    assert packed.typed.startswith("2")


def test_a_wrong_tag_says_whose_it_is_and_packs_nothing(packed: Notes) -> None:
    assert "not on this list" in packed.wrong
    assert "Orchestra headshots" in packed.wrong
    assert packed.after_wrong.startswith("2")


def test_a_list_that_does_not_balance_stays_open_and_names_what_is_out(packed: Notes) -> None:
    assert "C-01, K-01" in packed.open
    assert packed.closed_before == 0


def test_a_list_that_balances_is_closed_by_who_closed_it(packed: Notes, house: House) -> None:
    assert packed.closed_by == house.people["assistant"]
