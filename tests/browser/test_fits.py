"""Every page of the demo studio fits a phone and a desk: nothing has to be pushed sideways, and no script breaks."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from gear.kits.models import Kit
from gear.stock.models import StockItem
from studio.demo.loading import load_demo
from studio.people.models import Person
from studio.readiness.queries import stale_shoots
from studio.readiness.services import check_shoots
from studio.shoots.models import Shoot
from tests.browser.house import House, open_house

pytestmark = [pytest.mark.browser, pytest.mark.django_db]

SHOOTS = ["", "/edit", "/units", "/part", "/repeat", "/readiness", "/readiness/1/light", "/packing"]
RECIPE = [
    "",
    "/edit",
    "/edit/zones",
    "/edit/ambient",
    "/edit/lights",
    "/edit/panels",
    "/edit/subject",
    "/edit/text",
]
UNITS = ["K-01", "R-07", "M-09", "C-01", "M-16"]
OTHERS = """/ /shoots/ /shoots/new /shoots/import /shoots/out/ /shoots/checks/ /shoots/checks/sync
/calendar/ /calendar/types /calendar/rooms /calendar/people /calendar/feeds /recipes/ /recipes/new /recipes/import
/gear/ /gear/new/ /gear/labels/ /gear/inspections/ /gear/import/ /gear/stock/ /gear/stock/new/
/gear/kits/ /gear/kits/new/ /gear/sub-hire/ /gear/sub-hire/new/ /gear/shortages/ /gear/shortages/late/
/gear/types/ /gear/types/new/ /gear/types/gl-200b/ /gear/types/gl-200b/edit/ /places/ /places/new /phones/ /phone/ /work
/password /people/ /people/new"""


@pytest.fixture(scope="module")
def house(django_db_setup: None, django_db_blocker: Any, browser: Any) -> Iterator[House]:
    with django_db_blocker.unblock(), open_house(browser) as opened:
        for phone in (False, True):
            opened.page("manager", phone=phone)  # signs in here, where the server can see it
        load_demo()
        check_shoots(stale_shoots(), only_stale=True)
        yield opened


@pytest.fixture(scope="module")
def addresses(house: House) -> list[str]:
    """All of the demo studio that somebody may open."""
    found = OTHERS.split()
    for title in ("Spring lookbook", "Puppets on strings", "Two people talking"):
        shoot = Shoot.objects.get(title=title)
        found += [
            f"/shoots/{shoot.pk}{rest}" for rest in SHOOTS if shoot.recipes.exists() or "light" not in rest
        ]
    recipe = Shoot.objects.get(title="Spring lookbook").recipes.get(position=1).revision.recipe_id
    packed = Shoot.objects.get(title="Two people talking").pk
    found.append(f"/shoots/{packed}/packing/recount?case=C-07")
    found += [f"/recipes/{recipe}{rest}" for rest in RECIPE]
    found += [f"/gear/{tag}/{rest}" for tag in UNITS for rest in ("", "edit/", "care/", "condition/")]
    found += [f"/gear/stock/{item.pk}/" for item in StockItem.objects.all()]
    found += [f"/gear/kits/{kit.pk}/" for kit in Kit.objects.all()]
    found.append(f"/people/{Person.objects.get(username='assistant').pk}")
    series = Shoot.objects.filter(title="Portrait Wednesdays").first()
    assert series is not None
    found += [f"/shoots/series/{series.booking.occurrence.series_id}", f"/shoots/{series.pk}"]
    return found


@pytest.mark.parametrize("phone", [True, False], ids=["phone", "desk"])
def test_nothing_has_to_be_pushed_sideways(house: House, addresses: list[str], phone: bool) -> None:
    page = house.page("manager", phone=phone)
    broken: list[str] = []
    page.on("pageerror", lambda error: broken.append(f"{page.url}: {error}"))
    wide = page.viewport_size["width"]
    for address in addresses:
        page = house.go("manager", address, phone=phone)
        needs = page.evaluate("document.documentElement.scrollWidth")
        if needs > wide:
            broken.append(f"{address} is {needs} wide on {wide}")
    assert broken == []
    assert len(addresses) > 80
