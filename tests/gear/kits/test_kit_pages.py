"""Kits in pages and over the API."""

from __future__ import annotations

import pytest
from django.urls import reverse

from gear.kits.models import Kit
from gear.kits.sheet import read_sheet, write_sheet
from tests.builders import a_unit
from tests.gear.booking.times import at
from tests.gear.kits.sets import a_kit
from tests.gear.stock.counted import an_item

pytestmark = pytest.mark.django_db


def test_a_kit_is_written_one_part_a_line(signed_in) -> None:
    a_unit(tag="K-03"), a_unit(tag="K-04")
    an_item(name="Sandbag 10 kg")
    a_kit(a_unit(tag="C-01"), name="Grip bag")
    sheet = "Key head: k-03 | K-04\n\n8 x Sandbag 10 kg\nGrip bag"
    client = signed_in()
    answer = client.post(reverse("kits:new"), {"name": "Portrait kit", "parts": sheet})
    kit = Kit.objects.get(name="Portrait kit")
    assert answer.url == reverse("kits:kit", args=[kit.pk])
    assert write_sheet(kit) == "Key head: K-03 | K-04\n8 x Sandbag 10 kg\nGrip bag"
    page = client.get(answer.url).content.decode()
    assert all(word in page for word in ("K-03", "K-04", "Sandbag 10 kg", "C-01", "Key head"))


def test_what_a_kit_reads_it_writes_again() -> None:
    unit, item = a_unit(), an_item(whole=False)
    kit = a_kit([unit, item], ("2.5", item), a_kit(unit))
    sheet = write_sheet(kit)
    assert len(read_sheet(sheet)) == 3
    assert f"2.5 x {item.name}" in sheet


def test_an_unknown_word_is_named_with_its_line_and_what_was_typed_is_kept(signed_in) -> None:
    a_unit(tag="K-03")
    answer = signed_in().post(reverse("kits:new"), {"name": "Kit", "parts": "K-03\nK-33"})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "line 2: there is no unit, stock item or kit “K-33”" in page
    assert not Kit.objects.exists()


def test_a_loop_is_a_sentence_on_the_page(signed_in) -> None:
    """Case 45."""
    first = a_kit(a_unit(), name="First")
    a_kit(first, name="Second")
    client = signed_in()
    typed = {"name": "First", "parts": "Second", "version": "1"}
    answer = client.post(reverse("kits:edit", args=[first.pk]), typed)
    assert answer.status_code == 422
    assert "First contains Second contains First" in answer.content.decode()
    old = {"name": "First", "parts": "Second", "version": "0"}
    assert client.post(reverse("kits:edit", args=[first.pk]), old).status_code == 412


@pytest.mark.parametrize("role", ["photographer", "assistant"])
def test_everybody_reads_and_only_the_manager_changes(role, signed_in) -> None:
    kit = a_kit(a_unit(), name="Grip bag")
    client = signed_in(role)
    assert "Grip bag" in client.get(reverse("kits:list")).content.decode()
    assert client.get(reverse("kits:kit", args=[kit.pk])).status_code == 200
    assert client.get(reverse("kits:edit", args=[kit.pk])).status_code == 403
    assert client.post(reverse("kits:remove", args=[kit.pk])).status_code == 403


def test_a_kit_of_fifty_parts_needs_few_queries(signed_in, django_assert_max_num_queries) -> None:
    kit = a_kit(*(a_unit() for _ in range(50)))
    client = signed_in()
    with django_assert_max_num_queries(15):
        client.get(reverse("kits:kit", args=[kit.pk]))
    with django_assert_max_num_queries(15):
        client.get(reverse("kits:list"))


def test_the_api_makes_reads_changes_and_removes_a_kit(signed_in) -> None:
    unit, item = a_unit(), an_item()
    client = signed_in()
    body = {
        "name": "Grip bag",
        "parts": [{"options": [{"unit": unit.tag}]}, {"quantity": "4", "options": [{"item": item.pk}]}],
    }
    made = client.post("/api/kits/", body, content_type="application/json")
    assert made.status_code == 201
    kit = made.json()
    assert [part["quantity"] for part in kit["parts"]] == ["1", "4"]
    address = f"/api/kits/{kit['id']}"
    put = {**body, "name": "Grip box", "version": 1}
    assert client.put(address, put, content_type="application/json").json()["version"] == 2
    assert client.put(address, put, content_type="application/json").status_code == 412
    asked = {"starts": f"{at(10):%Y-%m-%dT%H:%M}", "ends": f"{at(12):%Y-%m-%dT%H:%M}"}
    assert client.get(f"{address}/availability", asked).json() == {"free": True, "incomplete": []}
    assert client.delete(address).status_code == 204
    assert client.get(address).status_code == 404
