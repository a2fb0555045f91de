from __future__ import annotations

import pytest

from gear.booking.clashes import UnitTaken
from gear.errors import Conflict, Invalid, NotAllowed, StaleEdit
from recipes.records.models import Revision
from studio.shoots import services
from studio.shoots.services import Changes
from tests.builders import a_look, a_person, a_recipe, a_room, a_unit
from tests.gear.booking.times import a_type, at, between
from tests.studio.shoots.plans import planned, the_recipe

pytestmark = pytest.mark.django_db


@pytest.fixture
def manager():
    return a_person()


def test_a_new_title_is_the_bookings_too(manager) -> None:
    shoot = services.edit_shoot(planned(), Changes(title=" Evening "), manager)
    shoot.booking.refresh_from_db()
    assert (shoot.title, shoot.booking.title) == ("Evening", "Evening")


def test_an_edit_that_says_what_is_so_changes_nothing(manager) -> None:
    shoot = planned()
    again = services.edit_shoot(
        shoot, Changes(title=shoot.title, starts=shoot.booking.starts_at, ends=shoot.booking.ends_at), manager
    )
    assert again.version == shoot.version


def test_the_second_of_two_editors_overwrites_nothing(manager) -> None:
    shoot = planned()
    services.edit_shoot(shoot, Changes(title="First"), manager, version=shoot.version)
    with pytest.raises(StaleEdit, match="“First” was changed"):
        services.edit_shoot(shoot, Changes(title="Second"), manager, version=shoot.version)


def test_a_moved_shoot_keeps_its_units_and_moves_their_promises(manager) -> None:
    shoot = planned()
    services.assign_unit(the_recipe(shoot), "Key", "head", 1, a_unit(a_type()).tag, manager)
    services.move_shoot(shoot, between(20, 22), manager)
    assert shoot.booking.allocations.get().use.lower == at(20)


def test_a_move_into_somebody_elses_time_changes_not_even_the_title(manager) -> None:
    unit = a_unit(a_type())
    shoot, other = planned(), planned(start=20, end=22)
    for one in (shoot, other):
        services.assign_unit(the_recipe(one), "Key", "head", 1, unit.tag, manager)
    with pytest.raises(UnitTaken):
        services.edit_shoot(shoot, Changes(title="New", starts=at(20), ends=at(22)), manager)
    shoot.refresh_from_db()
    assert shoot.title == "Portraits"


def test_another_place_reads_the_same_wall_times_on_its_own_clock(manager) -> None:
    shoot = planned()
    room = a_room()
    room.place.zone = "Europe/Lisbon"
    room.place.save()
    before = shoot.booking.starts_wall
    moved = services.edit_shoot(shoot, Changes(room=room), manager)
    assert (moved.booking.zone, moved.booking.starts_wall) == ("Europe/Lisbon", before)
    assert moved.booking.starts_at == at(11)


def test_a_place_that_changes_its_zone_leaves_old_shoots_at_their_time(manager) -> None:
    shoot = planned()
    shoot.room.place.zone = "Europe/Lisbon"
    shoot.room.place.save()
    edited = services.edit_shoot(shoot, Changes(title="Later"), manager)
    assert (edited.booking.zone, edited.booking.starts_at) == ("Europe/Paris", at(10))


def test_shortening_a_running_shoot_changes_its_planned_end_only(manager) -> None:
    shoot = planned(start=-24 * 30 - 1, end=-24 * 30 + 5)
    services.assign_unit(the_recipe(shoot), "Key", "head", 1, a_unit(a_type()).tag, manager)
    services.move_shoot(shoot, between(-24 * 30 - 1, -24 * 30 + 2), manager)
    promise = shoot.booking.allocations.get()
    assert promise.use.upper == at(-24 * 30 + 2)
    assert promise.active


def test_a_photographer_hands_a_shoot_to_nobody_else() -> None:
    photographer = a_person("photographer")
    shoot = planned(by=photographer)
    with pytest.raises(NotAllowed):
        services.edit_shoot(shoot, Changes(photographer=a_person("photographer")), photographer)


def test_a_photographer_does_not_loosen_what_is_confirmed(manager) -> None:
    photographer = a_person("photographer")
    shoot = planned(by=photographer)
    shoot = services.confirm_shoot(shoot, manager)
    with pytest.raises(NotAllowed):
        services.hold_shoot(shoot, photographer)


def test_a_recipe_comes_at_the_end_and_moves_forward(manager) -> None:
    first, second = a_recipe(), a_recipe()
    shoot = planned(first)
    added = services.add_recipe(shoot, second.head, manager)
    services.move_recipe(added, 1, manager)
    assert [r.revision.recipe for r in shoot.recipes.order_by("position")] == [second, first]


def test_taking_a_recipe_off_releases_units_without_another_job(manager) -> None:
    shoot = planned(a_recipe(), a_recipe())
    first, second = shoot.recipes.order_by("position")
    shared, alone = a_unit(), a_unit()
    services.assign_unit(first, "Key", "head", 1, shared.tag, manager)
    services.assign_unit(second, "Key", "head", 1, shared.tag, manager)
    services.assign_unit(first, "Key", "head", 2, alone.tag, manager)
    services.remove_recipe(first, manager)
    assert [a.unit for a in shoot.booking.allocations.all()] == [shared]
    assert shoot.recipes.get().position == 1


def test_the_newest_revision_keeps_jobs_of_lights_that_are_still_there(manager) -> None:
    light = a_look().lights[0].model_dump()
    recipe = a_recipe(look=a_look(lights=[light, {**light, "name": "Rim"}]))
    shoot = planned(recipe)
    here = the_recipe(shoot)
    kept, gone = a_unit(), a_unit()
    services.assign_unit(here, "Key", "head", 1, kept.tag, manager)
    services.assign_unit(here, "Rim", "head", 1, gone.tag, manager)
    newest = Revision.objects.create(
        recipe=recipe, number=2, document=a_look().model_dump(mode="json"), by=recipe.owner
    )
    services.update_recipe(here, newest, manager)
    assert [a.unit for a in here.assignments.all()] == [kept]
    assert [a.unit for a in shoot.booking.allocations.all()] == [kept]


def test_a_revision_of_another_recipe_is_not_taken_over(manager) -> None:
    with pytest.raises(Invalid, match="another recipe"):
        services.update_recipe(the_recipe(planned()), a_recipe().head, manager)


def test_a_cancelled_shoot_takes_no_units(manager) -> None:
    shoot = services.cancel_shoot(planned(), manager)
    with pytest.raises(Conflict, match="is cancelled"):
        services.assign_unit(the_recipe(shoot), "Key", "head", 1, a_unit().tag, manager)


def test_a_cancelled_shoot_keeps_its_plan_and_can_be_taken_up_again(manager) -> None:
    shoot = planned()
    services.assign_unit(the_recipe(shoot), "Key", "head", 1, a_unit().tag, manager)
    services.cancel_shoot(shoot, manager)
    assert not shoot.booking.allocations.filter(active=True).exists()
    services.uncancel_shoot(shoot, manager)
    assert shoot.booking.allocations.filter(active=True).count() == 1
