"""The history of a thing reads as sentences: who, what, from what to what, and when."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import pghistory
import pytest
from django.test import Client
from django.urls import reverse

from gear.booking.models import Booking
from gear.catalogue.models import GearType
from gear.inventory.models import Unit
from gear.kits.services import save_kit
from gear.stock.services import Wanted, promise_stock
from gear.subhire.models import SubHire
from recipes.records.services import save_revision
from studio.history.queries import BY_ITSELF, history_of
from studio.history.words import moment_said
from studio.packing import services as packing
from studio.people.models import Person
from studio.places.entries import CircuitEntry, RoomEntry, WindowEntry
from studio.places.services import add_room, change_room
from studio.shoots import services
from tests.builders import STROBE, a_gear_type, a_look, a_person, a_recipe, a_room, a_unit
from tests.gear.kits.sets import a_kit, an_entry
from tests.gear.stock.counted import an_item
from tests.studio.shoots.plans import planned, the_recipe

pytestmark = pytest.mark.django_db


@pytest.fixture
def runa() -> Person:
    return a_person(first_name="Runa", last_name="Pell")


def by(person: Person) -> Any:
    """What this person does, as the service tells the database."""
    return pghistory.context(user=person.pk)


def told(thing: Any) -> list[str]:
    """Everything that is told of a thing, without the moments."""
    return [f"{line.who} {did}" for line in history_of(thing) for did in line.did]


def test_a_change_says_who_changed_what_from_what_to_what(runa: Person) -> None:
    unit = a_unit(shelf="A1")
    with by(runa):
        Unit.objects.filter(pk=unit.pk).update(shelf="A2")
    assert "Runa Pell changed shelf from A1 to A2" in told(unit)


def test_a_moment_is_said_on_the_wall_clock_with_the_year_only_when_it_is_another() -> None:
    now = datetime(2026, 11, 26, 9, 0, tzinfo=UTC)
    at = datetime(2026, 11, 25, 13, 3, tzinfo=UTC)
    assert moment_said(at, "Europe/Paris", now) == "25 Nov 14:03"
    assert moment_said(at, "Europe/Paris", now + timedelta(days=60)) == "25 Nov 2026 14:03"


def test_a_beginning_a_clearing_and_a_choice_are_said_as_people_say_them() -> None:
    unit = a_unit()
    Unit.objects.filter(pk=unit.pk).update(shelf="A1", condition="repair")
    Unit.objects.filter(pk=unit.pk).update(shelf="")
    said = told(unit)
    assert f"{BY_ITSELF} set shelf to A1" in said
    assert f"{BY_ITSELF} changed condition from Ready to In repair" in said
    assert f"{BY_ITSELF} cleared shelf, which was A1" in said


def test_a_thing_that_is_pointed_at_is_called_by_its_name() -> None:
    case = a_unit(a_gear_type("case", {"mass_kg": 3.0}), tag="C-01")
    unit = a_unit()
    Unit.objects.filter(pk=unit.pk).update(case=case)
    assert f"{BY_ITSELF} set case to C-01" in told(unit)


def test_a_spec_sheet_says_which_figure_changed() -> None:
    kind = a_gear_type()
    GearType.objects.filter(pk=kind.pk).update(spec={**STROBE, "energy_ws": 400, "recycle": []})
    said = told(kind)
    assert f"{BY_ITSELF} changed energy ws from 500 to 400" in said
    assert f"{BY_ITSELF} changed recycle" in said


def test_what_one_person_did_in_one_step_is_one_line(runa: Person) -> None:
    unit = a_unit(shelf="A1")
    with by(runa):
        Unit.objects.filter(pk=unit.pk).update(shelf="A2", serial="H5")
    line = history_of(unit)[0]
    assert set(line.did) >= {"changed shelf from A1 to A2", "set serial to H5"}


@pytest.mark.django_db(transaction=True)
def test_steps_of_their_own_are_lines_of_their_own_newest_first(runa: Person) -> None:
    unit = a_unit(shelf="A1")
    for shelf in ("A2", "A3"):
        with by(runa):
            Unit.objects.filter(pk=unit.pk).update(shelf=shelf)
    assert [line.did for line in history_of(unit)] == [
        ("changed shelf from A2 to A3",),
        ("changed shelf from A1 to A2",),
        ("entered this unit",),
    ]


def test_a_shoot_tells_of_its_recipes_jobs_promises_and_period(runa: Person) -> None:
    recipe = a_recipe()
    shoot = planned(recipe, by=runa)
    a_unit(tag="K-03")
    with by(runa):
        services.assign_unit(the_recipe(shoot), "Key", "head", 1, "K-03", runa)
        services.unassign(the_recipe(shoot), "Key", "head", 1, runa)
        Booking.objects.filter(pk=shoot.booking_id).update(state="cancelled")
    said = " ; ".join(told(shoot))
    for part in (
        f"put {recipe.title} r1 on it",
        "promised K-03",
        "gave K-03 the job Key head",
        "took K-03 off the job Key head",
        "let K-03 go",
        "changed state of the booking from Hold to Cancelled",
    ):
        assert part in said


def test_what_a_booking_repeats_of_its_shoot_is_said_once(runa: Person) -> None:
    shoot = planned(title="Portraits")
    services.edit_shoot(shoot, services.Changes(title="Dancers"), runa)
    assert [did for did in told(shoot) if "Dancers" in did] == [
        f"{BY_ITSELF} changed title from Portraits to Dancers"
    ]


def test_a_period_is_said_on_the_clock_of_the_place() -> None:
    shoot = planned()
    starts = datetime(2027, 5, 12, 7, 0, tzinfo=UTC)
    Booking.objects.filter(pk=shoot.booking_id).update(starts_at=starts, ends_at=starts + timedelta(hours=4))
    assert any("to 12 May 2027 09:00" in did for did in told(shoot))


def test_what_happened_alike_to_several_is_one_sentence(runa: Person) -> None:
    shoot = planned()
    for number in range(1, 9):
        services.add_extra_unit(shoot, a_unit(tag=f"L-{number:02d}").tag, runa)
        if number == 3:
            assert f"{BY_ITSELF} promised L-01, L-02 and L-03" in told(shoot)
    assert f"{BY_ITSELF} promised L-01, L-02, L-03, L-04, L-05 and 3 more" in told(shoot)


def test_out_and_back_are_said_as_people_say_them(runa: Person) -> None:
    shoot = planned(state="confirmed", by=runa)
    services.add_extra_unit(shoot, a_unit(tag="K-03").tag, runa)
    packing.update_list(shoot)
    packing.pack_out(shoot, "K-03", runa)
    packing.take_back(shoot, "K-03", runa)
    said = " ; ".join(told(shoot))
    for part in ("put K-03 on the packing list", "took K-03 out", "took K-03 back in"):
        assert part in said
    assert "out at" not in said


def test_a_promise_that_is_given_up_and_made_again_is_said_so(runa: Person) -> None:
    shoot = planned(by=runa)
    services.add_extra_unit(shoot, a_unit(tag="K-03").tag, runa)
    shoot.booking.allocations.update(active=False)
    shoot.booking.allocations.update(active=True)
    assert {f"{BY_ITSELF} gave up the promise of K-03", f"{BY_ITSELF} promised K-03 again"} <= set(
        told(shoot)
    )


def test_a_recipe_says_which_revision_it_stands_at(runa: Person) -> None:
    recipe = a_recipe(runa)
    save_revision(recipe, a_look(notes="darker"), 1, runa)
    assert any("r1 to" in did and did.endswith("r2") for did in told(recipe))


def test_a_room_says_its_measures() -> None:
    room = a_room(height_m=4.0)
    type(room).objects.filter(pk=room.pk).update(height_m=4.5)
    assert f"{BY_ITSELF} changed height m from 4 to 4.5" in told(room)


def test_a_room_tells_of_its_windows_and_circuits_and_not_of_what_was_only_written_anew() -> None:
    manager, place = a_person(), a_room().place
    window = {"wall": "left", "offset_m": 1.0, "sill_m": 0.9, "width_m": 1.5, "height_m": 2.0}
    big, small = WindowEntry("Big", **window), WindowEntry("Small", **window)
    entry = RoomEntry("Loft", 6.0, 8.0, 4.0, 3.0, 3.0, windows=(big, small))
    room = add_room(place, entry, manager)
    entered = set(told(room))
    larger = replace(entry, windows=(replace(big, width_m=1.8), small), circuits=(CircuitEntry("A"),))
    change_room(room, larger, manager)
    assert set(told(room)) - entered == {
        "The service itself changed width m of the window Big from 1.5 to 1.8",
        "The service itself put the circuit A in",
    }
    change_room(room, replace(larger, windows=larger.windows[:1]), manager)
    assert "The service itself took the window Small out" in told(room)


def test_a_kit_tells_what_went_in_and_out() -> None:
    first, second, third = (a_unit(tag=tag) for tag in ("K-01", "K-02", "K-03"))
    bags = an_item(name="Sandbag")
    kit = a_kit(first, (4, bags), second, name="Two heads")
    entered = set(told(kit))
    assert "The service itself put K-01, Sandbag and K-02 into it" in entered
    save_kit(an_entry(first, (6, bags), third, name="Two heads"), None, pk=kit.pk)
    assert {one for one in set(told(kit)) - entered if "part" in one or "took" in one} == {
        "The service itself changed quantity of part 2 from 4 to 6",
        "The service itself took K-02 out of it",
    }


def test_a_shoot_tells_of_counted_things() -> None:
    shoot = planned()
    promise_stock(shoot.booking, [Wanted(an_item(10, name="Sandbag").pk, 6)], None)
    assert "The service itself promised 6 Sandbag" in told(shoot)


def test_a_borrowed_unit_tells_from_whom() -> None:
    unit = a_unit(tag="K-09")
    day = datetime(2026, 3, 1, tzinfo=UTC)
    SubHire.objects.create(unit=unit, owner="Halden Works", from_at=day, back_by=day + timedelta(days=3))
    assert "The service itself agreed to borrow it from Halden Works" in told(unit)


def test_a_counted_thing_says_what_was_changed_of_it() -> None:
    bags = an_item(10, name="Sandbag", shelf="A1")
    bags.shelf = "B2"
    bags.save()
    assert "The service itself changed shelf from A1 to B2" in told(bags)


def test_a_history_of_fifty_changes_takes_as_few_queries_as_one_of_five(
    django_assert_max_num_queries: Any, runa: Person
) -> None:
    shoot, units = planned(), [a_unit(tag=f"L-{n:02d}") for n in range(25)]
    for unit in units:
        services.add_extra_unit(shoot, unit.tag, runa)
    with django_assert_max_num_queries(6):
        assert history_of(shoot)


@pytest.mark.parametrize("thing", ["unit", "gear type", "recipe", "room", "shoot"])
def test_it_stands_on_the_page_of_the_thing(thing: str, signed_in: Callable[..., Client]) -> None:
    unit, room, recipe = a_unit(shelf="A1"), a_room(), a_recipe()
    shoot = planned(recipe)
    address = {
        "unit": reverse("inventory:unit", args=[unit.tag]),
        "gear type": reverse("catalogue:type", args=[unit.gear_type.slug]),
        "recipe": reverse("recipes:recipe", args=[recipe.pk]),
        "room": reverse("places:room", args=[room.pk]),
        "shoot": reverse("shoots:shoot", args=[shoot.pk]),
    }[thing]
    page = signed_in("assistant").get(address).content.decode()
    assert "Changes</h2>" in page
    assert "entered this" in page


def test_what_somebody_typed_is_no_markup_there(signed_in: Callable[..., Client]) -> None:
    unit = a_unit(tag="K-03")
    Unit.objects.filter(pk=unit.pk).update(shelf="<script>alert(1)</script>")
    assert "<script>alert" not in signed_in().get("/gear/K-03/").content.decode()


def test_a_place_in_line_and_moving_up_are_said(runa: Person) -> None:
    a_unit(tag="K-03")
    first, later = planned(title="First"), planned(title="Later")
    services.add_extra_unit(first, "K-03", runa)
    with by(runa):
        services.add_extra_unit(later, "K-03", runa, behind=True)
    assert "Runa Pell put it in line behind others for K-03" in told(later)
    services.cancel_shoot(first, runa)
    assert any(said.endswith("gave it K-03, for which it had waited in line") for said in told(later))
