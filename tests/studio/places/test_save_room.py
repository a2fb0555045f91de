from __future__ import annotations

from dataclasses import replace

import pytest

from gear.errors import Conflict, Invalid, NotAllowed, StaleEdit
from studio.places import services
from studio.places.entries import CircuitEntry, PlaceEntry, RoomEntry, WindowEntry
from studio.places.models import Place
from tests.builders import a_person, a_room, a_shoot

pytestmark = pytest.mark.django_db

WINDOW = WindowEntry("Big window", "left", 1.0, 0.6, 4.0, 3.0)
HALL = RoomEntry("Car hall", 9.0, 12.0, 5.2, 4.2, 4.0, windows=(WINDOW,), circuits=(CircuitEntry("A"),))


@pytest.fixture
def manager():
    return a_person()


@pytest.fixture
def place(manager):
    return services.add_place(PlaceEntry("Tram depot", "Europe/Paris", "fr"), manager)


def test_a_room_is_saved_with_its_windows_and_circuits(place, manager) -> None:
    room = services.add_room(place, HALL, manager)
    assert [w.name for w in room.windows.all()] == ["Big window"]
    assert [c.name for c in room.circuits.all()] == ["A"]


def test_a_country_is_kept_in_capital_letters(place) -> None:
    assert place.country == "FR"


def test_writing_a_room_anew_replaces_what_it_had(place, manager) -> None:
    room = services.add_room(place, HALL, manager)
    changed = services.change_room(room, replace(HALL, windows=(), width_m=8.0), manager, version=1)
    assert (changed.width_m, changed.version, changed.windows.count()) == (8.0, 2, 0)


def test_the_second_of_two_editors_overwrites_nothing(place, manager) -> None:
    room = services.add_room(place, HALL, manager)
    services.change_room(room, replace(HALL, width_m=8.0), manager, version=1)
    with pytest.raises(StaleEdit):
        services.change_room(room, replace(HALL, width_m=7.0), manager, version=1)


@pytest.mark.parametrize("role", ["photographer", "assistant"])
def test_only_the_manager_changes_rooms(place, role) -> None:
    with pytest.raises(NotAllowed):
        services.add_room(place, HALL, a_person(role))


@pytest.mark.parametrize(
    ("entry", "where"),
    [
        (replace(HALL, mark_x_m=9.5), "mark_x_m"),
        (replace(HALL, mark_y_m=-1.0), "mark_y_m"),
        (replace(HALL, beam_height_m=6.0), "beam_height_m"),
        (replace(HALL, width_m=0.0), "width_m"),
        (replace(HALL, name=""), "name"),
        (replace(HALL, wall_reflectance=1.5), "wall_reflectance"),
        (replace(HALL, windows=(replace(WINDOW, offset_m=9.0),)), "windows.0.offset_m"),
        (replace(HALL, windows=(replace(WINDOW, height_m=5.0),)), "windows.0.sill_m"),
        (replace(HALL, windows=(replace(WINDOW, wall="attic"),)), "windows.0.wall"),
        (replace(HALL, windows=(WINDOW, WINDOW)), "windows.1.name"),
        (replace(HALL, circuits=(CircuitEntry("A"), CircuitEntry("A"))), "circuits.1.name"),
        (replace(HALL, circuits=(CircuitEntry("A", rated_a=0),)), "circuits.0.rated_a"),
    ],
)
def test_what_does_not_fit_together_is_refused_field_by_field(place, manager, entry, where) -> None:
    with pytest.raises(Invalid) as refused:
        services.add_room(place, entry, manager)
    assert where in [problem.where for problem in refused.value.problems]
    assert not place.rooms.exists()


def test_a_pane_may_fill_its_wall(place, manager) -> None:
    full = WindowEntry("Glass front", "far", 0.0, 0.0, 9.0, 5.2)
    assert services.add_room(place, replace(HALL, windows=(full,)), manager).windows.count() == 1


def test_a_second_room_of_the_same_name_is_refused(place, manager) -> None:
    services.add_room(place, HALL, manager)
    with pytest.raises(Invalid):
        services.add_room(place, HALL, manager)


def test_an_unknown_zone_is_refused(manager) -> None:
    with pytest.raises(Invalid, match="no time zone"):
        services.add_place(PlaceEntry("Elsewhere", "Europe/Nowhere"), manager)
    assert not Place.objects.exists()


def test_a_room_that_shoots_were_planned_in_is_not_removed(manager) -> None:
    room = a_shoot().room
    with pytest.raises(Conflict, match="shoots were planned in it"):
        services.remove_room(room, manager)


def test_a_change_of_a_room_is_announced(manager, monkeypatch, django_capture_on_commit_callbacks) -> None:
    heard = []
    monkeypatch.setattr("gear.changes._writers", [heard.extend])
    room = a_room()
    with django_capture_on_commit_callbacks(execute=True):
        services.change_room(room, HALL, manager)
    assert [(change.topic, change.ids) for change in heard] == [("room", (room.pk,))]
