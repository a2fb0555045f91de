"""What has left the store stays promised to who has it, whatever the plan says, until it is back; and what is due to be
inspected is said when it is booked (case 97)."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.urls import reverse

from gear.booking.clashes import UnitTaken
from gear.booking.interval import period
from gear.booking.models import Booking
from gear.errors import Conflict
from gear.inventory.services import change_condition
from gear.shortages.models import Shortage
from studio.packing.services import pack_out, report_line, take_back, undo, update_list
from studio.shoots import services
from studio.shoots.inspections import last_day
from tests.builders import a_person, a_unit
from tests.gear.booking.times import a_type, at, booked
from tests.studio.shoots.plans import planned, the_recipe

pytestmark = pytest.mark.django_db


@pytest.fixture
def by():
    return a_person()


@pytest.fixture
def out(by):
    """K-03 left the store for a shoot from ten to two."""
    shoot = planned(by=by, title="Portraits")
    a_unit(a_type(turnaround=60), tag="K-03")
    services.add_extra_unit(shoot, "K-03", by)
    update_list(shoot)
    pack_out(shoot, "K-03", by)
    return shoot


def promise(shoot):
    return shoot.booking.allocations.get()


def moved(shoot, start: float, end: float, by):
    return services.move_shoot(shoot, period(at(start), at(end), "Europe/Paris"), by)


def test_a_shoot_whose_gear_is_out_is_not_cancelled_before_it_is_back(out, by) -> None:
    with pytest.raises(Conflict, match="K-03 left the store already with “Portraits”") as refused:
        services.cancel_shoot(out, by)
    assert refused.value.code == "out"
    out.booking.refresh_from_db()
    assert out.booking.state == Booking.State.HOLD
    take_back(out, "K-03", by)
    services.cancel_shoot(out, by)
    booked(10, 12, promise(out).unit)


def test_a_unit_that_is_out_is_not_let_go(out, by) -> None:
    with pytest.raises(Conflict, match="Take it back in first"):
        services.remove_extra_unit(out, "K-03", by)
    undo(out, "K-03", by)
    services.remove_extra_unit(out, "K-03", by)


def test_a_unit_that_was_reported_is_let_go(out, by) -> None:
    report_line(out, "K-03", "damaged", "the stand fell", by)
    services.remove_extra_unit(out, "K-03", by)
    assert not out.booking.allocations.exists()


def test_what_is_back_by_mistake_is_out_again(out, by) -> None:
    take_back(out, "K-03", by)
    undo(out, "K-03", by)
    with pytest.raises(Conflict, match="left the store"):
        services.cancel_shoot(out, by)


def test_a_shoot_that_moves_to_later_keeps_what_is_out_from_when_it_left(out, by) -> None:
    before = promise(out).blocked.lower
    moved(out, 30, 34, by)
    assert promise(out).use.lower == at(30)
    assert promise(out).blocked.lower == before
    with pytest.raises(UnitTaken, match="“Portraits”"):
        booked(20, 22, promise(out).unit)


def test_what_is_not_out_is_free_in_between_when_its_shoot_moves(out, by) -> None:
    undo(out, "K-03", by)
    moved(out, 30, 34, by)
    assert promise(out).blocked.lower == at(30)
    booked(20, 22, promise(out).unit)


def test_a_shorter_shoot_frees_the_end_of_what_is_out(out, by) -> None:
    moved(out, 10, 12, by)
    assert promise(out).blocked.upper == at(13)


# Case 97.


def due_before(shoot, unit) -> str:
    unit.inspection_due = last_day(shoot.booking) - timedelta(days=1)
    unit.save()
    return f"its inspection is due on {unit.inspection_due:%Y-%m-%d}, before the shoot ends"


def test_a_due_inspection_is_said_when_the_unit_is_chosen_and_on_the_desk(signed_in) -> None:
    client, shoot = signed_in("manager"), planned()
    unit = a_unit(a_type(), tag="K-03")
    said = due_before(shoot, unit)
    here = the_recipe(shoot)
    slot = {"light": "Key", "job": "head", "number": 1}
    assert said in client.get(reverse("shoots:job", args=[shoot.pk, here.pk]), slot).content.decode()
    services.assign_unit(here, "Key", "head", 1, "K-03", client.person)
    assert said in client.get(reverse("shoots:shoot", args=[shoot.pk])).content.decode()


def test_a_due_inspection_is_said_over_the_api_and_of_spares(signed_in) -> None:
    client, shoot = signed_in("manager"), planned()
    unit = a_unit(a_type(), tag="K-03")
    said = due_before(shoot, unit)
    body = {"unit": "K-03", "recipe": None}
    answer = client.post(f"/api/shoots/{shoot.pk}/units", body, "application/json")
    assert (answer.status_code, answer.json()["warnings"]) == (201, [said])
    assert said in client.get(reverse("shoots:shoot", args=[shoot.pk])).content.decode()
    unit.inspection_due = last_day(shoot.booking)
    unit.save()
    other = planned(start=20, end=21)
    assert client.post(f"/api/shoots/{other.pk}/units", body, "application/json").json()["warnings"] == []


def test_without_a_return_date_it_counts_until_it_is_looked_at_again(by) -> None:
    shoot = planned(by=by)
    left_open = services.leave_shoot_open(shoot, at(240), by)
    assert last_day(left_open.booking) == at(240).date()


def test_a_written_off_unit_leaves_its_coming_shoots_short_and_deletes_none(by) -> None:
    shoot = planned(by=by)
    a_unit(a_type(), tag="K-03")
    services.add_extra_unit(shoot, "K-03", by)
    change_condition("K-03", "written-off", "burnt out", by)
    short = Shortage.objects.get()
    assert (short.booking, short.cause) == (shoot.booking, "loss")
    assert promise(shoot).active
