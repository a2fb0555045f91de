from __future__ import annotations

import pytest

from gear.errors import Invalid, NotAllowed
from studio.shoots import services
from tests.builders import a_person, a_recipe, a_room
from tests.gear.booking.times import at, between
from tests.studio.shoots.plans import planned

pytestmark = pytest.mark.django_db


def test_a_shoot_has_a_period_a_room_and_recipes_in_order() -> None:
    first, second = a_recipe(), a_recipe()
    shoot = planned(first, second)
    assert [r.revision.recipe for r in shoot.recipes.order_by("position")] == [first, second]
    assert (shoot.booking.starts_at, shoot.booking.ends_at) == (at(10), at(14))
    assert shoot.booking.state == "hold"


def test_wall_times_are_those_of_the_rooms_place() -> None:
    shoot = planned()
    assert shoot.booking.zone == "Europe/Paris"


def test_a_photographer_plans_a_shoot_of_their_own() -> None:
    photographer = a_person("photographer")
    assert planned(by=photographer).photographer == photographer


def test_a_photographer_does_not_plan_for_another() -> None:
    with pytest.raises(NotAllowed, match="shoots of your own"):
        planned(by=a_person("photographer"), photographer=a_person("photographer"))


def test_a_photographer_does_not_confirm() -> None:
    with pytest.raises(NotAllowed, match="Only the studio manager confirms"):
        planned(by=a_person("photographer"), state="confirmed")


def test_an_assistant_does_not_plan() -> None:
    with pytest.raises(NotAllowed):
        planned(by=a_person("assistant"))


def test_an_assistant_is_no_photographer() -> None:
    with pytest.raises(Invalid, match="is an assistant here"):
        planned(photographer=a_person("assistant"))


def test_a_shoot_needs_a_title() -> None:
    with pytest.raises(Invalid, match="title"):
        services.plan_shoot(" ", a_room(), between(10, 12, "Europe/Paris"), None, a_person())
