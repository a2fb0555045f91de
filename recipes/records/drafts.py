"""What happens to work that is not saved yet: kept, taken up again, saved, thrown away."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from copy import deepcopy
from typing import Any

from django.contrib.auth import get_user_model
from django.db import transaction

from gear.errors import Conflict, FieldProblem, Invalid
from recipes.look import Look, LookError, parse_look
from recipes.records.merge import Choice, Merge, merge
from recipes.records.models import Draft, Recipe, Revision
from recipes.records.queries import a_revision, draft_of
from recipes.records.rules import require_change
from recipes.records.services import NeedsMerge, save_revision, write_recipe
from recipes.records.typed import Typed, blank_look, read, typed_of

__all__ = [
    "discard",
    "keep_text",
    "keep_typed",
    "merge_of",
    "save_draft",
    "save_merged",
    "start_of",
    "take_text",
]

LONGEST_TEXT = 1_000_000


def start_of(recipe: Recipe | None, number: int | None = None) -> Typed:
    """What the form shows before anybody has typed: the revision to start from, or a new recipe's usual figures."""
    if recipe is None:
        return blank_look()
    return typed_of(
        recipe.head.look if number in (None, recipe.head.number) else a_revision(recipe.pk, number).look
    )


@transaction.atomic
def keep_typed(
    person: Any,
    recipe: Recipe | None,
    number: int | None,
    change: Callable[[Typed], Typed],
    note: str | None = None,
) -> Draft:
    """Change what was typed so far. ``number`` is the revision that the form was made from; a draft keeps its own.

    Where nothing was typed and there was no draft, none is kept: the answer then has no ``pk``.
    """
    draft = _draft(person, recipe, number)
    typed = _storable(change(deepcopy(draft.typed)))
    changed = typed != draft.typed or (note is not None and note != draft.note)
    draft.typed = typed
    if note is not None:
        draft.note = _storable(note)[:300]
    if draft.pk or changed:
        draft.save()
    return draft


@transaction.atomic
def keep_text(person: Any, recipe: Recipe | None, number: int | None, text: str, note: str = "") -> Draft:
    """Keep an edit of the document as text that is no recipe yet."""
    draft = _draft(person, recipe, number)
    draft.text = _storable(text[:LONGEST_TEXT])
    draft.note = _storable(note)[:300]
    draft.save()
    return draft


@transaction.atomic
def take_text(person: Any, recipe: Recipe | None, number: int | None, look: Look, note: str = "") -> Draft:
    """An edit as text that is a recipe takes the place of what was typed."""
    draft = _draft(person, recipe, number)
    draft.typed, draft.text = typed_of(look), ""
    draft.note = _storable(note)[:300]
    draft.save()
    return draft


@transaction.atomic
def save_draft(draft: Draft, note: str) -> Recipe:
    """What was typed becomes a new recipe or a new revision, and the draft is gone.

    Raises `Invalid` with the fields that are wrong, and `NeedsMerge` when somebody saved in between; the draft stays.
    """
    draft = _locked(draft)
    look = _look(draft)
    if draft.recipe is None:
        recipe = write_recipe(look, draft.person, note)
    else:
        assert draft.based_on is not None
        recipe = save_revision(draft.recipe, look, draft.based_on, draft.person, note).recipe
    draft.delete()
    return recipe


def merge_of(draft: Draft, choices: Mapping[str, Choice] | None = None) -> NeedsMerge | None:
    """Both changes, when somebody saved since the draft was begun; None when nobody did."""
    if draft.recipe is None or draft.based_on is None or draft.recipe.head_id == draft.based_on_id:
        return None
    head = a_revision(draft.recipe.pk, draft.recipe.head.number)
    return NeedsMerge(draft.based_on, head, merge(draft.based_on.look, head.look, _look(draft), choices))


@transaction.atomic
def save_merged(draft: Draft, choices: Mapping[str, Choice], seen_head: int, note: str) -> Revision:
    """Save both changes in one revision, after a person has seen them.

    ``seen_head`` is the number of the revision that the person saw as theirs. Raises `NeedsMerge` when it is no longer
    the newest, `Conflict` when a choice is missing, and `Invalid` when the two changes contradict each other.
    """
    draft = _locked(draft)
    assert draft.recipe is not None
    Recipe.objects.select_for_update(of=("self",)).get(pk=draft.recipe_id)
    draft.recipe.refresh_from_db()
    needs = merge_of(draft, choices)
    if needs is None:
        assert draft.based_on is not None
        saved = save_revision(draft.recipe, _look(draft), draft.based_on, draft.person, note)
    else:
        if needs.head.number != seen_head:
            raise needs
        saved = save_revision(draft.recipe, _merged_look(needs.merge), needs.head, draft.person, note)
    draft.delete()
    return saved


def discard(person: Any, recipe: Recipe | None) -> None:
    """Throw away what was typed; what is saved stays as it is."""
    Draft.objects.filter(person=person, recipe=recipe).delete()


def _draft(person: Any, recipe: Recipe | None, number: int | None) -> Draft:
    if recipe is not None:
        require_change(recipe, person)
    # One person's windows take turns, so that two of them never begin the same draft.
    get_user_model().objects.select_for_update(no_key=True).get(pk=person.pk)
    found = draft_of(person, recipe)
    if found is None:
        based_on = a_revision(recipe.pk, number or recipe.head.number) if recipe is not None else None
        return Draft(person=person, recipe=recipe, based_on=based_on, typed=start_of(recipe, number))
    return _locked(found)


def _locked(draft: Draft) -> Draft:
    if draft.pk is None:
        raise Invalid("Nothing is changed yet, so there is nothing to save.")
    found = Draft.objects.select_for_update().filter(pk=draft.pk).first()
    if found is None:
        raise Conflict(
            "This draft was saved or discarded in the meantime, perhaps in another window.",
            ways_out=("Look at the recipe as it is now.",),
        )
    return found


def _look(draft: Draft) -> Look:
    look, problems = read(draft.typed)
    if look is None:
        raise Invalid(
            "This is not a recipe yet; mend these fields first.",
            tuple(FieldProblem(problem.field, problem.expected) for problem in problems),
        )
    return look


def _merged_look(merged: Merge) -> Look:
    if merged.undecided:
        raise Conflict(
            "You both changed the same thing; say for each whose stands.",
            ways_out=tuple(conflict.key for conflict in merged.undecided),
        )
    return _look_of(merged.document)


def _look_of(document: dict[str, Any]) -> Look:
    try:
        return parse_look(document)
    except LookError as error:
        raise Invalid(
            "Each change fits the recipe, but both together do not. Choose otherwise, or keep theirs and change your "
            "draft.",
            tuple(FieldProblem(problem.field, problem.expected) for problem in error.problems),
        ) from None


def _storable(value: Any) -> Any:
    """What PostgreSQL can keep: it has no NUL and no half of a surrogate pair."""
    if isinstance(value, str):
        return value.replace("\x00", "\ufffd").encode("utf-8", "replace").decode()
    if isinstance(value, dict):
        return {key: _storable(child) for key, child in value.items()}
    if isinstance(value, list):
        return [_storable(child) for child in value]
    return value
