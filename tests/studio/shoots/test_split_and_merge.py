"""Splitting, merging and shifting shoots: the plan follows, on a page and over the API."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.urls import reverse
from rest_framework.test import APIClient

from gear.booking.models import Booking
from gear.errors import Conflict, NotAllowed
from studio.shoots import services
from studio.shoots.chain import chain_of
from studio.shoots.parting import merge_shoots, split_shoot_at, split_shoot_off
from tests.builders import a_person, a_recipe, a_room, a_unit
from tests.gear.booking.times import a_type, at
from tests.studio.shoots.plans import planned, the_recipe

pytestmark = pytest.mark.django_db


@pytest.fixture
def api() -> APIClient:
    client = APIClient()
    client.force_authenticate(a_person())
    return client


@pytest.fixture
def shoot():
    """From ten to twenty, with K-03 as key head and K-04 as a spare."""
    shoot = planned(start=10, end=20, by=a_person())
    a_unit(a_type(), tag="K-03")
    a_unit(a_type(), tag="K-04")
    services.assign_unit(the_recipe(shoot), "Key", "head", 1, "K-03", a_person())
    services.add_extra_unit(shoot, "K-04", a_person())
    return shoot


def jobs(shoot) -> list[tuple[str, str]]:
    return [(a.job, a.unit.tag) for here in shoot.recipes.all() for a in here.assignments.all()]


def units(shoot) -> set[str]:
    return set(shoot.booking.allocations.filter(active=True).values_list("unit__tag", flat=True))


def test_both_parts_have_the_recipes_the_jobs_and_the_units(shoot) -> None:
    later = split_shoot_at(shoot, at(14), a_person(), title="Second day")
    assert (later.title, later.room, later.photographer) == ("Second day", shoot.room, shoot.photographer)
    assert jobs(later) == jobs(shoot) == [("head", "K-03")]
    assert units(later) == units(shoot) == {"K-03", "K-04"}
    assert later.uid != shoot.uid


def test_a_split_raises_the_version_so_that_an_old_page_is_told(shoot) -> None:
    before = shoot.version
    split_shoot_at(shoot, at(14), a_person())
    shoot.refresh_from_db()
    assert shoot.version > before


def test_units_go_with_the_jobs_they_do(shoot) -> None:
    other = split_shoot_off(shoot, ["k-03"], a_person(), title="B unit")
    assert (jobs(shoot), jobs(other)) == ([], [("head", "K-03")])
    assert (units(shoot), units(other)) == ({"K-04"}, {"K-03"})


def test_what_came_with_a_kit_stays_with_it(shoot) -> None:
    from gear.kits.services import promise_kit
    from tests.gear.kits.sets import a_kit

    unit = a_unit(a_type(), tag="C-01")
    promise_kit(shoot.booking, a_kit(unit), a_person())
    with pytest.raises(Conflict, match="C-01 came with a kit"):
        split_shoot_off(shoot, ["C-01"], a_person())


def test_two_shoots_become_one_with_the_recipes_of_both() -> None:
    by, room, other_recipe = a_person(), a_room(), a_recipe()
    first = planned(start=10, end=14, room=room, by=by)
    second = planned(other_recipe, start=14, end=18, room=room, by=by, title="Second")
    a_unit(a_type(), tag="K-03")
    services.assign_unit(the_recipe(first), "Key", "head", 1, "K-03", by)
    services.assign_unit(the_recipe(second), "Key", "head", 1, "K-03", by)
    kept = merge_shoots(second, first, by)
    assert kept == first
    assert jobs(first) == [("head", "K-03"), ("head", "K-03")]
    booking = Booking.objects.get(pk=first.booking_id)
    assert (booking.starts_at, booking.ends_at) == (at(10), at(18))
    second.booking.refresh_from_db()
    assert second.booking.state == "cancelled"
    assert jobs(second) == [("head", "K-03")]


def test_what_was_split_and_is_merged_has_each_recipe_once(shoot) -> None:
    later = split_shoot_at(shoot, at(14), a_person())
    merge_shoots(shoot, later, a_person())
    assert jobs(shoot) == [("head", "K-03")]


@pytest.mark.parametrize("differs", ["room", "photographer"])
def test_shoots_of_two_rooms_or_two_photographers_are_not_merged(differs: str) -> None:
    by, room = a_person(), a_room()
    first = planned(start=10, end=14, room=room, by=by, photographer=by)
    second = planned(
        start=14,
        end=18,
        by=by,
        room=a_room() if differs == "room" else room,
        photographer=a_person("photographer") if differs == "photographer" else by,
    )
    with pytest.raises(Conflict, match=r"Move one of them|one photographer"):
        merge_shoots(first, second, by)


def test_a_photographer_parts_their_own_shoots_only(shoot) -> None:
    with pytest.raises(NotAllowed):
        split_shoot_at(shoot, at(14), a_person("photographer"))


def test_the_page_splits_and_says_what_is_wrong_beside_what_was_typed(shoot, signed_in) -> None:
    client, address = signed_in("manager"), reverse("shoots:part", args=[shoot.pk])
    shoot.refresh_from_db()
    assert client.get(address).status_code == 200
    refused = client.post(address, {"act": "at", "at": "2020-01-01T10:00", "version": shoot.version})
    assert refused.status_code == 422
    assert "can only be split between" in refused.content.decode()
    assert 'value="2020-01-01T10:00"' in refused.content.decode()
    done = client.post(address, {"act": "at", "at": at(14).isoformat(), "title": "Later"})
    assert done.status_code == 302


def test_an_old_page_does_not_split(shoot, signed_in) -> None:
    address = reverse("shoots:part", args=[shoot.pk])
    answer = signed_in("manager").post(address, {"act": "at", "at": at(14).isoformat(), "version": "1"})
    assert answer.status_code == 412


def test_the_page_splits_units_off_merges_and_shifts(shoot, signed_in) -> None:
    client, address = signed_in("manager"), reverse("shoots:part", args=[shoot.pk])
    assert client.post(address, {"act": "off", "unit": ["K-04"]}).status_code == 302
    later = split_shoot_at(shoot, at(14), client.person)
    assert client.post(address, {"act": "merge", "with": later.pk}).status_code == 302
    assert client.post(address, {"act": "shift", "shoot": [shoot.pk], "minutes": "-30"}).status_code == 302
    shoot.booking.refresh_from_db()
    assert shoot.booking.starts_at == at(9.5)


def test_over_the_api_a_shoot_is_split_and_merged(shoot, api) -> None:
    made = api.post(f"/api/shoots/{shoot.pk}/split", {"at": at(14).isoformat(), "title": "Later"})
    assert made.status_code == 201, made.data
    assert {unit["unit"] for unit in made.json()["units"]} == {"K-03", "K-04"}
    kept = api.post(f"/api/shoots/{shoot.pk}/merge", {"with": made.json()["id"]})
    assert kept.status_code == 200, kept.data
    assert kept.json()["ends"] == at(20).isoformat().replace("+00:00", "Z")
    off = api.post(f"/api/shoots/{shoot.pk}/split", {"units": ["K-04"]})
    assert [unit["unit"] for unit in off.json()["units"]] == ["K-04"]


@pytest.mark.parametrize("body", [{}, {"at": "2027-01-01T10:00", "units": ["K-03"]}])
def test_over_the_api_it_is_said_how_to_split(shoot, api, body) -> None:
    assert api.post(f"/api/shoots/{shoot.pk}/split", body).status_code == 422


def test_a_chain_of_shoots_back_to_back_shifts_in_one_step(api) -> None:
    by, unit = a_person(), a_unit(a_type(), tag="K-03")
    chain = [planned(start=hour, end=hour + 2, by=by, title=f"{hour}") for hour in (10, 12, 14)]
    for shoot in chain:
        services.add_extra_unit(shoot, unit.tag, by)
    assert [one.pk for one in chain_of(chain[0])] == [shoot.pk for shoot in chain]
    alone = api.post("/api/shoots/shift", {"shoots": [chain[0].pk], "minutes": 60})
    assert alone.status_code == 409
    shifted = api.post("/api/shoots/shift", {"shoots": [s.pk for s in chain], "minutes": 60})
    assert shifted.status_code == 200, shifted.data
    assert [Booking.objects.get(shoot=s).starts_at - at(0) for s in chain] == [
        timedelta(hours=hour) for hour in (11, 13, 15)
    ]
