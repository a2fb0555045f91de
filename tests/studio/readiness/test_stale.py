"""Whatever a readiness was computed from may change behind everybody's back: then it shows as stale at once."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.db.models import F

from gear.booking.models import Allocation, Booking
from gear.catalogue.models import GearType
from gear.inventory.models import Unit
from recipes.records.models import Revision
from studio.places.models import Place, Room, RoomCircuit, RoomWindow
from studio.readiness.queries import shoots_to_check, stale_shoots
from studio.readiness.services import check_shoots
from studio.readiness.tasks import sweep
from studio.shoots.models import Assignment, Shoot, ShootRecipe
from tests.builders import a_booking, a_look, a_recipe, a_room, a_shoot
from tests.gear.booking.times import at
from tests.studio.readiness.plans import a_checked_shoot, a_head, is_stale, state_of
from tests.studio.shoots.plans import the_recipe

pytestmark = pytest.mark.django_db


def test_what_was_just_computed_is_not_stale() -> None:
    assert not is_stale(a_checked_shoot())


def test_what_was_never_computed_is_stale() -> None:
    shoot = a_shoot(a_recipe())
    assert state_of(shoot).status == "stale"


def a_new_spec(shoot: Shoot) -> None:
    sheet = GearType.objects.get(units__tag="K-01")
    GearType.objects.filter(pk=sheet.pk).update(spec={**sheet.spec, "energy_ws": 400})


def another_revision(shoot: Shoot) -> None:
    document = a_look(notes="darker").model_dump(mode="json", exclude_none=True)
    recipe = the_recipe(shoot).revision.recipe
    later = Revision.objects.create(recipe=recipe, number=2, document=document)
    ShootRecipe.objects.filter(shoot=shoot).update(revision=later)


def another_head(shoot: Shoot) -> None:
    Assignment.objects.filter(shoot_recipe__shoot=shoot).update(unit=a_head("K-02"))


def a_promise_gone(shoot: Shoot) -> None:
    Allocation.objects.filter(booking=shoot.booking_id).update(active=False)


def a_window(shoot: Shoot) -> None:
    RoomWindow.objects.create(
        room=shoot.room, name="Door", wall="far", offset_m=1, sill_m=0, width_m=1, height_m=2
    )


CHANGES: dict[str, Any] = {
    "the condition of a unit": lambda shoot: Unit.objects.filter(tag="K-01").update(condition="repair"),
    "what was noted of a faulty unit": lambda shoot: Unit.objects.filter(tag="K-01").update(
        condition="repair", condition_note="hums"
    ),
    "the radio channel of a unit": lambda shoot: Unit.objects.filter(tag="K-01").update(radio_channel=7),
    "when a unit must be inspected": lambda shoot: Unit.objects.filter(tag="K-01").update(
        inspection_due="2030-01-01"
    ),
    "a spec": a_new_spec,
    "the name of a gear type": lambda shoot: GearType.objects.update(name="Another name"),
    "the recipe on the shoot": another_revision,
    "an assignment": another_head,
    "a job without anybody": lambda shoot: Assignment.objects.all().delete(),
    "the circuit of a head": lambda shoot: Assignment.objects.update(circuit="A"),
    "a promise": a_promise_gone,
    "the size of the room": lambda shoot: Room.objects.update(depth_m=F("depth_m") + 1),
    "the air in the room": lambda shoot: Room.objects.update(temperature_c=-5),
    "a window": a_window,
    "a circuit": lambda shoot: RoomCircuit.objects.update(rated_a=10),
    "where the place is": lambda shoot: Place.objects.update(latitude_deg=52.5),
    "another room": lambda shoot: Shoot.objects.filter(pk=shoot.pk).update(room=a_room()),
    "when it begins": lambda shoot: Booking.objects.update(starts_at=F("starts_at") - timedelta(hours=1)),
}


@pytest.mark.parametrize("what", CHANGES)
def test_a_change_behind_the_services_makes_it_stale(what: str) -> None:
    shoot = a_checked_shoot()
    CHANGES[what](shoot)
    assert is_stale(shoot)


def test_a_hold_that_runs_out_makes_it_stale_without_anybody_writing_anything() -> None:
    shoot = a_checked_shoot(state="hold")
    Booking.objects.filter(pk=shoot.booking_id).update(hold_until=at(-40 * 24))
    assert is_stale(shoot)


def test_the_title_and_the_notes_of_a_shoot_are_no_input() -> None:
    shoot = a_checked_shoot()
    Shoot.objects.filter(pk=shoot.pk).update(title="Dancers", notes="bring tape")
    assert not is_stale(shoot)


def test_a_unit_elsewhere_in_the_store_is_no_input() -> None:
    shoot = a_checked_shoot()
    a_head("K-09", condition="repair")
    assert not is_stale(shoot)


def test_the_sweep_finds_a_stale_one_and_computes_it() -> None:
    shoot = a_checked_shoot()
    Unit.objects.filter(tag="K-01").update(condition="repair")
    assert sweep() == 1
    assert not is_stale(shoot)


def test_the_sweep_leaves_alone_what_still_holds() -> None:
    a_checked_shoot()
    assert sweep() == 0


def test_a_shoot_that_cannot_be_computed_does_not_keep_the_others_from_it(monkeypatch: Any) -> None:
    broken, other = a_checked_shoot(start=10, end=12), a_checked_shoot(a_head("K-02"), start=14, end=16)
    Unit.objects.update(condition="repair")
    real = check_shoots

    def check(shoots: Any, **more: Any) -> Any:
        if any(shoot.pk == broken.pk for shoot in shoots):
            raise ZeroDivisionError("a sheet nobody thought of")
        return real(shoots, **more)

    monkeypatch.setattr("studio.readiness.tasks.check_shoots", check)
    assert sweep() == 1
    assert not is_stale(other)


def test_of_very_many_the_soonest_are_looked_at_every_time_and_each_other_one_in_the_end(
    monkeypatch: Any,
) -> None:
    heads = [a_head(f"K-0{number}") for number in range(3)]
    first, second, third = (
        a_checked_shoot(head, start=8 + 4 * n, end=10 + 4 * n) for n, head in enumerate(heads)
    )
    Unit.objects.update(condition="repair")
    monkeypatch.setattr("studio.readiness.queries.SOONEST", 1)
    looks = []
    for turn in (0, 1):
        monkeypatch.setattr(
            "studio.readiness.queries.random.choice", lambda stretches, at=turn: stretches[at]
        )
        looks.append(shoots_to_check())
    assert looks == [[first, second], [first, third]]


@pytest.mark.parametrize("state", ["cancelled", "closed"])
def test_a_shoot_that_will_not_be_is_not_checked(state: str) -> None:
    shoot = a_checked_shoot()
    Unit.objects.update(condition="repair")
    Booking.objects.filter(pk=shoot.booking_id).update(state=state)
    assert stale_shoots() == []


def test_a_shoot_that_is_over_is_not_checked() -> None:
    shoot = a_shoot(a_recipe(), booking=a_booking(at(-40 * 24)))
    assert shoot not in shoots_to_check()
