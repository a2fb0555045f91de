"""Recipes are written, saved as revisions that never change, put away, copied, handed over."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import IntegrityError, transaction

from gear.changes import Change, _writers
from gear.errors import Conflict, Invalid, NotAllowed
from recipes.look import parse_look
from recipes.records.models import Revision
from recipes.records.services import (
    NeedsMerge,
    archive,
    copy_recipe,
    hand_over,
    save_revision,
    unarchive,
    write_recipe,
)
from tests.builders import LOOK, a_look, a_person, a_recipe

pytestmark = pytest.mark.django_db

WIDER = {**LOOK["camera"], "aperture": "f/4.5"}
FASTER = {**LOOK["camera"], "iso": "200"}


@pytest.fixture
def announced(django_capture_on_commit_callbacks: Any) -> Any:
    """What listeners hear while something runs and commits."""
    heard: list[Change] = []
    _writers.append(heard.extend)

    def run(act: Any) -> list[Change]:
        heard.clear()
        with django_capture_on_commit_callbacks(execute=True):
            act()
        return [*heard]

    yield run
    _writers.remove(heard.extend)


def test_a_recipe_is_written_with_its_first_revision() -> None:
    ana = a_person("photographer")
    recipe = write_recipe(a_look(), ana, "from the depot")
    assert (recipe.title, recipe.owner, recipe.head.number) == ("Portrait at the big window", ana, 1)
    assert (recipe.head.note, recipe.head.by, recipe.head.look) == ("from the depot", ana, a_look())


def test_a_revision_is_saved_on_top_and_the_old_one_stays() -> None:
    recipe = a_recipe()
    saved = save_revision(recipe, a_look(camera=WIDER), recipe.head, recipe.owner, "two thirds brighter")
    recipe.refresh_from_db()
    assert recipe.head == saved
    assert (saved.number, saved.based_on.number, saved.note) == (2, 1, "two thirds brighter")
    assert recipe.revisions.get(number=1).look == a_look()


def test_the_title_of_the_recipe_is_that_of_its_newest_revision() -> None:
    recipe = a_recipe()
    save_revision(recipe, a_look(title="The same at dusk"), 1, recipe.owner)
    recipe.refresh_from_db()
    assert recipe.title == "The same at dusk"


def test_a_new_head_is_announced_and_an_unchanged_one_is_not(announced: Any) -> None:
    recipe = a_recipe()
    assert announced(lambda: save_revision(recipe, a_look(camera=WIDER), 1, recipe.owner)) == [
        Change("recipe", (recipe.pk,))
    ]
    assert announced(lambda: save_revision(recipe, a_look(camera=WIDER), 1, recipe.owner)) == []


@pytest.mark.parametrize("change", ["update", "delete"])
def test_the_database_refuses_to_change_a_revision(change: str) -> None:
    recipe = a_recipe()
    rows = Revision.objects.filter(recipe=recipe)
    with pytest.raises(IntegrityError, match="never changes"), transaction.atomic():
        rows.update(note="other") if change == "update" else rows._raw_delete(rows.db)


def test_the_same_save_repeated_gives_the_same_revision() -> None:
    recipe = a_recipe()
    first = save_revision(recipe, a_look(camera=WIDER), 1, recipe.owner)
    assert save_revision(recipe, a_look(camera=WIDER), 1, recipe.owner) == first
    assert recipe.revisions.count() == 2


def test_saving_what_is_already_there_is_refused() -> None:
    recipe = a_recipe()
    with pytest.raises(Invalid, match="Nothing differs from revision 1"):
        save_revision(recipe, a_look(), 1, recipe.owner)


def test_a_save_on_an_older_revision_writes_nothing_and_brings_both_changes() -> None:
    ana = a_person("photographer", first_name="Ana", last_name="Reis")
    recipe = a_recipe(ana)
    save_revision(recipe, a_look(camera=WIDER), 1, ana, "wider")
    with pytest.raises(NeedsMerge) as refused:
        save_revision(recipe, a_look(camera=FASTER), 1, a_person("manager"))
    needs = refused.value
    assert "Ana Reis saved revision 2" in needs.sentence
    assert needs.status == 412
    merged = parse_look(needs.merge.document).camera
    assert (merged.aperture, merged.iso) == ("f/4.5", "200")
    assert recipe.revisions.count() == 2


def test_a_revision_that_does_not_exist_is_named() -> None:
    recipe = a_recipe()
    with pytest.raises(Invalid, match="no revision 7; its newest is 1") as refused:
        save_revision(recipe, a_look(camera=WIDER), 7, recipe.owner)
    assert refused.value.problems[0].where == "based_on"


def test_a_photographer_changes_only_their_own() -> None:
    recipe = a_recipe(a_person("photographer"))
    other = a_person("photographer")
    for act in (
        lambda: save_revision(recipe, a_look(camera=WIDER), 1, other),
        lambda: archive(recipe, other),
        lambda: hand_over(recipe, other, other),
    ):
        with pytest.raises(NotAllowed, match="belongs to"):
            act()
    assert recipe.revisions.count() == 1


def test_the_manager_changes_all_and_an_assistant_none() -> None:
    recipe = a_recipe(a_person("photographer"))
    assert save_revision(recipe, a_look(camera=WIDER), 1, a_person("manager")).number == 2
    with pytest.raises(NotAllowed):
        save_revision(recipe, a_look(), 2, a_person("assistant"))
    with pytest.raises(NotAllowed):
        write_recipe(a_look(), a_person("assistant"))


def test_only_the_manager_writes_for_somebody_else() -> None:
    ana, manager = a_person("photographer"), a_person("manager")
    assert write_recipe(a_look(), manager, owner=ana).owner == ana
    with pytest.raises(NotAllowed):
        write_recipe(a_look(), ana, owner=manager)


@pytest.mark.parametrize("note", ["x" * 301, "nul \x00", "bell \x07"])
def test_a_note_that_cannot_be_kept_is_refused(note: str) -> None:
    recipe = a_recipe()
    with pytest.raises(Invalid) as refused:
        save_revision(recipe, a_look(camera=WIDER), 1, recipe.owner, note)
    assert refused.value.problems[0].where == "note"


def test_an_archived_recipe_is_not_changed_until_it_is_taken_out() -> None:
    recipe = a_recipe()
    archive(recipe, recipe.owner)
    with pytest.raises(Conflict, match="archived"):
        save_revision(recipe, a_look(camera=WIDER), 1, recipe.owner)
    assert unarchive(recipe, recipe.owner).archived is False
    assert save_revision(recipe, a_look(camera=WIDER), 1, recipe.owner).number == 2


def test_a_copy_is_the_same_look_under_its_own_title_and_says_where_it_came_from() -> None:
    recipe, other = a_recipe(), a_person("photographer")
    made = copy_recipe(recipe.head, "  The same,  moodier ", other)
    assert (made.title, made.owner) == ("The same, moodier", other)
    assert made.head.look == a_look(title="The same, moodier")
    assert made.head.note == "The same as Portrait at the big window, revision 1"


@pytest.mark.parametrize("title", ["", "  ", "x" * 61, "a\x00b"])
def test_a_copy_needs_a_title(title: str) -> None:
    recipe = a_recipe()
    with pytest.raises(Invalid, match="title of its own"):
        copy_recipe(recipe.head, title, recipe.owner)


def test_whoever_gets_a_recipe_may_change_it() -> None:
    recipe, other = a_recipe(), a_person("photographer")
    before = recipe.owner
    hand_over(recipe, other, recipe.owner)
    assert save_revision(recipe, a_look(camera=WIDER), 1, other).number == 2
    with pytest.raises(NotAllowed):
        save_revision(recipe, a_look(), 2, before)
    with pytest.raises(Invalid, match="may not own"):
        hand_over(recipe, a_person("assistant"), other)
