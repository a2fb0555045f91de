from __future__ import annotations

import pytest
from rest_framework.test import APIClient

from studio.places.models import Place, Room, RoomWindow
from tests.builders import a_person, a_room

pytestmark = pytest.mark.django_db

ROOM = {
    "name": "Car hall",
    "width_m": "9",
    "depth_m": "12",
    "height_m": "5.2",
    "mark_x_m": "4.2",
    "mark_y_m": "4",
    "wall_reflectance": "0.5",
    "floor_reflectance": "0.2",
    "ceiling_reflectance": "0.7",
    "north_deg": "130",
    "windows-TOTAL_FORMS": "1",
    "windows-INITIAL_FORMS": "0",
    "windows-0-name": "Big window",
    "windows-0-wall": "left",
    "windows-0-offset_m": "1",
    "windows-0-sill_m": "0.6",
    "windows-0-width_m": "4",
    "windows-0-height_m": "3",
    "windows-0-transmittance": "0.8",
    "circuits-TOTAL_FORMS": "1",
    "circuits-INITIAL_FORMS": "0",
    "circuits-0-name": "A",
    "circuits-0-voltage_v": "230",
    "circuits-0-rated_a": "16",
    "circuits-0-breaker": "B",
    "circuits-0-sockets": "4",
}


def test_a_place_then_its_room_are_added_and_shown(signed_in) -> None:
    client = signed_in()
    place = {"name": "Tram depot", "zone": "Europe/Paris", "country": "FR", "altitude_m": "0"}
    assert client.post("/places/new", place).status_code == 302
    made = client.post(f"/places/{Place.objects.get().pk}/rooms/new", ROOM)
    room = Room.objects.get()
    assert made.headers["Location"] == f"/places/rooms/{room.pk}"
    page = client.get(f"/places/rooms/{room.pk}").content.decode()
    assert "<svg" in page
    assert "Big window" in page
    assert "16 A" in page
    assert "Car hall" in client.get("/places/").content.decode()


def test_a_room_is_changed_with_a_window_taken_away(signed_in) -> None:
    client, room = signed_in(), a_room()
    pane = RoomWindow.objects.create(
        room=room, name="Pane", wall="far", offset_m=1, sill_m=1, width_m=1, height_m=1
    )
    body = {**ROOM, "version": "1", "windows-INITIAL_FORMS": "1", "windows-0-id": pane.pk}
    body |= {"windows-0-DELETE": "on", "circuits-TOTAL_FORMS": "0"}
    assert client.post(f"/places/rooms/{room.pk}/edit", body).status_code == 302
    room.refresh_from_db()
    assert (room.name, room.version, room.windows.count()) == ("Car hall", 2, 0)


def test_a_mark_outside_the_room_is_refused_beside_its_field_and_keeps_what_was_typed(signed_in) -> None:
    client, room = signed_in(), a_room()
    refused = client.post(f"/places/rooms/{room.pk}/edit", {**ROOM, "mark_x_m": "40"})
    page = refused.content.decode()
    assert refused.status_code == 422
    assert "inside the room, 0 to 9 m" in page
    assert 'value="Big window"' in page
    room.refresh_from_db()
    assert room.name == "Hall"


def test_a_window_wider_than_its_wall_is_refused_beside_its_row(signed_in) -> None:
    refused = signed_in().post(
        f"/places/rooms/{a_room().pk}/edit", {**ROOM, "windows-0-width_m": "20", "version": "1"}
    )
    assert refused.status_code == 422
    assert "within the wall" in refused.content.decode()


def test_an_old_form_gets_412(signed_in) -> None:
    room = a_room(version=3)
    assert signed_in().post(f"/places/rooms/{room.pk}/edit", {**ROOM, "version": "2"}).status_code == 412


@pytest.mark.parametrize("role", ["photographer", "assistant"])
def test_others_read_and_do_not_change(signed_in, role) -> None:
    client, room = signed_in(role), a_room()
    assert client.get(f"/places/rooms/{room.pk}").status_code == 200
    assert client.post(f"/places/rooms/{room.pk}/edit", ROOM).status_code == 403
    assert client.get("/places/new").status_code == 403


def test_the_list_takes_few_queries_for_fifty_rooms(signed_in, django_assert_max_num_queries) -> None:
    client = signed_in()
    for _ in range(50):
        a_room()
    with django_assert_max_num_queries(15):
        assert client.get("/places/").status_code == 200


def test_reading_a_room_and_writing_it_back_changes_nothing() -> None:
    api, room = APIClient(), a_room()
    api.force_authenticate(a_person())
    read = api.get(f"/api/rooms/{room.pk}/")
    written = api.put(f"/api/rooms/{room.pk}/", read.data, headers={"If-Match": read.headers["ETag"]})
    assert written.status_code == 200, written.data
    assert (written.data, written.headers["ETag"]) == (read.data, read.headers["ETag"])


def test_rooms_and_places_over_the_api_refuse_by_field() -> None:
    api = APIClient()
    api.force_authenticate(a_person())
    place = api.post("/api/places/", {"name": "Tram depot", "zone": "Europe/Paris"})
    assert place.status_code == 201
    room = {"place": place.data["id"], "name": "Hall", "width_m": 6, "depth_m": 8, "height_m": 4}
    made = api.post("/api/rooms/", {**room, "mark_x_m": 3, "mark_y_m": 3})
    assert made.status_code == 201
    bad = api.post("/api/rooms/", {**room, "name": "B", "mark_x_m": 30, "mark_y_m": 3})
    assert (bad.status_code, bad.data["problems"][0]["where"]) == (422, "mark_x_m")
    late = api.put(f"/api/rooms/{made.data['id']}/", {**made.data, "version": 9}, headers={"If-Match": '"9"'})
    assert late.status_code == 412
    assert api.post("/api/places/", {"name": "B", "zone": "Moon/Base"}).status_code == 422
