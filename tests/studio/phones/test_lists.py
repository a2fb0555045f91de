"""The lists as a phone keeps them."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone

from gear.booking.services import cancel
from gear.inventory.models import Condition
from gear.stock.services import Wanted, promise_stock
from studio.packing.services import close_list, pack_out, take_back
from tests.builders import a_booking, a_gear_type, a_person, a_unit
from tests.gear.stock.counted import an_item
from tests.studio.phones.phone import a_list

pytestmark = pytest.mark.django_db


def kept(client: Any) -> list[str]:
    return [shoot["title"] for shoot in client.get(reverse("api-phones:lists")).json()]


def the_list(client: Any, shoot: Any) -> dict[str, Any]:
    return dict(client.get(reverse("api-phones:list", args=[shoot.pk])).json())


def test_shoots_of_two_weeks_and_what_is_still_out(signed_in: Any) -> None:
    now, by = timezone.now(), a_person("assistant")
    a_list(a_unit(), booking=a_booking(now + timedelta(days=2), title="Soon"))
    a_list(a_unit(), booking=a_booking(now + timedelta(days=40), title="Far"))
    off = a_list(a_unit(), booking=a_booking(now + timedelta(days=3), title="Called off"))
    cancel(off.booking, by)
    unit = a_unit()
    late = a_list(unit, booking=a_booking(now - timedelta(days=30), title="Long over"))
    pack_out(late, unit.tag, by)
    assert kept(signed_in("assistant")) == ["Long over", "Soon"]
    take_back(late, unit.tag, by)
    close_list(late, by)
    assert kept(signed_in("assistant")) == ["Soon"]


def test_a_line_has_all_that_is_needed_without_a_network(signed_in: Any) -> None:
    case = a_unit(a_gear_type("case"), tag="C-01")
    unit = a_unit(tag="K-01", case=case, shelf="A2")
    shoot = a_list(unit)
    unit.condition = Condition.QUARANTINE
    unit.save()
    (promise,) = promise_stock(shoot.booking, [Wanted(an_item(50, name="Sandbag").pk, 10)], None)
    seen = the_list(signed_in("assistant"), shoot)
    line = next(line for line in seen["lines"] if line["tag"] == "K-01")
    assert (line["code"], line["case"], line["shelf"]) == (unit.code, "C-01", "A2")
    assert (line["unfit"], line["state"], line["wanted"]) == ("Quarantine", "wanted", True)
    assert seen["counted"] == [
        {
            "line": promise.pk, "name": "Sandbag", "shelf": promise.item.shelf, "wanted": "10", "out": "0", "back": "0",
            "accounted": "0",
        }
    ]  # fmt: skip


def test_a_long_list_takes_few_queries(signed_in: Any, django_assert_max_num_queries: Any) -> None:
    kind = a_gear_type()
    shoot = a_list(*[a_unit(kind) for _ in range(50)])
    client = signed_in("assistant")
    with django_assert_max_num_queries(15):
        the_list(client, shoot)
    with django_assert_max_num_queries(6):
        kept(client)
