"""The way from the store to a place is part of what a shoot blocks: units are on the road then."""

from __future__ import annotations

from datetime import timedelta

import pytest

from gear.booking.clashes import UnitTaken
from gear.booking.interval import period
from gear.booking.queries import free_units
from gear.booking.rules import use_of
from gear.booking.services import move_booking, promise_units
from studio.places.models import Place
from studio.shoots import services
from studio.shoots.models import Shoot
from studio.shoots.series_clashes import SeriesClashes
from studio.shoots.series_editing import edit_series
from studio.shoots.services import Changes
from studio.shoots.stocking import set_shoot_stock
from tests.builders import a_person, a_room, a_unit
from tests.gear.booking.times import a_type, at, between, booked
from tests.gear.stock.counted import an_item
from tests.studio.shoots.plans import planned
from tests.studio.shoots.series import PARIS, a_weekly, shoots_of, taken_on

pytestmark = pytest.mark.django_db


@pytest.fixture
def manager():
    return a_person()


@pytest.fixture
def head():
    return a_unit(a_type(prep=15, turnaround=30), tag="K-03")


def far_away(minutes: int = 60, zone: str = PARIS):
    place = Place.objects.create(name=f"Quarry, {minutes} min {zone}", zone=zone, travel_minutes=minutes)
    return a_room(place=place, name="Pit")


def a_shoot_of(head, manager, room=None, start: float = 10, end: float = 14) -> Shoot:
    shoot = planned(by=manager, room=room, start=start, end=end, state="confirmed")
    services.add_extra_unit(shoot, head.tag, manager)
    return shoot


def blocked(shoot: Shoot) -> tuple:
    there = shoot.booking.allocations.get().blocked
    return there.lower, there.upper


def test_the_way_there_and_back_is_blocked_beside_prep_and_turnaround(manager, head) -> None:
    shoot = a_shoot_of(head, manager, far_away(60))
    assert blocked(shoot) == (at(10 - 1 - 0.25), at(14 + 1 + 0.5))


def test_a_unit_on_the_road_is_not_free_and_it_is_said_that_the_way_is_counted(manager, head) -> None:
    booked(7.5, 8.5, head, title="Early")
    shoot = planned(by=manager, room=far_away(60), state="confirmed")
    with pytest.raises(UnitTaken, match="The way of 60 min, there and back, is counted in"):
        services.add_extra_unit(shoot, head.tag, manager)
    assert head not in free_units(use_of(shoot.booking))
    near = planned(by=manager, state="confirmed")
    assert head in free_units(use_of(near.booking))


def test_another_place_is_another_way(manager, head) -> None:
    shoot = a_shoot_of(head, manager)
    moved = services.edit_shoot(shoot, Changes(room=far_away(90)), manager)
    assert moved.booking.travel_minutes == 90
    assert blocked(moved) == (at(10 - 1.5 - 0.25), at(14 + 1.5 + 0.5))
    back = services.edit_shoot(moved, Changes(room=a_room()), manager)
    assert blocked(back) == (at(9.75), at(14.5))


def test_a_place_that_makes_units_clash_is_refused_with_every_one_of_them(manager, head) -> None:
    other = a_unit(a_type(), tag="S-07")
    shoot = a_shoot_of(head, manager)
    services.add_extra_unit(shoot, other.tag, manager)
    booked(7, 8.5, head, title="Early")
    booked(15, 16, other, title="Late")
    with pytest.raises(UnitTaken) as refused:
        services.edit_shoot(shoot, Changes(room=far_away(90), notes="further out"), manager)
    assert "K-03" in refused.value.sentence
    assert "“Early”" in refused.value.sentence
    assert "S-07" in refused.value.sentence
    assert "“Late”" in refused.value.sentence
    shoot.refresh_from_db()
    assert (shoot.notes, blocked_of(shoot, head)) == ("", (at(9.75), at(14.5)))


def blocked_of(shoot: Shoot, unit) -> tuple:
    there = shoot.booking.allocations.get(unit=unit).blocked
    return there.lower, there.upper


def test_the_latest_end_on_offer_leaves_time_for_the_way_back(manager, head) -> None:
    booked(15.5, 17, head, title="Late")
    shoot = planned(by=manager, room=far_away(60), state="confirmed")
    with pytest.raises(UnitTaken) as refused:
        promise_units(shoot.booking, [head.pk], manager)
    # Late is prepared from 15:15; half an hour of turnaround and an hour of road before that: 13:45.
    end = next(way for way in refused.value.ways_out if way.startswith("End by"))
    clock = end.rstrip(".").rpartition(" ")[2]
    services.move_shoot(shoot, between(10, 13.75, PARIS), manager)
    shoot.booking.refresh_from_db()
    assert shoot.booking.ends_wall.endswith(clock)
    assert promise_units(shoot.booking, [head.pk], manager)


def test_counted_things_are_on_the_road_too(manager) -> None:
    item = an_item(10)
    shoot = planned(by=manager, room=far_away(60), state="confirmed")
    set_shoot_stock(shoot, item.pk, 4, manager)
    there = shoot.booking.stock_promises.get().blocked
    assert (there.lower, there.upper) == (at(9), at(15))


def test_a_place_found_to_be_further_away_leaves_planned_shoots_until_somebody_asks(manager, head) -> None:
    room = far_away(60)
    shoot = a_shoot_of(head, manager, room)
    Place.objects.filter(pk=room.place_id).update(travel_minutes=120)
    edited = services.edit_shoot(shoot, Changes(title="Still an hour"), manager)
    assert edited.booking.travel_minutes == 60
    again = services.edit_shoot(edited, Changes(travel_anew=True), manager)
    assert blocked(again) == (at(10 - 2 - 0.25), at(14 + 2 + 0.5))


def test_the_page_says_the_way_and_offers_the_one_that_the_place_has_now(signed_in, head) -> None:
    client = signed_in()
    room = far_away(60)
    shoot = a_shoot_of(head, client.person, room)
    assert "60 min from the store" in client.get(f"/shoots/{shoot.pk}").content.decode()
    Place.objects.filter(pk=room.place_id).update(travel_minutes=120)
    page = client.get(f"/shoots/{shoot.pk}").content.decode()
    assert "now 120 min" in page
    shoot.refresh_from_db()
    client.post(f"/shoots/{shoot.pk}/travel", {"version": shoot.version})
    shoot.booking.refresh_from_db()
    assert shoot.booking.travel_minutes == 120


def test_a_cancelled_shoot_at_another_place_blocks_the_other_way_when_it_is_taken_up_again(
    manager, head
) -> None:
    shoot = services.cancel_shoot(a_shoot_of(head, manager), manager)
    services.edit_shoot(shoot, Changes(room=far_away(60)), manager)
    again = services.uncancel_shoot(shoot, manager)
    assert blocked(again) == (at(8.75), at(15.5))


def test_a_series_that_goes_elsewhere_lists_the_days_that_the_way_makes_clash(manager, head) -> None:
    series = a_weekly(head, by=manager, count=3)
    second = shoots_of(series)[1]
    evening = taken_on(second.booking.occurrence.day, title="Evening")
    services_move_to_afternoon(evening, second)
    promise_units(evening, [head.pk], manager)
    with pytest.raises(SeriesClashes) as refused:
        edit_series(second, Changes(room=far_away(90)), manager, "all")
    assert [clash.day for clash in refused.value.clashes] == [second.booking.occurrence.day]
    done = edit_series(second, Changes(room=far_away(91)), manager, "all", leave_out=True)
    assert done.reached == 2
    assert [s.booking.travel_minutes for s in shoots_of(series)] == [91, 0, 91]
    assert [s.room.name for s in shoots_of(series)] == ["Pit", "Hall", "Pit"]


def services_move_to_afternoon(evening, second) -> None:
    """From an hour after the shoot's end, so that only the way reaches it."""
    day = second.booking.occurrence.day
    move_booking(evening, period(f"{day}T14:00", f"{day}T16:00", PARIS), None)


def test_the_way_is_part_of_a_place_on_its_form_and_over_the_api(signed_in) -> None:
    client = signed_in()
    body = {"name": "Quarry", "zone": PARIS, "travel_minutes": 75}
    made = client.post("/api/places/", body, content_type="application/json")
    assert made.json()["travel_minutes"] == 75
    assert "Travel from the store, min" in client.get(f"/places/{made.json()['id']}/edit").content.decode()
    far = client.post(
        "/api/places/", {**body, "name": "Moon", "travel_minutes": 99999}, content_type="application/json"
    )
    assert far.status_code == 422


def test_a_change_of_an_hour_is_elapsed_time(manager, head) -> None:
    shoot = a_shoot_of(head, manager, far_away(60))
    lower, upper = blocked(shoot)
    assert upper - lower == timedelta(hours=4 + 2, minutes=45)
