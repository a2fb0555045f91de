"""What is scanned back before the shoot ends is free after its turnaround; and not back after all, it is not."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone

from gear.booking.models import Allocation
from gear.booking.services import promise_units
from gear.errors import Conflict
from gear.kits.models import KitPromise, KitTaken
from studio.packing.services import pack_out, take_back, undo, update_list
from tests.builders import a_booking, a_person, a_shoot, a_unit

pytestmark = pytest.mark.django_db


@pytest.fixture
def by(db: None) -> Any:
    return a_person("assistant")


def a_running_shoot(*units: Any) -> Any:
    """Begun an hour ago, six more to go; everything has left."""
    shoot = a_shoot(booking=a_booking(timezone.now() - timedelta(hours=1), hours=7))
    promise_units(shoot.booking, [unit.pk for unit in units], a_person("manager"))
    update_list(shoot)
    for unit in units:
        pack_out(shoot, unit.tag, a_person("assistant"), timezone.now() - timedelta(hours=2))
    return shoot


def next_day_part() -> Any:
    """A booking two hours from now, while the other still runs."""
    return a_booking(timezone.now() + timedelta(hours=2), hours=2)


def test_free_from_the_real_return_plus_turnaround(by: Any) -> None:
    """Case 73."""
    unit = a_unit(prep_minutes=0, turnaround_minutes=60)
    shoot = a_running_shoot(unit)
    with pytest.raises(Conflict):
        promise_units(next_day_part(), [unit.pk], by)
    back = timezone.now() - timedelta(minutes=30)
    take_back(shoot, unit.tag, by, back)
    promise = Allocation.objects.get(booking=shoot.booking)
    assert (promise.use.upper, promise.blocked.upper) == (back, back + timedelta(hours=1))
    promise_units(next_day_part(), [unit.pk], by)


def test_a_kit_partly_back_frees_its_parts_and_is_not_whole(by: Any) -> None:
    """Case 51."""
    one, other = a_unit(prep_minutes=0, turnaround_minutes=0), a_unit(prep_minutes=0, turnaround_minutes=0)
    shoot = a_running_shoot(one, other)
    kit = KitPromise.objects.create(booking=shoot.booking, name="Interview kit", kit_version=1)
    for unit in (one, other):
        KitTaken.objects.create(promise=kit, unit=unit)
    take_back(shoot, one.tag, by)
    promise_units(next_day_part(), [one.pk], by)
    with pytest.raises(Conflict):
        promise_units(next_day_part(), [other.pk], by)
    assert list(kit.taken.filter(back_at=None).values_list("unit", flat=True)) == [other.pk]


def test_not_back_after_all_blocks_for_the_whole_time_again(by: Any) -> None:
    unit = a_unit()
    shoot = a_running_shoot(unit)
    before = Allocation.objects.get(booking=shoot.booking)
    take_back(shoot, unit.tag, by)
    undo(shoot, unit.tag, by)
    assert Allocation.objects.get(booking=shoot.booking).blocked == before.blocked


def test_not_back_after_all_is_refused_when_somebody_else_has_it_by_now(by: Any) -> None:
    unit = a_unit(prep_minutes=0, turnaround_minutes=0)
    shoot = a_running_shoot(unit)
    take_back(shoot, unit.tag, by)
    promise_units(next_day_part(), [unit.pk], by)
    with pytest.raises(Conflict, match="promised to somebody else"):
        undo(shoot, unit.tag, by)
    assert shoot.packing_lines.get().outcome == "in"


def test_what_comes_back_before_the_shoot_has_begun_keeps_its_promise(by: Any) -> None:
    unit = a_unit()
    shoot = a_shoot()
    promise_units(shoot.booking, [unit.pk], a_person("manager"))
    update_list(shoot)
    pack_out(shoot, unit.tag, by)
    take_back(shoot, unit.tag, by)
    assert Allocation.objects.get(booking=shoot.booking).active
