from __future__ import annotations

import pytest

from gear.booking.clashes import UnitTaken
from gear.errors import Conflict, Gone, Invalid, NotAllowed
from studio.shoots import services
from studio.shoots.jobs import Slot
from tests.builders import a_look, a_person, a_recipe, a_unit
from tests.gear.booking.times import a_type
from tests.studio.shoots.plans import a_stand, planned, the_recipe

pytestmark = pytest.mark.django_db


@pytest.fixture
def manager():
    return a_person()


def promised(shoot) -> set[str]:
    return set(shoot.booking.allocations.filter(active=True).values_list("unit__tag", flat=True))


def test_a_unit_that_gets_a_job_is_promised_to_the_shoot(manager) -> None:
    shoot = planned()
    a_unit(tag="K-03")
    services.assign_unit(the_recipe(shoot), "Key", "head", 1, "K-03", manager)
    assert the_recipe(shoot).assignments.get().unit.tag == "K-03"
    assert promised(shoot) == {"K-03"}


def test_a_tag_may_be_typed_in_small_letters(manager) -> None:
    a_unit(tag="K-03")
    assert services.assign_unit(the_recipe(planned()), "Key", "head", 1, " k-03 ", manager).unit.tag == "K-03"


def test_a_photographer_assigns_on_their_own_shoot_only() -> None:
    photographer, other = a_person("photographer"), a_person("photographer")
    shoot = planned(by=photographer)
    unit = a_unit()
    services.assign_unit(the_recipe(shoot), "Key", "head", 1, unit.tag, photographer)
    with pytest.raises(NotAllowed, match="belongs to"):
        services.unassign(the_recipe(shoot), "Key", "head", 1, other)


def test_a_photographer_may_not_change_a_shoot_without_photographer() -> None:
    with pytest.raises(NotAllowed):
        services.add_extra_unit(planned(), a_unit().tag, a_person("photographer"))


def test_the_loser_reads_who_has_it_and_what_else_is_free(manager) -> None:
    kind = a_type()
    a_unit(kind, tag="K-03")
    a_unit(kind, tag="K-05")
    services.assign_unit(the_recipe(planned(title="Dancers")), "Key", "head", 1, "K-03", manager)
    with pytest.raises(UnitTaken, match=r"K-03 .* is with “Dancers”") as refused:
        services.assign_unit(the_recipe(planned()), "Key", "head", 1, "K-03", manager)
    assert [unit.tag for unit in refused.value.free] == ["K-05"]


def test_a_refused_assignment_leaves_nothing_behind(manager) -> None:
    a_unit(tag="K-03")
    services.assign_unit(the_recipe(planned()), "Key", "head", 1, "K-03", manager)
    loser = planned()
    with pytest.raises(UnitTaken):
        services.assign_unit(the_recipe(loser), "Key", "head", 1, "K-03", manager)
    assert not the_recipe(loser).assignments.exists()
    assert not loser.booking.allocations.exists()


def test_another_unit_on_the_same_job_replaces_and_releases_the_first(manager) -> None:
    shoot = planned()
    for tag in ("K-03", "K-05"):
        a_unit(tag=tag)
        services.assign_unit(the_recipe(shoot), "Key", "head", 1, tag, manager)
    assert promised(shoot) == {"K-05"}


def test_a_refused_replacement_keeps_the_first(manager) -> None:
    shoot = planned()
    a_unit(tag="K-03")
    a_unit(tag="K-05")
    services.assign_unit(the_recipe(planned()), "Key", "head", 1, "K-05", manager)
    services.assign_unit(the_recipe(shoot), "Key", "head", 1, "K-03", manager)
    with pytest.raises(UnitTaken):
        services.assign_unit(the_recipe(shoot), "Key", "head", 1, "K-05", manager)
    assert promised(shoot) == {"K-03"}


def test_a_unit_stays_promised_until_its_last_job_goes(manager) -> None:
    shoot = planned(a_recipe(), a_recipe())
    a_unit(tag="K-03")
    first, second = shoot.recipes.order_by("position")
    services.assign_unit(first, "Key", "head", 1, "K-03", manager)
    services.assign_unit(second, "Key", "head", 1, "K-03", manager)
    services.unassign(first, "Key", "head", 1, manager)
    assert promised(shoot) == {"K-03"}
    services.unassign(second, "Key", "head", 1, manager)
    assert promised(shoot) == set()


def test_taking_nobody_off_a_job_changes_nothing(manager) -> None:
    shoot = planned()
    services.unassign(the_recipe(shoot), "Key", "head", 1, manager)
    version = shoot.version
    shoot.refresh_from_db()
    assert shoot.version == version


def test_one_unit_does_one_job_in_a_recipe(manager) -> None:
    here = the_recipe(planned(a_recipe(look=a_look(lights=[_light("Key"), _light("Rim")]))))
    a_unit(tag="K-03")
    services.assign_unit(here, "Key", "head", 1, "K-03", manager)
    with pytest.raises(Conflict, match="already does Key: head"):
        services.assign_unit(here, "Rim", "head", 1, "K-03", manager)


def test_two_jobs_exchange_their_units(manager) -> None:
    here = the_recipe(planned(a_recipe(look=a_look(lights=[_light("Key"), _light("Rim")]))))
    for light, tag in (("Key", "K-03"), ("Rim", "K-05")):
        a_unit(tag=tag)
        services.assign_unit(here, light, "head", 1, tag, manager)
    services.swap_units(here, Slot("Key", "head"), Slot("Rim", "head"), manager)
    assert {a.light: a.unit.tag for a in here.assignments.all()} == {"Key": "K-05", "Rim": "K-03"}


def test_a_stand_is_no_lens(manager) -> None:
    stand = a_stand(tag="ST-01")
    with pytest.raises(Invalid, match="ST-01 is a stand; lens needs a lens"):
        services.assign_unit(the_recipe(planned()), "", "lens", 1, stand.tag, manager)


@pytest.mark.parametrize(
    ("light", "job", "number", "said"),
    [
        ("Kye", "head", 1, "no light 'Kye'"),
        ("", "head", 1, "belongs to a light"),
        ("Key", "lens", 1, "belongs to the whole recipe"),
        ("Key", "juggler", 1, "no job 'juggler'"),
        ("Key", "head", 0, "counted from 1"),
    ],
)
def test_a_job_that_the_look_cannot_have_gets_a_sentence(manager, light, job, number, said) -> None:
    with pytest.raises(Invalid, match=said):
        services.assign_unit(the_recipe(planned()), light, job, number, a_unit().tag, manager)


def test_an_unknown_tag_gets_a_sentence(manager) -> None:
    with pytest.raises(Gone, match="no unit with the tag 'X-99'"):
        services.assign_unit(the_recipe(planned()), "Key", "head", 1, "X-99", manager)


def test_a_slot_that_somebody_else_filled_meanwhile_is_left_as_it_is(manager) -> None:
    here = the_recipe(planned())
    a_unit(tag="K-03")
    a_unit(tag="K-05")
    services.assign_unit(here, "Key", "head", 1, "K-03", manager)
    with pytest.raises(Conflict, match="Somebody else put K-03 on Key: head"):
        services.assign_unit(here, "Key", "head", 1, "K-05", manager, seen_tag="")


def test_an_extra_unit_is_promised_without_a_job(manager) -> None:
    shoot = planned()
    services.add_extra_unit(shoot, a_unit(tag="K-09").tag, manager)
    assert promised(shoot) == {"K-09"}
    services.remove_extra_unit(shoot, "K-09", manager)
    assert promised(shoot) == set()


def test_an_extra_unit_with_a_job_is_not_just_let_go(manager) -> None:
    shoot = planned()
    a_unit(tag="K-03")
    services.assign_unit(the_recipe(shoot), "Key", "head", 1, "K-03", manager)
    with pytest.raises(Conflict, match="still does Key: head"):
        services.remove_extra_unit(shoot, "K-03", manager)


def test_a_head_is_plugged_into_a_circuit_of_the_room(manager) -> None:
    here = the_recipe(planned())
    services.assign_unit(here, "Key", "head", 1, a_unit().tag, manager)
    services.set_circuit(here, "Key", 1, "A", manager)
    assert here.assignments.get().circuit == "A"
    with pytest.raises(Invalid, match="no circuit 'Z'"):
        services.set_circuit(here, "Key", 1, "Z", manager)


def test_a_change_is_announced(manager, monkeypatch) -> None:
    shoot = planned()
    unit = a_unit()
    heard = []
    monkeypatch.setattr("gear.changes._writers", [heard.extend])
    services.assign_unit(the_recipe(shoot), "Key", "head", 1, unit.tag, manager)
    assert [(change.topic, change.ids) for change in heard] == [("shoot", (shoot.pk,))]


def _light(name: str) -> dict:
    return {"name": name, "role": "key", "bearing_deg": 40, "distance_m": 1.5, "height_m": 2.0}
