"""Packing with a scanner that types, and with the camera where the browser can read codes by itself."""

from __future__ import annotations

from collections.abc import Iterator
from types import SimpleNamespace
from typing import Any

import pytest

from gear.booking.services import promise_units
from studio.packing.models import PackingLine
from tests.browser.house import House, open_house
from tests.builders import a_gear_type, a_shoot, a_unit

pytestmark = [pytest.mark.browser, pytest.mark.django_db]
Notes = SimpleNamespace

TAGS = [f"K-{number:02d}" for number in range(12)]
FOCUSED = "document.activeElement.id"

NO_READER = "delete window.BarcodeDetector;"
READER = """
    window.BarcodeDetector = class {
        static async getSupportedFormats() { return ["qr_code"]; }
        async detect() { return window.inView ? [{rawValue: window.inView}] : []; }
    };
    Object.defineProperty(navigator, "mediaDevices", {value: {getUserMedia: async () => {
        if (window.forbidden) throw new DOMException("no", "NotAllowedError");
        const canvas = document.createElement("canvas");
        canvas.getContext("2d").fillRect(0, 0, 10, 10);
        return window.stream = canvas.captureStream(10);
    }}});
    navigator.vibrate = (pattern) => { window.shaken = pattern; return true; };
"""


@pytest.fixture(scope="module")
def house(django_db_setup: None, django_db_blocker: Any, browser: Any) -> Iterator[House]:
    with django_db_blocker.unblock(), open_house(browser) as opened:
        yield opened


@pytest.fixture(scope="module")
def shoot(house: House) -> Any:
    """A shoot with a dozen heads; one more head is in the store and not on the list."""
    kind = a_gear_type()
    units = [a_unit(kind, tag=tag) for tag in TAGS]
    a_unit(kind, tag="K-99")
    shoot = a_shoot(title="Spring lookbook")
    promise_units(shoot.booking, [unit.pk for unit in units], house.people["manager"])
    return shoot


def opened(house: House, shoot: Any, script: str, phone: bool = False) -> Any:
    """The list in a browser that was told something before the page runs."""
    known = house.page("assistant").context.storage_state()
    context = house.browser.new_context(storage_state=known, is_mobile=phone, has_touch=phone)
    context.set_default_timeout(15_000)
    page = context.new_page()
    page.add_init_script(script)
    page.goto(f"{house.url}/shoots/{shoot.pk}/packing?way=out")
    return page


def out(shoot: Any) -> list[str]:
    lines = PackingLine.objects.filter(shoot=shoot, out_at__isnull=False).order_by("unit__tag")
    return list(lines.values_list("unit__tag", flat=True))


@pytest.fixture(scope="module")
def scanned(house: House, shoot: Any) -> Notes:
    """Nine scans without a pause, the fifth of something that is not on the list; then a slow wrong one by code."""
    page = opened(house, shoot, NO_READER)
    notes = Notes(focused_first=page.evaluate(FOCUSED), camera=page.locator("[data-camera]").is_visible())
    for tag in [*TAGS[:4], "K-99", *TAGS[4:8]]:
        page.keyboard.type(tag)
        page.keyboard.press("Enter")
    notes.typed_at_once = page.locator("#scan").input_value()
    page.get_by_text(f"{TAGS[7]} packed").wait_for()
    notes.out, notes.count = out(shoot), page.locator(".packing-count .figure").inner_text()
    notes.alerts = page.locator("#packing-said [role=alert]").all_inner_texts()
    notes.focused, notes.left = page.evaluate(FOCUSED), page.locator("#scan").input_value()
    notes.print_offered = page.get_by_role("button", name="Print").is_visible()

    page.keyboard.type("zz-99")
    page.keyboard.press("Enter")
    page.get_by_text("found tray").wait_for()
    notes.after_unknown = page.locator("#packing-said [role=alert]").all_inner_texts()
    notes.live = page.locator("#packing-said").get_attribute("aria-live")
    notes.marked = page.evaluate("() => (window.sameField = document.getElementById('scan')) && true")
    page.get_by_role("button", name=TAGS[8]).click()
    page.get_by_text(f"{TAGS[8]} packed").wait_for()
    notes.field_stays = page.evaluate("() => window.sameField === document.getElementById('scan')")
    page.get_by_role("button", name=TAGS[8]).click()
    page.get_by_text(f"{TAGS[8]} undone").wait_for()

    page.route("**/tick", lambda route: route.abort())
    page.locator("#scan").fill(TAGS[9])
    page.keyboard.press("Enter")
    notes.cut_off = page.get_by_role("alert").inner_text()
    page.context.close()
    return notes


def test_the_field_waits_for_the_scanner(scanned: Notes) -> None:
    assert scanned.focused_first == "scan"


def test_scans_typed_faster_than_answers_come_are_all_packed(scanned: Notes) -> None:
    assert scanned.out == TAGS[:8]
    assert scanned.count.startswith("8")


def test_the_field_is_clear_and_focused_after_a_scan(scanned: Notes) -> None:
    assert (scanned.typed_at_once, scanned.left, scanned.focused) == ("", "", "scan")


def test_the_wrong_item_of_a_quick_row_stays_in_sight(scanned: Notes) -> None:
    assert len(scanned.alerts) == 1
    assert "K-99" in scanned.alerts[0]
    assert "not on this list" in scanned.alerts[0]


def test_the_next_scan_clears_it_and_is_announced(scanned: Notes) -> None:
    assert len(scanned.after_unknown) == 1
    assert "found tray" in scanned.after_unknown[0]
    assert scanned.live == "polite"


def test_a_tap_leaves_the_field_where_it_is(scanned: Notes) -> None:
    assert scanned.field_stays


def test_printing_is_still_offered_after_scans(scanned: Notes) -> None:
    assert scanned.print_offered


def test_a_scan_that_does_not_arrive_says_which(scanned: Notes) -> None:
    assert TAGS[9] in scanned.cut_off
    assert "scan it again" in scanned.cut_off


def test_without_a_reader_in_the_browser_no_camera_is_offered(scanned: Notes) -> None:
    assert not scanned.camera


@pytest.fixture(scope="module")
def looked_at(house: House, shoot: Any, scanned: Notes) -> Notes:
    """On a phone whose browser reads codes: one label, held before the camera for a while, then a wrong one."""
    page = opened(house, shoot, READER, phone=True)
    unit = PackingLine.objects.get(shoot=shoot, unit__tag=TAGS[10]).unit
    notes = Notes(offered=page.locator("[data-camera]").is_visible())
    page.evaluate("window.forbidden = true")
    page.get_by_role("button", name="Scan with the camera").tap()
    notes.forbidden = page.get_by_role("alert").inner_text()
    page.evaluate("window.forbidden = false")
    requests: list[str] = []
    page.on("request", lambda request: requests.append(request.url) if "/tick" in request.url else None)
    page.get_by_role("button", name="Scan with the camera").tap()
    page.evaluate("text => { window.inView = text }", f"FULLSTOP:{unit.code}")
    page.get_by_text(f"{unit.tag} packed").wait_for()
    page.wait_for_timeout(1500)
    notes.out, notes.requests = out(shoot), len(requests)
    notes.shaken_by_the_right_one = page.evaluate("window.shaken ?? null")
    page.evaluate("window.inView = 'K-99'")
    page.get_by_role("alert").wait_for()
    notes.wrong, notes.shaken = page.get_by_role("alert").inner_text(), page.evaluate("window.shaken")
    page.get_by_role("button", name="Stop the camera").tap()
    notes.tracks = page.evaluate("window.stream.getTracks().map(track => track.readyState)")
    page.context.close()
    return notes


def test_where_the_browser_reads_codes_the_camera_is_offered(looked_at: Notes) -> None:
    assert looked_at.offered


def test_a_label_before_the_camera_packs_once(looked_at: Notes) -> None:
    assert TAGS[10] in looked_at.out
    assert looked_at.requests == 1


def test_a_wrong_label_is_said_and_felt(looked_at: Notes) -> None:
    assert "not on this list" in looked_at.wrong
    assert looked_at.shaken == [90, 60, 90]
    assert looked_at.shaken_by_the_right_one is None


def test_a_forbidden_camera_gets_a_sentence(looked_at: Notes) -> None:
    assert "Allow it" in looked_at.forbidden


def test_the_camera_is_off_when_it_is_stopped(looked_at: Notes) -> None:
    assert looked_at.tracks == ["ended"]
