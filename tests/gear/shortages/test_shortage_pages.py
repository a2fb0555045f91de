"""Shortages in pages and over the API: everybody reads and writes into the trail, the manager takes a way out."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.urls import reverse

from gear.inventory.services import report_fault
from gear.shortages.models import Shortage
from tests.builders import a_unit
from tests.gear.booking.times import a_type, at, booked
from tests.gear.shortages.test_open_shortage import late_unit
from tests.gear.subhire.test_borrow_unit import borrowed

pytestmark = pytest.mark.django_db


@pytest.fixture
def shortage() -> Shortage:
    kind = a_type()
    unit = a_unit(kind, tag="K-03")
    a_unit(kind, tag="K-05")
    booked(10, 12, unit, title="Dancer")
    report_fault(unit.tag, "fell off the tower", None)
    return Shortage.objects.get()


def test_the_list_says_what_is_missing_for_whom_and_why(signed_in, shortage) -> None:
    page = signed_in("assistant").get(reverse("shortages:list")).content.decode()
    assert all(word in page for word in ("K-03", "Dancer", "fell off the tower", "nobody yet"))


def test_its_page_offers_the_ways_out_with_their_cost_as_buttons(signed_in, shortage) -> None:
    page = signed_in().get(reverse("shortages:one", args=[shortage.pk])).content.decode()
    assert "Take K-05" in page
    assert "same model, free for the whole time" in page
    assert "Borrow a" in page


def test_what_is_at_risk_is_listed_in_order_of_time_with_what_could_go_instead(signed_in) -> None:
    """Case 72."""
    kind = a_type()
    unit = a_unit(kind, tag="K-03")
    a_unit(kind, tag="K-05")
    for start, title in ((30, "Third"), (10, "First"), (20, "Second")):
        booked(start, start + 2, unit, title=title)
    report_fault(unit.tag, "fell off the tower", None)
    client = signed_in()
    page = client.get(reverse("shortages:list")).content.decode()
    assert page.index("First") < page.index("Second") < page.index("Third")
    for one in Shortage.objects.all():
        assert "Take K-05" in client.get(reverse("shortages:one", args=[one.pk])).content.decode()


def test_a_swap_by_its_button_settles_it(signed_in, shortage) -> None:
    client = signed_in()
    address = reverse("shortages:resolve", args=[shortage.pk])
    assert client.post(address, {"act": "swap", "value": "K-05"}).status_code == 302
    shortage.refresh_from_db()
    assert (shortage.how, shortage.closed_by) == ("swap", client.person)
    again = client.post(address, {"act": "swap", "value": "K-05"})
    assert (again.status_code, "settled already" in again.content.decode()) == (409, True)
    assert "K-03" in client.get(reverse("shortages:list"), {"closed": "1"}).content.decode()


def test_a_way_out_that_is_none_is_refused(signed_in, shortage) -> None:
    client = signed_in()
    address = reverse("shortages:resolve", args=[shortage.pk])
    assert client.post(address, {"act": "wish"}).status_code == 422
    assert client.post(address, {"act": "move", "value": "soon"}).status_code == 422
    assert client.post(address, {"act": "swap", "value": "ZZ-9"}).status_code == 404


@pytest.mark.parametrize("role", ["photographer", "assistant"])
def test_who_is_not_the_manager_reads_and_writes_into_the_trail_only(role, signed_in, shortage) -> None:
    client = signed_in(role)
    assert client.post(reverse("shortages:resolve", args=[shortage.pk]), {"act": "mine"}).status_code == 403
    client.post(reverse("shortages:note", args=[shortage.pk]), {"text": "Asked next door"})
    page = client.get(reverse("shortages:one", args=[shortage.pk])).content.decode()
    assert "Asked next door" in page
    assert "The studio manager takes one" in page


def test_the_manager_sees_to_it(signed_in, shortage) -> None:
    client = signed_in()
    client.post(reverse("shortages:resolve", args=[shortage.pk]), {"act": "mine"})
    shortage.refresh_from_db()
    assert shortage.owner == client.person
    assert "K-03" in client.get(reverse("shortages:list"), {"mine": "1"}).content.decode()


def test_a_late_return_is_reported_on_a_page(signed_in) -> None:
    unit, start, _ = late_unit()
    client = signed_in("assistant")
    when = f"{start + timedelta(hours=3):%Y-%m-%dT%H:%M}+00:00"
    answer = client.post(reverse("shortages:late"), {"tag": unit.tag, "back_at": when}, follow=True)
    assert "1 booking is short of it" in answer.content.decode()
    bad = client.post(reverse("shortages:late"), {"tag": unit.tag, "back_at": "later"})
    assert bad.status_code == 422


def test_fifty_shortages_need_few_queries(signed_in, django_assert_max_num_queries) -> None:
    kind = a_type()
    for _ in range(50):
        unit = a_unit(kind)
        booked(10, 12, unit)
        report_fault(unit.tag, "wet", None)
    client = signed_in()
    with django_assert_max_num_queries(15):
        client.get(reverse("shortages:list"))
    with django_assert_max_num_queries(15):
        client.get(reverse("shortages:one", args=[Shortage.objects.first().pk]))


def test_the_api_lists_shows_notes_and_resolves(signed_in, shortage) -> None:
    client = signed_in()
    assert client.get("/api/shortages/").json()["results"][0]["unit"] == "K-03"
    address = f"/api/shortages/{shortage.pk}"
    whole = client.get(address).json()
    assert whole["ways_out"][0] == {
        "act": "swap",
        "value": "K-05",
        "words": f"Take K-05 ({shortage.unit.gear_type})",
        "cost": "same model, free for the whole time",
    }
    post = {"content_type": "application/json"}
    assert client.post(f"{address}/notes", {"text": "Asked"}, **post).status_code == 201
    done = client.post(f"{address}/resolution", {"act": "swap", "value": "K-05"}, **post)
    assert (done.status_code, done.json()["how"], done.json()["ways_out"]) == (200, "swap", [])
    assert client.post(f"{address}/resolution", {"act": "swap", "value": "K-05"}, **post).status_code == 409
    assert signed_in("assistant").post(f"{address}/resolution", {}, **post).status_code == 403


def test_the_api_takes_a_late_return(signed_in) -> None:
    unit, start, _ = late_unit()
    body = {"unit": unit.tag, "back_at": (start + timedelta(hours=3)).isoformat()}
    answer = signed_in().post("/api/late-returns/", body, content_type="application/json")
    assert (answer.status_code, [s["cause"] for s in answer.json()]) == (201, ["late"])


def test_borrowed_units_have_pages_and_routes(signed_in) -> None:
    client = signed_in()
    typed = {
        "gear_type": a_type().slug,
        "tag": "S-07",
        "owner": "Lantern House",
        "starts": f"{at(10):%Y-%m-%dT%H:%M}",
        "ends": f"{at(20):%Y-%m-%dT%H:%M}",
        "price": "45.00",
    }
    made = client.post(reverse("subhire:new"), typed)
    page = client.get(made.url).content.decode()
    assert all(word in page for word in ("S-07", "Lantern House", "45.00"))
    assert "S-07" in client.get(reverse("subhire:list")).content.decode()
    bad = client.post(reverse("subhire:new"), {**typed, "tag": "S-08", "ends": typed["starts"], "price": "x"})
    assert bad.status_code == 422
    (listed,) = client.get("/api/sub-hires/").json()
    post = {"content_type": "application/json"}
    end = client.post(f"/api/sub-hires/{listed['id']}/end", {"how": "cancelled", "version": 1}, **post)
    assert (end.status_code, end.json()["problems"][0]["where"]) == (422, "why")
    end = client.post(f"/api/sub-hires/{listed['id']}/end", {"how": "handed-back", "version": 1}, **post)
    assert end.json()["ended_why"] == "back with its owner"
    assert signed_in("assistant").get(reverse("subhire:new")).status_code == 403
    other = borrowed()
    later = {"back_by": f"{at(30):%Y-%m-%dT%H:%M}", "version": 1}
    agreed = client.patch(f"/api/sub-hires/{other.pk}", later, content_type="application/json")
    assert (agreed.status_code, agreed.json()["version"]) == (200, 2)
