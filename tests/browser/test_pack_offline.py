"""Packing on a phone whose network is gone: what it noted stays on it, is never called saved, and arrives once."""

from __future__ import annotations

import uuid
from collections.abc import Iterator
from types import SimpleNamespace
from typing import Any

import pytest

from gear.booking.services import promise_units
from gear.inventory.models import CarePhoto, Condition
from gear.inventory.short_code import code_of, is_code, was_misread
from gear.stock.services import Wanted, promise_stock
from studio.packing.models import PackingLine
from studio.phones.models import Device, Operation
from tests.browser.house import House, open_house
from tests.builders import a_gear_type, a_shoot, a_unit
from tests.gear.stock.counted import an_item

pytestmark = [pytest.mark.browser, pytest.mark.django_db]
Notes = SimpleNamespace

TAGS = [f"K-{number:02d}" for number in range(14)]


@pytest.fixture(scope="module")
def house(django_db_setup: None, django_db_blocker: Any, browser: Any) -> Iterator[House]:
    with django_db_blocker.unblock(), open_house(browser) as opened:
        yield opened


@pytest.fixture(scope="module")
def shoot(house: House) -> Any:
    kind = a_gear_type()
    units = [a_unit(kind, tag=tag) for tag in TAGS]
    shoot = a_shoot(title="Spring lookbook")
    promise_units(shoot.booking, [unit.pk for unit in units], house.people["manager"])
    promise_stock(shoot.booking, [Wanted(an_item(50, name="Sandbag").pk, 10)], None)
    return shoot


def a_phone(house: House) -> Any:
    """A fresh browser of somebody who is signed in; the page is open and the browser keeps it."""
    known = house.page("assistant").context.storage_state()
    context = house.browser.new_context(
        storage_state=known, is_mobile=True, has_touch=True, viewport={"width": 390, "height": 844}
    )
    context.set_default_timeout(20_000)
    page = context.new_page()
    page.goto(f"{house.url}/phone/")
    page.get_by_text("The server has everything").wait_for()
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    page.wait_for_function("navigator.serviceWorker.controller !== null")
    return page


def choose(page: Any, shoot: Any) -> None:
    page.get_by_role("button", name=shoot.title).tap()
    page.locator("#scan").wait_for()


def scan(page: Any, *marks: str) -> None:
    for mark in marks:
        page.locator("#scan").fill(mark)
        page.locator("#scan").press("Enter")


def synced(page: Any) -> str:
    return str(page.locator("#sync-words").inner_text())


def out(shoot: Any) -> list[str]:
    lines = PackingLine.objects.filter(shoot=shoot, out_at__isnull=False).order_by("unit__tag")
    return list(lines.values_list("unit__tag", flat=True))


@pytest.fixture(scope="module")
def ten(house: House, shoot: Any) -> Notes:
    """Ten scans without a network; the page is killed, opened again without a network, and then the network is back."""
    page = a_phone(house)
    context, notes = page.context, Notes()
    choose(page, shoot)
    context.set_offline(True)
    scan(page, *TAGS[:10])
    page.get_by_text("On this phone only: 10 not sent").wait_for()
    page.get_by_text("No network").wait_for()
    notes.words = page.locator("main").inner_text()
    notes.unsent_lines = page.locator("[data-unsent=true]").count()
    notes.on_the_server = out(shoot)
    page.close(run_before_unload=False)

    page = context.new_page()
    page.goto(f"{house.url}/phone/#{shoot.pk}")
    page.get_by_text("On this phone only: 10 not sent").wait_for()
    notes.reopened = " ".join(page.locator("#list-count").inner_text().split())
    notes.still_on_the_server = out(shoot)
    context.set_offline(False)
    page.get_by_text("The server has everything").wait_for()
    notes.arrived, notes.operations = out(shoot), Operation.objects.count()
    notes.by = set(PackingLine.objects.filter(out_at__isnull=False).values_list("out_by", flat=True))
    page.locator("#list-count").get_by_text("10").wait_for()
    notes.left_unsent = page.locator("[data-unsent=true]").count()
    page.reload()
    page.get_by_text("The server has everything").wait_for()
    notes.after_reload = Operation.objects.count()
    notes.device = Device.objects.get()
    context.close()
    return notes


def test_without_a_network_it_is_said_to_be_on_this_phone_only(ten: Notes) -> None:
    assert "until then only this phone knows" in ten.words
    assert "noted on this phone" in ten.words
    assert "saved" not in ten.words.lower()
    assert (ten.unsent_lines, ten.on_the_server) == (10, [])


def test_killed_and_opened_without_a_network_it_still_knows_all_ten(ten: Notes) -> None:
    assert ten.reopened.startswith("10 of 14")
    assert ten.still_on_the_server == []


def test_with_the_network_back_ten_are_on_the_server_exactly_once(house: House, ten: Notes) -> None:
    assert ten.arrived == TAGS[:10]
    assert (ten.operations, ten.after_reload, ten.left_unsent) == (10, 10, 0)
    assert ten.by == {house.people["assistant"].pk}


def test_the_last_synced_point_is_known(ten: Notes) -> None:
    assert (ten.device.done_up_to, ten.device.unsent) == (10, 0)


@pytest.fixture(scope="module")
def more(house: House, shoot: Any, ten: Notes, tmp_path_factory: Any) -> Notes:
    """Without a network: the right thing by code, by label and by tap, then everything that can be wrong."""
    page = a_phone(house)
    context, notes = page.context, Notes()
    unit = PackingLine.objects.get(shoot=shoot, unit__tag=TAGS[10]).unit
    other = PackingLine.objects.get(shoot=shoot, unit__tag=TAGS[11]).unit
    choose(page, shoot)
    context.set_offline(True)
    scan(page, unit.code.lower(), f"FULLSTOP:{other.code}")
    page.get_by_role("button", name=TAGS[12]).first.tap()
    page.get_by_text("only: 3 not sent").wait_for()
    page.get_by_role("button", name=TAGS[12]).first.tap()
    page.get_by_text("only: 4 not sent").wait_for()
    notes.after_undo = page.locator(".packing-line", has_text=TAGS[12]).get_attribute("data-state")
    scan(page, f"{unit.code[:5]}{'2' if unit.code[5] != '2' else '3'}")
    page.get_by_text("one character is wrong").wait_for()
    notes.after_misread = synced(page)
    scan(page, "ZZ-99")
    page.get_by_text("ZZ-99 is not on this list").wait_for()
    notes.wrong_role = page.locator("#said [role=alert]").count()
    page.get_by_label("Sandbag: packed in all").fill("11")
    page.get_by_role("button", name="Count out").tap()
    page.get_by_text("one of the two counts is wrong").wait_for()
    notes.after_eleven = synced(page)
    page.get_by_label("Sandbag: packed in all").fill("10")
    page.get_by_role("button", name="Count out").tap()
    page.get_by_text("only: 6 not sent").wait_for()
    page.get_by_role("button", name=f"Something became of {TAGS[0]}", exact=True).tap()
    page.get_by_role("button", name="Note it").tap()
    notes.without_words = page.locator("#report-problem").inner_text()
    picture = tmp_path_factory.mktemp("photo") / "dome.png"
    page.screenshot(path=str(picture))
    page.locator("#report-note").fill("dome cracked")
    page.locator("#report-photo").set_input_files(str(picture))
    page.get_by_role("button", name="Note it").tap()
    page.get_by_text("only: 7 not sent").wait_for()
    context.set_offline(False)
    page.get_by_text("The server has everything").wait_for()
    notes.out = out(shoot)
    notes.answer = page.locator("#answer-lines").inner_text()
    notes.photo = CarePhoto.objects.select_related("entry__unit").get()
    notes.states = list(Operation.objects.order_by("received_at", "number").values_list("state", flat=True))[
        10:
    ]
    notes.sandbags = shoot.booking.stock_promises.get().out_quantity
    context.close()
    return notes


def test_code_label_and_tap_are_equal(more: Notes) -> None:
    assert set(TAGS[10:12]) <= set(more.out)


def test_a_second_tap_takes_it_back(more: Notes) -> None:
    assert more.after_undo == "wanted"
    assert TAGS[12] not in more.out


def test_a_misread_code_is_told_at_once_and_noted_nowhere(more: Notes) -> None:
    assert "4 not sent" in more.after_misread


def test_what_is_not_on_the_list_is_told_at_once_and_the_server_says_what_it_is(more: Notes) -> None:
    assert more.wrong_role == 1
    assert "ZZ-99" in more.answer
    assert "found tray" in more.answer
    assert more.states == ["done", "done", "done", "done", "found", "done", "done"]


def test_eleven_of_ten_stop_on_the_phone_already(more: Notes) -> None:
    assert "5 not sent" in more.after_eleven
    assert more.sandbags == 10


def test_damage_needs_words_and_comes_with_its_photo(more: Notes) -> None:
    assert "Say in a few words" in more.without_words
    assert more.photo.entry.unit.tag == TAGS[0]
    assert more.photo.entry.unit.condition == Condition.QUARANTINE
    assert (more.photo.kind, bytes(more.photo.data)[:3]) == ("image/jpeg", b"\xff\xd8\xff")


def test_a_phone_whose_sign_in_has_ended_keeps_its_acts_and_asks(
    house: House, shoot: Any, more: Notes
) -> None:
    page = a_phone(house)
    choose(page, shoot)
    known = page.context.cookies()
    page.context.set_offline(True)
    scan(page, TAGS[13])
    page.get_by_text("only: 1 not sent").wait_for()
    page.context.clear_cookies()
    page.context.set_offline(False)
    page.get_by_text("The sign-in on this phone has ended").wait_for()
    assert page.locator("#sign-in").is_visible()
    assert TAGS[13] not in out(shoot)
    page.context.add_cookies(known)
    page.reload()
    page.get_by_text("The server has everything").wait_for()
    assert TAGS[13] in out(shoot)
    page.context.close()


@pytest.fixture(scope="module")
def long_table(house: House) -> Any:
    """A shoot with two hundred units."""
    kind = a_gear_type()
    units = [a_unit(kind, tag=f"L-{number:03d}") for number in range(200)]
    shoot = a_shoot(title="Long table")
    promise_units(shoot.booking, [unit.pk for unit in units], house.people["manager"])
    return shoot


def test_two_hundred_acts_noted_with_older_pages_are_sent_by_the_new_one(
    house: House, more: Notes, long_table: Any
) -> None:
    """Case 90."""
    shoot = long_table
    page = a_phone(house)
    page.context.set_offline(True)
    old = [_as_older_pages_wrote(number, shoot.pk, f"L-{number - 1:03d}") for number in range(1, 201)]
    page.evaluate(
        """async (documents) => {
            const base = await new Promise((done) => {
                const asked = indexedDB.open("fullstop-phone", 1); asked.onsuccess = () => done(asked.result);
            });
            const transaction = base.transaction(["self", "operations"], "readwrite");
            const self = transaction.objectStore("self");
            self.get("phone").onsuccess = ({target}) => self.put({...target.result, next: 201}, "phone");
            documents.forEach((document, place) => transaction.objectStore("operations").add(
                {number: place + 1, document, state: "kept", sentence: ""}));
            await new Promise((done) => { transaction.oncomplete = done; });
        }""",
        old,
    )
    page.reload()
    page.get_by_text("On this phone only: 200 not sent").wait_for()
    page.context.set_offline(False)
    page.get_by_text("The server has everything").wait_for(timeout=120_000)
    told = Operation.objects.filter(shoot=shoot).values_list("state", "sentence")
    assert (len(out(shoot)), set(told.exclude(state="done"))) == (200, set())
    page.context.close()


def _as_older_pages_wrote(number: int, shoot: int, tag: str) -> dict[str, Any]:
    if number <= 100:
        return {
            "format": 1, "id": str(uuid.uuid4()), "n": number, "shoot": shoot, "tag": tag, "act": "out",
            "ms": 1_795_600_800_000 + number,
        }  # fmt: skip
    return {
        "format": 2, "key": str(uuid.uuid4()), "number": number, "shoot": shoot, "mark": tag, "act": "out",
        "at": "2026-11-25T09:20:00+01:00",
    }  # fmt: skip


def test_the_phone_tells_codes_and_misread_ones_as_the_server_does(house: House, more: Notes) -> None:
    page = house.go("assistant", "/phone/")
    codes = [code_of(number * 7919) for number in range(200)]
    texts = [*codes, *(code[1] + code[0] + code[2:] for code in codes), *(f"0{code[1:]}" for code in codes)]
    texts += ["K-03", "ABCDEF", "234567", "23456O", "", "ÄÄÄÄÄÄ"]
    told = page.evaluate(
        """async (texts) => {
            const {isCode, wasMisread} = await import("/static/phones/marks.js");
            return texts.map((text) => [isCode(text), wasMisread(text)]);
        }""",
        texts,
    )
    assert told == [[is_code(text), was_misread(text)] for text in texts]


def test_the_phone_reads_what_a_label_holds_as_the_server_does(house: House, more: Notes) -> None:
    from gear.inventory.marks import mark_in

    page = house.go("assistant", "/phone/")
    texts = [
        " k-03 ", "fullstop:k7m2px", "FULLSTOP: K7M2PX", "http://studio.example/gear/K-03/", "/gear/K-03/",
        "http://studio.example/gear/K-03/edit/", "http://other.example/x", "K\x0003", "a:b", "k 03", "x/y", "//",
    ]  # fmt: skip
    told = page.evaluate(
        """async (texts) => {
            const {markIn} = await import("/static/phones/marks.js");
            return texts.map(markIn);
        }""",
        texts,
    )
    assert told == [mark_in(text) for text in texts]


def test_the_page_says_so_where_the_camera_reads_no_codes(house: House, shoot: Any, more: Notes) -> None:
    known = house.page("assistant").context.storage_state()
    context = house.browser.new_context(storage_state=known, is_mobile=True, has_touch=True)
    page = context.new_page()
    page.add_init_script("delete window.BarcodeDetector;")
    page.goto(f"{house.url}/phone/#{shoot.pk}")
    page.locator("#no-camera").wait_for()
    assert "type the short code" in page.locator("#no-camera").inner_text()
    assert not page.locator("[data-camera]").is_visible()
    context.close()


def test_the_policy_of_the_page_blocks_nothing_it_needs_and_all_else(
    house: House, shoot: Any, more: Notes
) -> None:
    context = house.browser.new_context(storage_state=house.page("assistant").context.storage_state())
    page = context.new_page()
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text) if message.type == "error" else None)
    page.goto(f"{house.url}/phone/#{shoot.pk}")
    page.get_by_text("The server has everything").wait_for()
    assert said == []
    page.evaluate(
        "document.body.append(Object.assign(document.createElement('script'), {textContent: 'window.bad = 1'}))"
    )
    assert page.evaluate("window.bad") is None
    assert any("Content Security Policy" in text for text in said)
    context.close()
