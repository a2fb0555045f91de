"""A swap for a shortage takes the jobs along, so that plan and promise stay one."""

from __future__ import annotations

import pytest

from gear.errors import Conflict, Invalid
from gear.inventory.services import report_fault
from gear.shortages.models import Shortage
from gear.shortages.services import go_without, swap
from studio.shoots import services
from tests.builders import a_gear_type, a_person, a_unit
from tests.studio.shoots.plans import a_stand, planned, the_recipe

pytestmark = pytest.mark.django_db


def short_of_its_head():
    manager, unit = a_person(), a_unit()
    shoot = planned(by=manager)
    services.assign_unit(the_recipe(shoot), "Key", "head", 1, unit.tag, manager)
    report_fault(unit.tag, "does not fire", manager)
    return shoot, unit, Shortage.objects.get(), manager


def test_the_new_unit_does_the_job_of_the_old() -> None:
    shoot, _, shortage, manager = short_of_its_head()
    other = a_unit()
    version = shoot.version
    swap(shortage, other.tag, manager)
    job = the_recipe(shoot).assignments.get()
    assert (job.unit, job.light, job.job) == (other, "Key", "head")
    assert [a.unit for a in shoot.booking.allocations.all()] == [other]
    shoot.refresh_from_db()
    assert shoot.version == version + 2


def test_without_it_the_job_is_empty() -> None:
    shoot, _, shortage, manager = short_of_its_head()
    go_without(shortage, manager)
    assert not the_recipe(shoot).assignments.exists()


def test_a_unit_of_another_kind_does_not_take_over_the_job() -> None:
    shoot, unit, shortage, manager = short_of_its_head()
    with pytest.raises(Invalid):
        swap(shortage, a_stand().tag, manager)
    assert the_recipe(shoot).assignments.get().unit == unit
    assert Shortage.objects.get().closed_at is None


def test_a_unit_that_has_a_job_there_already_does_not_take_a_second() -> None:
    shoot, unit, shortage, manager = short_of_its_head()
    other = a_unit(a_gear_type())
    services.assign_unit(the_recipe(shoot), "Key", "head", 2, other.tag, manager)
    with pytest.raises(Conflict, match="already does"):
        swap(shortage, other.tag, manager)
    assert the_recipe(shoot).assignments.filter(unit=unit).exists()
