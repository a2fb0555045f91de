"""In a dark store room nothing but red reaches the eye: no pixel of a page has green or blue in it."""

from __future__ import annotations

import base64
from collections.abc import Iterator
from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone

from gear.booking.services import promise_units
from gear.stock.services import Wanted, promise_stock
from studio.packing.services import pack_out, take_back, update_list
from tests.browser.house import House, open_house
from tests.builders import a_booking, a_gear_type, a_shoot, a_unit
from tests.gear.stock.counted import an_item

pytestmark = [pytest.mark.browser, pytest.mark.django_db]

PAGES = {
    "list": "/shoots/{}/packing?way=in",
    "case": "/shoots/{}/packing/recount?case=C-01",
    "fault": "/gear/K-02/fault/",
    "labels": "/gear/labels/",
    "feeds": "/calendar/feeds",
    "late": "/gear/shortages/late/",
    "outside": "/shoots/out/",
    "phone": "/phone/#{}",
    "phones": "/phones/",
    "calendar": "/calendar/",
    "stock": "/gear/stock/",
    "kits": "/gear/kits/",
    "sub-hire": "/gear/sub-hire/",
    "shortages": "/gear/shortages/",
    "due": "/gear/inspections/",
    "today": "/",
}

COUNT = """async (data) => {
    const picture = await createImageBitmap(await (await fetch(data)).blob());
    const canvas = new OffscreenCanvas(picture.width, picture.height);
    const pen = canvas.getContext("2d");
    pen.drawImage(picture, 0, 0);
    const {data: bytes} = pen.getImageData(0, 0, picture.width, picture.height);
    let lit = 0, strange = 0;
    for (let at = 0; at < bytes.length; at += 4) {
        if (bytes[at] > 8) lit += 1;
        if (bytes[at + 1] > 8 || bytes[at + 2] > 8) strange += 1;
    }
    return [lit, strange];
}"""


@pytest.fixture(scope="module")
def house(django_db_setup: None, django_db_blocker: Any, browser: Any) -> Iterator[House]:
    with django_db_blocker.unblock(), open_house(browser) as opened:
        opened.page("manager", phone=True)  # signs in here, where the server can see it
        yield opened


@pytest.fixture(scope="module")
def shoot(house: House) -> Any:
    """A shoot that is over time, half of it back, something overdue, something damaged."""
    case = a_unit(a_gear_type("case"), tag="C-01")
    units = [a_unit(tag=f"K-0{n}", case=case, inspection_due=timezone.localdate()) for n in range(3)]
    shoot = a_shoot(booking=a_booking(timezone.now() - timedelta(hours=3), hours=2, title="Lookbook"))
    promise_units(shoot.booking, [unit.pk for unit in units], house.people["manager"])
    promise_stock(shoot.booking, [Wanted(an_item(50, name="Sandbag").pk, 10)], None)
    update_list(shoot)
    for unit in units[:2]:
        pack_out(shoot, unit.tag, house.people["assistant"])
    take_back(shoot, units[0].tag, house.people["assistant"])
    return shoot


def pixels(page: Any) -> tuple[int, int]:
    """How many pixels of the whole page are lit at all, and how many of them in another colour than red."""
    picture = base64.b64encode(page.screenshot(full_page=True)).decode()
    blank = page.context.new_page()
    lit, strange = blank.evaluate(COUNT, f"data:image/png;base64,{picture}")
    blank.close()
    return lit, strange


@pytest.mark.parametrize("name", PAGES)
def test_nothing_but_red(name: str, house: House, shoot: Any) -> None:
    page = house.go("manager", PAGES[name].format(shoot.pk), phone=True)
    page.evaluate("localStorage.setItem('fullstop-theme', 'red')")
    page.reload()
    assert "/sign-in" not in page.url
    if name == "phone":
        page.get_by_text("The server has everything").wait_for()
    lit, strange = pixels(page)
    assert lit > 2000
    assert strange == 0
