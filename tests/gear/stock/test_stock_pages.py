"""Counted things in pages and over the API: everybody reads, the manager changes, bad input gets a sentence."""

from __future__ import annotations

import pytest
from django.urls import reverse

from gear.stock.models import StockItem
from gear.stock.queries import on_hand
from tests.gear.stock.counted import an_item, day, had

pytestmark = pytest.mark.django_db


def send(client, method, address, body):
    return getattr(client, method)(address, body, content_type="application/json")


def test_the_list_says_how_many_there_are_and_what_to_order(signed_in) -> None:
    an_item(3, name="Gaffer tape", consumable=True, counted_in="rolls", reorder_point=5)
    page = signed_in("assistant").get(reverse("stock:list")).content.decode()
    assert "3 rolls" in page
    assert "order more" in page


def test_an_item_shows_who_has_it_and_what_changed_it(signed_in) -> None:
    item = an_item(10)
    had(item, 4, 0, 1, title="Dancer")
    page = signed_in("photographer").get(reverse("stock:item", args=[item.pk])).content.decode()
    assert "Dancer" in page
    assert "Bought" in page


def test_the_manager_enters_an_item_with_a_first_count(signed_in) -> None:
    typed = {"name": "Sandbag", "counted_in": "pieces", "whole": "on", "there_are": "12"}
    answer = signed_in().post(reverse("stock:new"), typed)
    item = StockItem.objects.get()
    assert answer.url == reverse("stock:item", args=[item.pk])
    assert (on_hand(item), item.whole, item.consumable) == (12, True, False)


def test_bad_input_is_shown_beside_its_field_and_kept(signed_in) -> None:
    answer = signed_in().post(
        reverse("stock:new"), {"name": "Paper", "counted_in": "m", "overbooking_percent": "lots"}
    )
    page = answer.content.decode()
    assert answer.status_code == 422
    assert 'value="Paper"' in page
    assert "lots" in page
    assert not StockItem.objects.exists()


def test_an_edit_from_an_old_page_overwrites_nothing(signed_in) -> None:
    item = an_item(name="Clamp")
    client = signed_in()
    typed = {"name": "Clamp", "counted_in": "pieces", "whole": "on", "version": "1"}
    assert client.post(reverse("stock:edit", args=[item.pk]), {**typed, "shelf": "B1"}).status_code == 302
    stale = client.post(reverse("stock:edit", args=[item.pk]), {**typed, "shelf": "B2"})
    item.refresh_from_db()
    assert (stale.status_code, item.shelf) == (412, "B1")


def test_a_loss_and_a_count_are_written_down(signed_in) -> None:
    item = an_item(10)
    client = signed_in()
    client.post(reverse("stock:movement", args=[item.pk]), {"kind": "loss", "quantity": "2"})
    assert on_hand(item) == 8
    signed_in("assistant").post(reverse("stock:count", args=[item.pk]), {"counted": "7"})
    assert on_hand(item) == 7
    refused = client.post(reverse("stock:movement", args=[item.pk]), {"kind": "loss", "quantity": "1.5"})
    assert (refused.status_code, on_hand(item)) == (422, 7)
    assert "whole" in refused.content.decode()


@pytest.mark.parametrize("role", ["photographer", "assistant"])
def test_only_the_manager_changes(role, signed_in) -> None:
    item = an_item()
    client = signed_in(role)
    assert client.get(reverse("stock:new")).status_code == 403
    assert client.post(reverse("stock:movement", args=[item.pk])).status_code == 403
    assert send(client, "post", "/api/stock/", {"name": "A"}).status_code == 403


def test_an_item_that_is_not_there_is_said(signed_in) -> None:
    assert signed_in().get(reverse("stock:item", args=[99999])).status_code == 404


def test_fifty_items_need_few_queries(signed_in, django_assert_max_num_queries) -> None:
    for _ in range(50):
        an_item()
    client = signed_in()
    with django_assert_max_num_queries(15):
        client.get(reverse("stock:list"))


def test_an_item_with_fifty_promises_needs_few_queries(signed_in, django_assert_max_num_queries) -> None:
    item = an_item(1000)
    for _ in range(50):
        had(item, 1, 0, 1)
    client = signed_in()
    with django_assert_max_num_queries(15):
        client.get(reverse("stock:item", args=[item.pk]))


def test_the_api_makes_changes_and_moves(signed_in) -> None:
    client = signed_in()
    made = send(client, "post", "/api/stock/", {"name": "Paper", "whole": False, "counted_in": "m"})
    assert made.status_code == 201
    address = f"/api/stock/{made.json()['id']}"
    bought = send(client, "post", f"{address}/movements", {"kind": "purchase", "quantity": "11.5"})
    assert bought.json()["on_hand"] == "11.5"
    changed = send(client, "patch", address, {"version": 1, "shelf": "C"})
    assert (changed.json()["shelf"], changed.json()["version"]) == ("C", 2)
    assert send(client, "patch", address, {"version": 1, "shelf": "D"}).status_code == 412
    assert client.get("/api/stock/?search=paper").json()["count"] == 1


@pytest.mark.parametrize("quantity", ["0", "-1", "1.5"])
def test_the_api_refuses_a_quantity_that_cannot_be(quantity, signed_in) -> None:
    """Case 34."""
    item = an_item()
    body = {"kind": "loss", "quantity": quantity}
    answer = send(signed_in(), "post", f"/api/stock/{item.pk}/movements", body)
    assert (answer.status_code, answer.json()["problems"][0]["where"]) == (422, "quantity")


def test_the_api_says_what_is_free_on_which_day(signed_in) -> None:
    item = an_item(10)
    had(item, 6, 0, 2)
    asked = {"starts": f"{day(1):%Y-%m-%dT%H:%M}", "ends": f"{day(3):%Y-%m-%dT%H:%M}"}
    answer = signed_in().get(f"/api/stock/{item.pk}/availability", asked).json()
    assert (answer["free"], answer["words"]) == ("4", "4 free Tue, 10 free Wed")
