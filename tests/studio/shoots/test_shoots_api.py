from __future__ import annotations

import pytest
from rest_framework.test import APIClient

from studio.shoots import services
from tests.builders import a_person, a_recipe, a_room, a_unit
from tests.gear.booking.times import a_type
from tests.studio.shoots.plans import planned, the_recipe

pytestmark = pytest.mark.django_db


def client(person) -> APIClient:
    api = APIClient()
    api.force_authenticate(person)
    return api


@pytest.fixture
def manager():
    return a_person()


@pytest.fixture
def api(manager):
    return client(manager)


def test_a_shoot_is_planned_read_and_listed(api) -> None:
    room, recipe = a_room(), a_recipe()
    made = api.post(
        "/api/shoots/",
        {
            "title": "Portraits",
            "room": room.pk,
            "starts": "2027-05-12T09:00:31",
            "ends": "2027-05-12T14:00",
            "recipes": [recipe.pk],
        },
    )
    assert made.status_code == 201, made.data
    read = api.get(f"/api/shoots/{made.data['id']}/")
    assert read.data == made.data
    assert (read.data["starts_wall"], read.data["zone"]) == ("2027-05-12T09:00", "Europe/Paris")
    assert read.data["starts"] == "2027-05-12T07:00:00Z"
    assert [r["title"] for r in read.data["recipes"]] == [recipe.title]
    assert [line["id"] for line in api.get("/api/shoots/").data["results"]] == [made.data["id"]]


def test_writing_back_what_was_read_changes_nothing(api) -> None:
    shoot = planned()
    read = api.get(f"/api/shoots/{shoot.pk}/")
    written = api.patch(f"/api/shoots/{shoot.pk}/", read.json(), headers={"If-Match": read.headers["ETag"]})
    assert written.status_code == 200
    assert written.data == read.data
    assert written.headers["ETag"] == read.headers["ETag"]


def test_travel_is_changed_and_what_is_left_out_stays(api) -> None:
    address = f"/api/shoots/{planned().pk}/"
    first = api.patch(address, {"travels_by_air": True, "travellers": 2}, headers={"If-Match": "*"})
    assert (first.data["travels_by_air"], first.data["travellers"]) == (True, 2)
    second = api.patch(address, {"travels_by_air": False}, headers={"If-Match": "*"})
    assert (second.data["travels_by_air"], second.data["travellers"]) == (False, 2)


def test_a_change_made_from_an_old_version_gets_412(api) -> None:
    shoot = planned()
    first = {"If-Match": f'"{shoot.version}"'}
    assert api.patch(f"/api/shoots/{shoot.pk}/", {"title": "B"}, headers=first).status_code == 200
    late = api.patch(f"/api/shoots/{shoot.pk}/", {"title": "C"}, headers=first)
    assert (late.status_code, late.data["code"]) == (412, "stale")
    shoot.refresh_from_db()
    assert shoot.title == "B"


def test_a_change_that_does_not_say_its_version_gets_428(api) -> None:
    refused = api.patch(f"/api/shoots/{planned().pk}/", {"title": "C"})
    assert (refused.status_code, refused.data["code"]) == (428, "say-which-version")


def test_a_unit_gets_a_job_once_and_the_next_shoot_a_409_with_ways_out(api) -> None:
    kind = a_type()
    a_unit(kind, tag="K-03")
    a_unit(kind, tag="K-05")
    body = {"unit": "K-03", "recipe": 1, "light": "Key", "job": "head"}
    first = api.post(f"/api/shoots/{planned(title='Dancers').pk}/units", body)
    assert first.status_code == 201
    assert first.data["unit"] == "K-03"
    second = api.post(f"/api/shoots/{planned().pk}/units", body)
    assert second.status_code == 409
    assert second.data["code"] == "unit-taken"
    assert "“Dancers”" in second.data["sentence"]
    assert second.data["ways_out"][0].startswith("Take K-05")


def test_a_unit_without_a_job_is_an_extra(api) -> None:
    shoot = planned()
    a_unit(tag="K-03")
    assert api.post(f"/api/shoots/{shoot.pk}/units", {"unit": "K-03", "recipe": None}).status_code == 201
    assert [u["unit"] for u in api.get(f"/api/shoots/{shoot.pk}/").data["units"]] == ["K-03"]
    assert api.delete(f"/api/shoots/{shoot.pk}/units", {"unit": "K-03"}).status_code == 204
    assert api.get(f"/api/shoots/{shoot.pk}/").data["units"] == []


def test_a_unit_is_taken_off_its_job_and_repeating_that_is_no_error(api, manager) -> None:
    shoot = planned()
    a_unit(tag="K-03")
    services.assign_unit(the_recipe(shoot), "Key", "head", 1, "K-03", manager)
    body = {"unit": "K-03", "recipe": 1, "light": "Key", "job": "head"}
    assert api.delete(f"/api/shoots/{shoot.pk}/units", body).status_code == 204
    assert api.delete(f"/api/shoots/{shoot.pk}/units", body).status_code == 204
    assert not shoot.booking.allocations.exists()


def test_confirm_cancel_and_take_up_again(api) -> None:
    shoot = planned()
    for verb, state in (("confirm", "confirmed"), ("cancel", "cancelled"), ("uncancel", "hold")):
        answer = api.post(f"/api/shoots/{shoot.pk}/{verb}")
        assert (answer.status_code, answer.data["state"]) == (200, state)


def test_cancelling_twice_gives_the_same_answer(api) -> None:
    shoot = planned()
    first = api.post(f"/api/shoots/{shoot.pk}/cancel")
    assert api.post(f"/api/shoots/{shoot.pk}/cancel").data == first.data


def test_a_photographer_gets_403_for_confirming() -> None:
    photographer = a_person("photographer")
    shoot = planned(by=photographer)
    refused = client(photographer).post(f"/api/shoots/{shoot.pk}/confirm")
    assert refused.status_code == 403
    assert "Only the studio manager" in refused.data["sentence"]


def test_an_assistant_reads_but_does_not_change() -> None:
    shoot = planned()
    api = client(a_person("assistant"))
    assert api.get(f"/api/shoots/{shoot.pk}/").status_code == 200
    assert api.patch(f"/api/shoots/{shoot.pk}/", {"title": "X"}).status_code == 403
    assert api.post("/api/shoots/", {}).status_code == 403


def test_a_stranger_reads_nothing() -> None:
    assert APIClient().get("/api/shoots/").status_code in (401, 403)


def test_moving_into_another_booking_gets_409_and_moves_nothing(api, manager) -> None:
    shoot, other = planned(), planned(start=20, end=22, title="Evening")
    a_unit(a_type(), tag="K-03")
    for one in (shoot, other):
        services.assign_unit(the_recipe(one), "Key", "head", 1, "K-03", manager)
    before = api.get(f"/api/shoots/{shoot.pk}/").data
    refused = api.post(
        f"/api/shoots/{shoot.pk}/move",
        {"starts": before["starts"], "ends": other.booking.ends_at.isoformat()},
    )
    assert refused.status_code == 409
    assert any(way.startswith("End by") for way in refused.data["ways_out"])
    assert api.get(f"/api/shoots/{shoot.pk}/").data == before


def test_a_time_that_does_not_exist_gets_422_with_the_next_one(api) -> None:
    refused = api.post(
        f"/api/shoots/{planned().pk}/move", {"starts": "2027-03-28T02:30", "ends": "2027-03-28T12:00"}
    )
    assert (refused.status_code, refused.data["code"]) == (422, "no-such-time")
    assert refused.data["ways_out"] == ["2027-03-28T03:30"]


def test_a_time_that_happens_twice_means_the_first_unless_told(api) -> None:
    shoot = planned()
    body = {"starts": "2027-10-31T02:30", "ends": "2027-10-31T12:00"}
    assert api.post(f"/api/shoots/{shoot.pk}/move", body).data["starts"] == "2027-10-31T00:30:00Z"
    second = api.post(f"/api/shoots/{shoot.pk}/move", {**body, "starts_second": True})
    assert second.data["starts"] == "2027-10-31T01:30:00Z"


@pytest.mark.parametrize(
    ("body", "where"),
    [
        ({"ends": "2027-01-01T10:00"}, "ends"),
        ({"starts": "0001-01-01T00:00"}, "starts"),
        ({"ends": "infinity"}, "ends"),
        ({"starts": "2027-01-01T10:00", "ends": "2050-01-01T10:00"}, "ends"),
        ({"title": ""}, "title"),
        ({"title": "a\x00b"}, "title"),
        ({"titel": "A"}, "titel"),
        ({"room": 4711}, "room"),
        ({"photographer": "nobody"}, "photographer"),
        ({"travellers": 0}, "travellers"),
        ({"travellers": 101}, "travellers"),
    ],
)
def test_bad_input_names_its_field(api, body, where) -> None:
    address = f"/api/shoots/{planned(start=3000, end=3010).pk}/"
    refused = api.patch(address, body, headers={"If-Match": "*"})
    assert refused.status_code == 422, refused.data
    assert where in [problem["where"] for problem in refused.data["problems"]]


def test_no_length_is_refused(api) -> None:
    refused = api.post(
        f"/api/shoots/{planned().pk}/move", {"starts": "2027-05-12T09:00:01", "ends": "2027-05-12T09:00:59"}
    )
    assert refused.status_code == 422
    assert "no length" in refused.data["sentence"]


def test_free_units_are_asked_by_kind_or_type(api) -> None:
    unit = a_unit(a_type(), tag="K-03")
    when = {"starts": "2027-05-12T09:00", "ends": "2027-05-12T14:00", "zone": "Europe/Paris"}
    by_kind = api.get("/api/free-units", {**when, "kind": "strobe"})
    assert [one["tag"] for one in by_kind.data["units"]] == ["K-03"]
    by_type = api.get("/api/free-units", {**when, "type": unit.gear_type.slug})
    assert [one["tag"] for one in by_type.data["units"]] == ["K-03"]
    assert api.get("/api/free-units", {**when, "kind": "unicorn"}).status_code == 422
    assert api.get("/api/free-units", when).status_code == 422


def test_the_list_takes_the_same_queries_for_fifty_shoots(api, django_assert_max_num_queries) -> None:
    manager, room, recipe = a_person(), a_room(), a_recipe()
    for number in range(50):
        planned(recipe, start=10 + number, end=11 + number, by=manager, room=room)
    with django_assert_max_num_queries(6):
        assert api.get("/api/shoots/").data["count"] == 50
