"""Saves that arrive in the same moment: one is first, the other sees it, no number is given twice."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from typing import Any

import pytest
from django.db import connection

from recipes.records.drafts import keep_typed
from recipes.records.models import Draft, Recipe
from recipes.records.services import NeedsMerge, save_revision
from tests.builders import LOOK, a_look, a_person, a_recipe

pytestmark = pytest.mark.django_db(transaction=True)

TOGETHER = 4


def at_once(act: Any) -> list[Any]:
    """Run ``act(0)`` to ``act(3)`` in threads of their own, started together; what each returns or raises."""
    barrier = Barrier(TOGETHER)

    def one(number: int) -> Any:
        try:
            barrier.wait(10)
            return act(number)
        except Exception as error:
            return error
        finally:
            connection.close()

    with ThreadPoolExecutor(TOGETHER) as pool:
        return list(pool.map(one, range(TOGETHER)))


def test_of_four_saves_on_one_revision_one_is_saved_and_three_are_shown_it() -> None:
    recipe = a_recipe()

    def save(number: int) -> Any:
        camera = {**LOOK["camera"], "distance_m": 4.0 + number}
        return save_revision(Recipe.objects.get(pk=recipe.pk), a_look(camera=camera), 1, recipe.owner).number

    results = at_once(save)
    assert results.count(2) == 1
    assert sum(isinstance(result, NeedsMerge) for result in results) == TOGETHER - 1
    assert [revision.number for revision in recipe.revisions.all()] == [1, 2]


def test_a_save_pressed_four_times_at_once_is_saved_once() -> None:
    recipe = a_recipe()
    camera = {**LOOK["camera"], "iso": "200"}
    results = at_once(lambda _: save_revision(recipe, a_look(camera=camera), 1, recipe.owner).number)
    assert results == [2] * TOGETHER
    assert recipe.revisions.count() == 2


def test_two_windows_of_one_person_keep_both_of_their_steps() -> None:
    ana = a_person("photographer")
    recipe = a_recipe(ana)
    fields = ["title", "notes", "extras", "title"]

    def keep(number: int) -> Any:
        return keep_typed(
            ana, recipe, 1, lambda typed: {**typed, fields[number]: f"typed {fields[number]}"}
        ).pk

    results = at_once(keep)
    draft = Draft.objects.get()
    assert set(results) == {draft.pk}
    assert [draft.typed[name] for name in fields] == [f"typed {name}" for name in fields]
