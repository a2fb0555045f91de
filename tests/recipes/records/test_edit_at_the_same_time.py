"""Two people edit one recipe at once: the second sees both changes, and both are there afterwards."""

from __future__ import annotations

from typing import Any

import pytest

from recipes.records.models import Draft, Recipe
from recipes.records.services import save_revision
from tests.builders import LOOK, a_look, a_recipe
from tests.recipes.records.pages import send

pytestmark = pytest.mark.django_db


@pytest.fixture
def two(signed_in: Any) -> tuple[Any, Any, Recipe]:
    """The owner, the manager, and the recipe they both have open."""
    ana, manager = signed_in("photographer"), signed_in("manager")
    return ana, manager, a_recipe(ana.person)


def edit(client: Any, recipe: Recipe, slug: str, **changes: str) -> None:
    assert send(client, f"/recipes/{recipe.pk}/edit/{slug}", **changes).status_code == 302


def save(client: Any, recipe: Recipe, note: str = "") -> Any:
    return client.post(f"/recipes/{recipe.pk}/edit/save", {"do": "save", "note": note, "based_on": "1"})


def test_the_second_gets_the_merge_page_and_after_it_both_changes_are_there(two: Any) -> None:
    ana, manager, recipe = two
    edit(ana, recipe, "camera", **{"camera-aperture": "f/4.5"})
    edit(manager, recipe, "lights", **{"lights-0-distance_m": "2"})
    assert save(ana, recipe, "windows brighter").url == f"/recipes/{recipe.pk}"
    merge_url = f"/recipes/{recipe.pk}/edit/merge"
    assert save(manager, recipe, "key further off").url == merge_url
    page = manager.get(merge_url).content.decode()
    assert "+2/3 stop for everything" in page
    assert "Light Key: distance" in page
    assert "key further off" in page
    assert recipe.revisions.count() == 2
    assert manager.post(merge_url, {"theirs": "2", "note": "key further off"}).url == f"/recipes/{recipe.pk}"
    recipe.refresh_from_db()
    look = recipe.head.look
    assert (recipe.head.number, recipe.head.based_on.number, recipe.head.by) == (3, 2, manager.person)
    assert (look.camera.aperture, look.lights[0].distance_m) == ("f/4.5", 2.0)
    assert not Draft.objects.filter(person=manager.person).exists()


def test_a_conflict_must_be_decided_and_the_decision_stands(two: Any) -> None:
    ana, manager, recipe = two
    edit(ana, recipe, "camera", **{"camera-aperture": "f/4.5"})
    edit(manager, recipe, "camera", **{"camera-aperture": "f/8"})
    save(ana, recipe)
    save(manager, recipe)
    merge_url = f"/recipes/{recipe.pk}/edit/merge"
    undecided = manager.post(merge_url, {"theirs": "2", "note": "kept"})
    assert undecided.status_code == 409
    assert "say for each whose stands" in undecided.content.decode()
    assert "kept" in undecided.content.decode()
    assert recipe.revisions.count() == 2
    manager.post(merge_url, {"theirs": "2", "choice:camera/aperture": "mine"})
    recipe.refresh_from_db()
    assert (recipe.head.number, recipe.head.look.camera.aperture) == (3, "f/8")


def test_a_third_save_meanwhile_is_shown_before_anything_is_written(two: Any) -> None:
    ana, manager, recipe = two
    edit(manager, recipe, "camera", **{"camera-iso": "200"})
    save_revision(recipe, a_look(camera={**LOOK["camera"], "aperture": "f/4.5"}), 1, ana.person)
    manager.get(f"/recipes/{recipe.pk}/edit/merge")
    save_revision(recipe, a_look(camera={**LOOK["camera"], "aperture": "f/4"}), 2, ana.person)
    answer = manager.post(f"/recipes/{recipe.pk}/edit/merge", {"theirs": "2"})
    assert answer.status_code == 412
    assert 'name="theirs" value="3"' in answer.content.decode()
    assert recipe.revisions.count() == 3
    manager.post(f"/recipes/{recipe.pk}/edit/merge", {"theirs": "3"})
    recipe.refresh_from_db()
    assert (recipe.head.look.camera.aperture, recipe.head.look.camera.iso) == ("f/4", "200")


def test_two_changes_that_contradict_each_other_are_not_saved_and_the_draft_stays(two: Any) -> None:
    ana, manager, recipe = two
    lift = {"lights-0-lifts-0-zone": "window", "lights-0-lifts-0-value": "1"}
    send(manager, f"/recipes/{recipe.pk}/edit/lights", "add-lift-0")
    edit(manager, recipe, "lights", **lift)
    save_revision(recipe, a_look(zones=[LOOK["zones"][0]], ambient=[LOOK["ambient"][0]]), 1, ana.person)
    answer = manager.post(f"/recipes/{recipe.pk}/edit/merge", {"theirs": "2"})
    assert answer.status_code == 422
    assert "both together do not" in answer.content.decode()
    assert recipe.revisions.count() == 2
    assert Draft.objects.filter(person=manager.person).exists()


def test_the_editing_page_says_that_somebody_saved_meanwhile(two: Any) -> None:
    ana, manager, recipe = two
    edit(manager, recipe, "camera", **{"camera-iso": "200"})
    save_revision(recipe, a_look(camera={**LOOK["camera"], "aperture": "f/4.5"}), 1, ana.person)
    page = manager.get(f"/recipes/{recipe.pk}/edit/zones").content.decode()
    assert "Revision 2 was saved after you began from revision 1" in page


def test_a_form_opened_before_somebody_saved_is_merged_too(two: Any) -> None:
    """No draft existed yet: the form itself says which revision it was made from."""
    ana, manager, recipe = two
    from tests.recipes.records.pages import fields_of

    url = f"/recipes/{recipe.pk}/edit/camera"
    opened = fields_of(manager.get(url).content.decode())
    save_revision(recipe, a_look(camera={**LOOK["camera"], "aperture": "f/4.5"}), 1, ana.person)
    manager.post(url, {**opened, "camera-iso": "200", "do": "next"})
    assert save(manager, recipe).url == f"/recipes/{recipe.pk}/edit/merge"
    manager.post(f"/recipes/{recipe.pk}/edit/merge", {"theirs": "2"})
    recipe.refresh_from_db()
    assert (recipe.head.look.camera.aperture, recipe.head.look.camera.iso) == ("f/4.5", "200")
