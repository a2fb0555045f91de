"""What a service changes is computed again as soon as it is committed, wherever it matters."""

from __future__ import annotations

from typing import Any

import pytest

from gear.catalogue.models import GearType
from gear.catalogue.queries import entry_fields
from gear.catalogue.services import GearTypeEntry, change_gear_type
from gear.changes import Change
from gear.inventory.services import change_condition, report_fault
from recipes.records.services import save_revision
from studio.places.models import Room
from studio.readiness.models import Readiness
from studio.readiness.queries import shoots_touched_by
from studio.shoots import services
from tests.builders import a_person, a_room
from tests.studio.readiness.plans import WEAK, a_checked_shoot, a_head, is_stale, names_of_gaps, state_of
from tests.studio.shoots.plans import planned, the_recipe

pytestmark = pytest.mark.django_db


@pytest.fixture
def committed(django_capture_on_commit_callbacks: Any) -> Any:
    """``with committed():`` runs what a service does after its commit, as in a request without a broker."""
    return lambda: django_capture_on_commit_callbacks(execute=True)


def computed_at(shoot: Any) -> Any:
    return Readiness.objects.get(shoot_recipe=the_recipe(shoot)).computed_at


def test_a_fault_is_a_gap_at_once(committed: Any) -> None:
    shoot = a_checked_shoot()
    with committed():
        report_fault("K-01", "fires twice", None)
    assert not is_stale(shoot)
    assert "unit-state K-01" in names_of_gaps(shoot)


def test_a_release_closes_the_gap_again(committed: Any) -> None:
    shoot = a_checked_shoot()
    with committed():
        report_fault("K-01", "fires twice", None)
        change_condition("K-01", "ready", "new tube, fired fifty times", None)
    assert "unit-state K-01" not in names_of_gaps(shoot)


def test_a_corrected_sheet_is_computed_with(committed: Any) -> None:
    shoot = a_checked_shoot()
    sheet = GearType.objects.get(units__tag="K-01")
    entry = GearTypeEntry(**{**entry_fields(sheet), "spec": {**sheet.spec, **WEAK}})
    with committed():
        change_gear_type(sheet.slug, entry, sheet.version, None)
    assert not is_stale(shoot)
    assert "power-range Key" in names_of_gaps(shoot)


def test_another_unit_on_the_job_is_computed_with(committed: Any) -> None:
    shoot = a_checked_shoot()
    a_head("K-02", WEAK)
    with committed():
        services.assign_unit(the_recipe(shoot), "Key", "head", 1, "K-02", a_person())
    assert not is_stale(shoot)
    assert "power-range Key" in names_of_gaps(shoot)


def test_a_newer_revision_on_the_shoot_is_computed_with(committed: Any) -> None:
    manager = a_person()
    shoot = a_checked_shoot(by=manager)
    revision = the_recipe(shoot).revision
    darker = revision.look.model_copy(
        update={"camera": revision.look.camera.model_copy(update={"aperture": "f/8"})}
    )
    with committed():
        saved = save_revision(revision.recipe, darker, revision, manager)
        services.update_recipe(the_recipe(shoot), saved, manager)
    assert not is_stale(shoot)
    assert state_of(shoot).setup.look.camera.aperture == "f/8"


def test_a_newer_revision_that_no_shoot_took_over_changes_nothing(committed: Any) -> None:
    manager = a_person()
    shoot = a_checked_shoot(by=manager)
    before, revision = computed_at(shoot), the_recipe(shoot).revision
    with committed():
        save_revision(
            revision.recipe, revision.look.model_copy(update={"notes": "darker"}), revision, manager
        )
    assert computed_at(shoot) == before


def test_another_room_is_computed_with(committed: Any) -> None:
    manager = a_person()
    shoot = a_checked_shoot(by=manager)
    room = a_room(height_m=2.5)
    with committed():
        services.edit_shoot(shoot, services.Changes(room=room), manager)
    assert not is_stale(shoot)
    assert state_of(shoot).setup.room.height_m == 2.5


def test_a_room_that_was_measured_again_is_computed_with(committed: Any) -> None:
    from studio.places.entries import RoomEntry
    from studio.places.services import change_room

    shoot = a_checked_shoot()
    room = Room.objects.get(pk=shoot.room_id)
    entry = RoomEntry(name=room.name, width_m=6.0, depth_m=8.0, height_m=3.2, mark_x_m=3.0, mark_y_m=3.0)
    with committed():
        change_room(room, entry, a_person())
    assert not is_stale(shoot)
    assert state_of(shoot).setup.room.height_m == 3.2


def test_a_change_that_matters_to_no_shoot_touches_none() -> None:
    a_checked_shoot()
    assert shoots_touched_by(Change("unit", (a_head("K-09").pk,))) == []


def test_a_unit_that_two_shoots_count_on_touches_both() -> None:
    unit = a_head()
    first = a_checked_shoot(unit, start=10, end=12)
    second = a_checked_shoot(unit, start=14, end=16)
    assert shoots_touched_by(Change("unit", (unit.pk,))) == sorted([first.pk, second.pk])


def test_giving_up_a_unit_touches_whoever_waits_for_it(committed: Any) -> None:
    """An enquiry notes a unit that somebody else has; when that shoot is cancelled, the clash is gone."""
    unit, manager = a_head(), a_person()
    holder = a_checked_shoot(unit, title="Dancers", by=manager)
    waiting = planned(state="enquiry", by=manager)
    the_recipe(waiting).assignments.create(light="Key", job="head", unit=unit)
    from studio.readiness.services import check_shoots

    check_shoots([waiting])
    assert "Dancers" in state_of(waiting).setup.lights[0].heads[0].clash
    with committed():
        services.cancel_shoot(holder, manager)
    assert not is_stale(waiting)
    assert state_of(waiting).setup.lights[0].heads[0].clash == ""
