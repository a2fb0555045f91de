from __future__ import annotations

import pytest

from gear.errors import NotAllowed
from studio.shoots import services
from studio.shoots.suggesting import suggest_units
from tests.builders import a_gear_type, a_person, a_recipe, a_unit
from tests.gear.booking.times import a_type
from tests.studio.shoots.plans import a_camera, a_stand, planned, the_recipe

pytestmark = pytest.mark.django_db


@pytest.fixture
def manager():
    return a_person()


def filled(shoot) -> dict[str, str]:
    return {a.job: a.unit.tag for a in the_recipe(shoot).assignments.select_related("unit")}


def test_empty_jobs_are_filled_with_what_is_free_and_promised(manager) -> None:
    shoot = planned()
    a_unit(a_type(), tag="K-03")
    a_camera(tag="CAM-1")
    a_stand(tag="ST-01")
    suggest_units(shoot, manager)
    assert filled(shoot) == {"head": "K-03", "camera": "CAM-1", "stand": "ST-01"}
    assert shoot.booking.allocations.filter(active=True).count() == 3


def test_a_battery_head_gets_the_battery_that_fits(manager) -> None:
    shoot = planned()
    a_unit(a_type(), tag="K-03")
    a_unit(a_gear_type("battery", {"fit": "clip-20", "capacity_wh": 60}), tag="A-01")
    a_unit(a_gear_type("battery", {"fit": "rail-48", "capacity_wh": 144}), tag="B-01")
    suggest_units(shoot, manager)
    assert filled(shoot)["battery"] == "B-01"


def test_what_does_not_fit_is_left_out(manager) -> None:
    shoot = planned()
    a_stand(max_height_m=1.5)
    suggest_units(shoot, manager)
    assert "stand" not in filled(shoot)


def test_what_others_have_is_not_suggested(manager) -> None:
    a_unit(a_type(), tag="K-03")
    services.assign_unit(the_recipe(planned()), "Key", "head", 1, "K-03", manager)
    shoot = planned()
    assert suggest_units(shoot, manager) == []


def test_jobs_that_are_filled_stay_as_they_are(manager) -> None:
    shoot = planned()
    a_unit(a_type(), tag="K-01")
    a_unit(a_type(), tag="K-09")
    services.assign_unit(the_recipe(shoot), "Key", "head", 1, "K-09", manager)
    suggest_units(shoot, manager)
    assert filled(shoot)["head"] == "K-09"


def test_the_next_recipe_uses_the_same_unit_for_the_same_job(manager) -> None:
    shoot = planned(a_recipe(), a_recipe())
    a_unit(a_type(), tag="K-01")
    a_unit(a_type(), tag="K-09")
    services.assign_unit(the_recipe(shoot), "Key", "head", 1, "K-09", manager)
    suggest_units(shoot, manager)
    second = shoot.recipes.get(position=2).assignments.get(job="head")
    assert second.unit.tag == "K-09"


def test_asking_again_changes_nothing(manager) -> None:
    shoot = planned()
    a_unit(a_type())
    suggest_units(shoot, manager)
    assert suggest_units(shoot, manager) == []


def test_an_assistant_does_not_suggest() -> None:
    with pytest.raises(NotAllowed):
        suggest_units(planned(), a_person("assistant"))
