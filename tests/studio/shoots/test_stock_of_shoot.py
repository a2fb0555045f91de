"""Counted things and kits on a shoot: who plans it promises them, and its page says what it is short of."""

from __future__ import annotations

import pytest
from django.urls import reverse

from gear.errors import Conflict
from gear.inventory.services import report_fault
from gear.kits.services import save_kit
from gear.shortages.models import Shortage
from studio.shoots import services
from studio.shoots.stocking import add_kit, let_kit_go, set_shoot_stock
from tests.builders import a_person, a_unit
from tests.gear.booking.times import a_type, booked
from tests.gear.kits.sets import a_kit, an_entry
from tests.gear.stock.counted import an_item, had
from tests.studio.shoots.plans import planned, the_recipe

pytestmark = pytest.mark.django_db


def send(client, method, address, body=None):
    return getattr(client, method)(address, body or {}, content_type="application/json")


def test_counted_things_are_promised_by_number_and_changed_by_number(signed_in) -> None:
    item, client = an_item(10), signed_in()
    shoot = planned(by=client.person)
    address = reverse("shoots:stock", args=[shoot.pk])
    for quantity in ("8", "6"):
        assert (
            client.post(address, {"act": "set", "number": item.pk, "quantity": quantity}).status_code == 302
        )
    assert shoot.booking.stock_promises.get().quantity == 6
    assert f"{item.name}" in client.get(address).content.decode()
    client.post(address, {"act": "set", "number": item.pk, "quantity": "0"})
    assert not shoot.booking.stock_promises.exists()


@pytest.mark.parametrize(("quantity", "status"), [("11", 409), ("1.5", 422), ("-1", 422), ("", 422)])
def test_what_cannot_be_is_said_and_what_was_typed_is_kept(quantity, status, signed_in) -> None:
    """Case 34."""
    item, client = an_item(10), signed_in()
    shoot = planned(by=client.person)
    address = reverse("shoots:stock", args=[shoot.pk])
    answer = client.post(address, {"act": "set", "number": item.pk, "quantity": quantity})
    assert answer.status_code == status
    assert f'value="{quantity}"' in answer.content.decode()
    body = {"item": item.pk, "quantity": quantity}
    assert send(client, "put", f"/api/shoots/{shoot.pk}/stock", body).status_code == status
    assert not shoot.booking.stock_promises.exists()


def test_a_kit_with_a_part_missing_offers_a_stand_in_as_a_button(signed_in) -> None:
    """Case 43."""
    kind = a_type()
    missing, spare = a_unit(kind, tag="K-03"), a_unit(kind, tag="K-05")
    kit, client = a_kit(missing, name="Portrait kit"), signed_in()
    booked(9, 15, missing)
    shoot = planned(by=client.person)
    address = reverse("shoots:stock", args=[shoot.pk])
    refused = client.post(address, {"act": "kit", "number": kit.pk})
    part = kit.parts.get().pk
    assert refused.status_code == 409
    assert f'value="{part}:K-05"' in refused.content.decode()
    client.post(address, {"act": "kit", "number": kit.pk, "instead": f"{part}:K-05"})
    assert [a.unit for a in shoot.booking.allocations.all()] == [spare]
    assert "instead of K-03" in client.get(address).content.decode()


def test_a_kit_is_added_shown_taken_over_and_let_go_over_the_api(signed_in) -> None:
    kind = a_type()
    old, new = a_unit(kind), a_unit(kind)
    kit, client = a_kit(old, name="Portrait kit"), signed_in()
    shoot = planned(by=client.person)
    address = f"/api/shoots/{shoot.pk}/kits"
    made = send(client, "post", address, {"kit": kit.pk})
    assert (made.status_code, made.json()["taken"][0]["unit"], made.json()["is_current"]) == (
        201,
        old.tag,
        True,
    )
    save_kit(an_entry(new, name="Portrait kit"), None, pk=kit.pk)
    assert not client.get(address).json()[0]["is_current"]
    page = client.get(reverse("shoots:stock", args=[shoot.pk])).content.decode()
    assert "this shoot keeps what it was given" in page
    over = send(client, "post", f"{address}/{made.json()['id']}")
    assert over.json()["taken"][0]["unit"] == new.tag
    assert send(client, "delete", f"{address}/{over.json()['id']}").status_code == 204
    assert not shoot.booking.allocations.exists()


def test_a_kit_whose_unit_has_a_job_here_is_not_let_go() -> None:
    manager, unit = a_person(), a_unit()
    shoot = planned(by=manager)
    promise = add_kit(shoot, a_kit(unit).pk, manager)
    services.assign_unit(the_recipe(shoot), "Key", "head", 1, unit.tag, manager)
    with pytest.raises(Conflict, match="has a job"):
        let_kit_go(shoot, promise.pk, manager)
    services.unassign(the_recipe(shoot), "Key", "head", 1, manager)


def test_a_unit_of_a_kit_stays_promised_when_its_job_goes() -> None:
    manager, unit = a_person(), a_unit()
    shoot = planned(by=manager)
    add_kit(shoot, a_kit(unit).pk, manager)
    services.assign_unit(the_recipe(shoot), "Key", "head", 1, unit.tag, manager)
    services.unassign(the_recipe(shoot), "Key", "head", 1, manager)
    assert shoot.booking.allocations.get().unit == unit
    with pytest.raises(Conflict, match="came with a kit"):
        services.remove_extra_unit(shoot, unit.tag, manager)


def test_a_photographer_plans_their_own_and_an_assistant_only_looks(signed_in) -> None:
    item, photographer = an_item(10), signed_in("photographer")
    mine, other = planned(by=photographer.person), planned(by=a_person())
    typed = {"act": "set", "number": item.pk, "quantity": "2"}
    assert photographer.post(reverse("shoots:stock", args=[mine.pk]), typed).status_code == 302
    assert photographer.post(reverse("shoots:stock", args=[other.pk]), typed).status_code == 403
    assistant = signed_in("assistant")
    assert assistant.get(reverse("shoots:stock", args=[mine.pk])).status_code == 200
    assert assistant.post(reverse("shoots:stock", args=[mine.pk]), typed).status_code == 403


def test_the_page_of_a_shoot_says_what_it_is_short_of(signed_in) -> None:
    client, unit = signed_in(), a_unit(tag="K-03")
    shoot = planned(by=client.person)
    services.assign_unit(the_recipe(shoot), "Key", "head", 1, "K-03", client.person)
    report_fault(unit.tag, "fell off the tower", None)
    page = client.get(reverse("shoots:shoot", args=[shoot.pk])).content.decode()
    assert reverse("shortages:one", args=[Shortage.objects.get().pk]) in page
    assert "fell off the tower" in page


def test_a_cancelled_shoot_takes_nothing(signed_in) -> None:
    manager, item = a_person(), an_item(10)
    shoot = planned(by=manager)
    services.cancel_shoot(shoot, manager)
    with pytest.raises(Conflict, match="is cancelled"):
        set_shoot_stock(shoot, item.pk, 1, manager)


def test_many_lines_need_few_queries(signed_in, django_assert_max_num_queries) -> None:
    client = signed_in()
    shoot = planned(by=client.person)
    add_kit(shoot, a_kit(*(a_unit() for _ in range(30))).pk, client.person)
    for _ in range(30):
        set_shoot_stock(shoot, an_item(10).pk, 1, client.person)
    had(an_item(), 1, 0, 1)
    with django_assert_max_num_queries(15):
        client.get(reverse("shoots:stock", args=[shoot.pk]))
