"""What a setup is told of the shoot itself and of what happens beside it and after it."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.db.models import F
from django.urls import reverse

from gear.booking.models import Booking
from gear.inventory.models import Unit
from studio.places.models import RoomWindow
from studio.readiness.queries import readiness_of
from studio.readiness.services import check_shoots
from studio.shoots.models import Shoot
from studio.shoots.services import Changes, add_extra_unit, assign_unit, edit_shoot
from tests.builders import a_gear_type, a_person, a_unit
from tests.studio.readiness.plans import a_checked_shoot, is_stale, state_of
from tests.studio.shoots.plans import planned, the_recipe

pytestmark = pytest.mark.django_db


def a_battery(tag: str, capacity_wh: float = 130.0) -> Unit:
    spec = {"fit": "rail-48", "capacity_wh": capacity_wh, "charge_hours": 2.0}
    return a_unit(a_gear_type("battery", spec), tag=tag)


def with_a_battery(shoot: Shoot, tag: str = "V-01", **more: Any) -> Shoot:
    assign_unit(the_recipe(shoot), "Key", "battery", 1, a_battery(tag, **more).tag, a_person())
    return shoot


def findings(shoot: Shoot, check: str) -> list[dict[str, Any]]:
    check_shoots([shoot])
    return [one for one in state_of(shoot).findings if one["check"] == check]


def test_a_shoot_on_the_ground_says_nothing_of_flying() -> None:
    assert findings(with_a_battery(a_checked_shoot()), "air-travel") == []


def test_a_shoot_by_air_holds_its_batteries_to_the_rules_on_the_page(signed_in: Any) -> None:
    manager = a_person()
    shoot = with_a_battery(a_checked_shoot(by=manager))
    for number in (2, 3, 4):
        add_extra_unit(shoot, a_battery(f"V-0{number}").tag, manager)
    shoot.refresh_from_db()
    edit_shoot(shoot, Changes(travels_by_air=True, travellers=1), manager)
    check_shoots([shoot])
    text = signed_in("manager").get(reverse("readiness:shoot", args=[shoot.pk])).content.decode()
    # Three spares of 130 Wh against two a person: IATA DGR table 2.3.A.
    assert "2 are the most for 1 travelling" in text
    edit_shoot(shoot, Changes(travellers=2), manager)
    assert is_stale(shoot)
    gaps = [one for one in findings(shoot, "air-travel") if one["status"] == "gap"]
    assert gaps == []


def test_the_channel_of_a_shoot_next_door_at_the_same_time_is_seen() -> None:
    manager = a_person()
    room = a_checked_shoot(by=manager).room
    trigger = {"radio": ["northlight"], "channels": 16}
    sheet = a_gear_type("trigger", trigger)
    ours, theirs, later = (
        planned(by=manager, room=room, title=title, start=start, end=start + 4)
        for title, start in (("Ours", 34), ("Theirs", 35), ("Later", 40))
    )
    for number, shoot in enumerate((ours, theirs, later)):
        unit = a_unit(sheet, tag=f"X-0{number}", radio_channel=5)
        assign_unit(the_recipe(shoot), "", "trigger", 1, unit.tag, manager)
    assert state_of(ours).setup.channels_in_the_building == (("northlight", 5, "Theirs"),)


def test_batteries_that_go_again_the_same_day_have_the_hours_between() -> None:
    manager = a_person()
    shoot = with_a_battery(a_checked_shoot(by=manager, start=10, end=14))
    assert state_of(shoot).setup.hours_until_next_shoot is None
    after = planned(by=manager, room=shoot.room, start=17, end=20)
    add_extra_unit(after, "V-01", manager)
    assert state_of(shoot).setup.hours_until_next_shoot == pytest.approx(3.0)
    (finding,) = findings(shoot, "charging")
    assert finding["missing"] == "a charger"
    charger = a_unit(a_gear_type("charger", {"fits": ["rail-48"], "slots": 1}), tag="H-01")
    add_extra_unit(shoot, charger.tag, manager)
    (finding,) = findings(shoot, "charging")
    assert (finding["status"], finding["limit"]) == ("ok", pytest.approx(3.0))


@pytest.mark.parametrize(
    "change",
    [
        lambda shoot: Shoot.objects.filter(pk=shoot.pk).update(travels_by_air=True),
        lambda shoot: Shoot.objects.filter(pk=shoot.pk).update(travellers=3),
    ],
)
def test_travel_is_an_input(change: Any) -> None:
    shoot = a_checked_shoot()
    change(shoot)
    assert is_stale(shoot)


def test_the_page_draws_the_sun_on_the_floor_and_says_it_in_words(signed_in: Any) -> None:
    shoot = a_checked_shoot(start=10, end=14)
    RoomWindow.objects.create(
        room=shoot.room, name="South window", wall="far", offset_m=1.0, sill_m=0.5, width_m=4.0, height_m=2.5
    )
    shoot.room.north_deg = 0.0
    shoot.room.save()
    (one,) = readiness_of([shoot])[shoot.pk]
    assert one.setup.room.windows
    page = signed_in("assistant").get(reverse("readiness:shoot", args=[shoot.pk])).content.decode()
    assert page.count('<polygon class="sun"') == 5
    assert f"Sun on the floor, {shoot.booking.starts_wall[-5:]}" in page
    assert "through South window" in page
    Booking.objects.filter(pk=shoot.booking_id).update(
        starts_at=F("starts_at") + timedelta(hours=10), ends_at=F("ends_at") + timedelta(hours=8)
    )
    night = signed_in("assistant").get(reverse("readiness:shoot", args=[shoot.pk])).content.decode()
    assert '<polygon class="sun"' not in night
    assert "The sun does not reach the floor" in night
