"""A remedy that a click applies: only the one that was read, only while its figures hold, only by who may."""

from __future__ import annotations

from typing import Any

import pytest
from django.urls import reverse

from gear.errors import Conflict, Gone, NotAllowed, StaleEdit
from gear.inventory.models import Unit
from studio.people.models import Person
from studio.readiness import alternatives
from studio.readiness.mending import mend
from studio.readiness.models import Readiness
from studio.readiness.services import check_shoots
from studio.shoots.models import Shoot
from tests.builders import a_look, a_person, a_recipe, a_unit
from tests.studio.readiness.plans import WEAK, a_checked_shoot, a_head, a_look_light, state_of
from tests.studio.shoots.plans import the_recipe

pytestmark = pytest.mark.django_db


@pytest.fixture
def manager() -> Person:
    return a_person()


@pytest.fixture
def shoot(manager: Person) -> Shoot:
    """A shoot whose head is too weak, with a stronger one in the store."""
    a_head("K-05")
    return a_checked_shoot(a_head("K-01", WEAK), by=manager)


def the_gap(shoot: Shoot, check: str = "power-range") -> tuple[int, dict[str, Any]]:
    """The gap of a check, with its place among the findings."""
    findings = state_of(shoot).findings
    return next((n, f) for n, f in enumerate(findings) if f["check"] == check and f["status"] == "gap")


def press(shoot: Shoot, action: str, by: Any, **other: Any) -> str:
    """Press "Do this" beside the first remedy of that kind."""
    number, gap = the_gap(shoot)
    remedy = next(n for n, one in enumerate(gap["remedies"]) if one["action"] == action)
    asked = {
        "position": 1,
        "computed_from": state_of(shoot).stored.fingerprint,
        "finding_number": str(number),
        "remedy_number": str(remedy),
    }
    return mend(shoot, **{**asked, **other}, by=by)


def test_a_weak_head_is_a_gap_with_its_number(shoot: Shoot) -> None:
    _, gap = the_gap(shoot)
    assert gap["margin"] < -0.3
    assert gap["unit"] == "stops"


def test_the_offered_head_takes_over_the_job(shoot: Shoot, manager: Person) -> None:
    assert press(shoot, "swap_unit", manager).startswith("K-05 now does Key")
    assert the_recipe(shoot).assignments.get().unit.tag == "K-05"


def test_after_the_other_head_took_over_the_gap_is_gone(shoot: Shoot, manager: Person) -> None:
    press(shoot, "swap_unit", manager)
    check_shoots([shoot])
    assert not [f for f in state_of(shoot).findings if f["check"] == "power-range" and f["status"] == "gap"]


def test_the_head_that_made_way_is_free_again(shoot: Shoot, manager: Person) -> None:
    press(shoot, "swap_unit", manager)
    promised = shoot.booking.allocations.filter(active=True).values_list("unit__tag", flat=True)
    assert set(promised) == {"K-05"}


def test_another_camera_setting_becomes_a_revision_on_the_shoot(manager: Person) -> None:
    shoot = a_shoot_short_by_a_little(manager)
    press(shoot, "change_camera", manager)
    here = the_recipe(shoot)
    assert here.revision.number == 2
    assert here.revision.recipe.head_id == here.revision_id


def test_another_camera_setting_closes_the_gap(manager: Person) -> None:
    shoot = a_shoot_short_by_a_little(manager)
    press(shoot, "change_camera", manager)
    check_shoots([shoot])
    checks = {f["check"] for f in state_of(shoot).findings if f["status"] == "gap"}
    assert checks.isdisjoint({"power-range", "placement"})


def test_the_camera_of_a_recipe_that_went_on_is_not_changed_over_its_head(manager: Person) -> None:
    from recipes.records.services import save_revision

    shoot = a_shoot_short_by_a_little(manager)
    revision = the_recipe(shoot).revision
    save_revision(revision.recipe, revision.look.model_copy(update={"notes": "darker"}), revision, manager)
    with pytest.raises(Conflict, match="newer revision"):
        press(shoot, "change_camera", manager)


def test_a_remedy_of_yesterdays_figures_is_refused(shoot: Shoot, manager: Person) -> None:
    Unit.objects.filter(tag="K-01").update(radio_channel=9)
    with pytest.raises(StaleEdit, match="nothing was done"):
        press(shoot, "swap_unit", manager)
    assert the_recipe(shoot).assignments.get().unit.tag == "K-01"


def test_a_page_that_was_open_while_it_was_computed_again_is_refused(shoot: Shoot, manager: Person) -> None:
    with pytest.raises(StaleEdit):
        press(shoot, "swap_unit", manager, computed_from="0" * 64)


@pytest.mark.parametrize(
    "asked",
    [
        {"finding_number": "99"},
        {"remedy_number": "99"},
        {"finding_number": ""},
        {"remedy_number": "x"},
        {"finding_number": "-1"},
        {"remedy_number": "-1"},
        {"finding_number": "1e9"},
    ],
)
def test_a_remedy_that_is_not_there_is_refused(shoot: Shoot, manager: Person, asked: dict[str, str]) -> None:
    with pytest.raises(Gone, match="not known any more"):
        press(shoot, "swap_unit", manager, **asked)


def test_a_recipe_that_is_not_on_the_shoot_is_refused(shoot: Shoot, manager: Person) -> None:
    with pytest.raises(Gone):
        press(shoot, "swap_unit", manager, position=7)


def test_what_is_done_by_hand_is_not_done_by_a_click(shoot: Shoot, manager: Person) -> None:
    with pytest.raises(Conflict, match="by hand"):
        press(shoot, "edit_recipe", manager)


def test_a_verb_that_nobody_knows_is_refused(shoot: Shoot, manager: Person) -> None:
    row = Readiness.objects.get()
    number, gap = the_gap(shoot)
    row.findings[number]["remedies"][0] = {**gap["remedies"][0], "action": "burn_it"}
    row.save()
    with pytest.raises(Conflict):
        press(shoot, "burn_it", manager)


def test_a_photographer_mends_their_own_shoot() -> None:
    photographer = a_person("photographer")
    a_head("K-05")
    shoot = a_checked_shoot(a_head("K-01", WEAK), by=photographer, state="hold")
    assert press(shoot, "swap_unit", photographer)


def test_a_photographer_does_not_mend_a_shoot_of_somebody_else(shoot: Shoot) -> None:
    with pytest.raises(NotAllowed):
        press(shoot, "swap_unit", a_person("photographer"))
    assert the_recipe(shoot).assignments.get().unit.tag == "K-01"


def test_a_photographer_does_not_change_the_recipe_of_somebody_else(manager: Person) -> None:
    """The shoot is theirs, the recipe is not: nothing of it is written."""
    photographer = a_person("photographer")
    shoot = a_shoot_short_by_a_little(manager, photographer=photographer)
    with pytest.raises(NotAllowed):
        press(shoot, "change_camera", photographer)
    assert the_recipe(shoot).revision.number == 1


def test_an_assistant_has_no_button_and_no_right(shoot: Shoot, signed_in: Any) -> None:
    client = signed_in("assistant")
    page = client.get(reverse("readiness:shoot", args=[shoot.pk]))
    assert "Do this" not in page.content.decode()
    assert client.post(reverse("readiness:mend", args=[shoot.pk, 1])).status_code == 403


def test_the_button_of_the_page_mends(shoot: Shoot, signed_in: Any) -> None:
    client = signed_in("manager")
    number, gap = the_gap(shoot)
    remedy = next(n for n, one in enumerate(gap["remedies"]) if one["action"] == "swap_unit")
    answer = client.post(
        reverse("readiness:mend", args=[shoot.pk, 1]),
        {"fingerprint": state_of(shoot).stored.fingerprint, "finding": number, "remedy": remedy},
        follow=True,
    )
    assert "K-05 now does Key" in answer.content.decode()


def test_a_stale_button_gets_the_sentence_and_a_way_back(shoot: Shoot, signed_in: Any) -> None:
    answer = signed_in("manager").post(
        reverse("readiness:mend", args=[shoot.pk, 1]), {"fingerprint": "old", "finding": 0, "remedy": 0}
    )
    assert answer.status_code == StaleEdit.status
    assert "nothing was done" in answer.content.decode()


def a_shoot_short_by_a_little(by: Person, **more: Any) -> Shoot:
    """One stop short, with ambient that may follow: another aperture brings every zone into its target."""
    look = a_look(
        lights=[a_look_light()],
        zones=[
            {"name": "face", "height_m": 1.55, "target": {"placement_stops": 0.0, "tolerance_stops": 0.3}}
        ],
        ambient=[{"zone": "face", "ev100": 3.0}],
        camera={"aperture": "f/8", "shutter": "1/200", "iso": "100", "distance_m": 3.0, "height_m": 1.6},
    )
    at_full = [
        {"setting_stops": 0, "f_number_iso100": 8.0, "distance_m": 1.0},
        {"setting_stops": -6, "f_number_iso100": 1.0, "distance_m": 1.0},
    ]
    return a_checked_shoot(a_head("K-01", {"output": at_full}), recipe=a_recipe(by, look), by=by, **more)


def test_of_many_alike_one_is_offered_and_looked_at(manager: Person, monkeypatch: Any) -> None:
    """A store may hold thousands of one type: the one that is ready again soonest stands for them."""
    looked_at: list[str] = []
    seen = alternatives._seen
    monkeypatch.setattr(alternatives, "_seen", lambda unit: looked_at.append(unit.tag) or seen(unit))
    strong = a_head("K-08").gear_type
    for tag, turnaround in (("K-07", 60), ("K-06", None), ("K-05", 5)):
        a_unit(strong, tag=tag, turnaround_minutes=turnaround)
    shoot = a_checked_shoot(a_head("K-01", WEAK), by=manager)
    _, gap = the_gap(shoot)
    (swap,) = [one for one in gap["remedies"] if one["action"] == "swap_unit"]
    assert ["unit", "K-05"] in [list(pair) for pair in swap["arguments"]]
    assert sorted(looked_at) == ["K-05"]
