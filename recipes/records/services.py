"""What may be done to recipes: write one, save a revision, put one away, copy it, hand it over."""

from __future__ import annotations

from typing import Any

from django.db import transaction

from gear.changes import announce
from gear.errors import Conflict, FieldProblem, Invalid, NotAllowed, StaleEdit
from recipes.look import Look
from recipes.records.merge import Merge, merge
from recipes.records.models import Recipe, Revision
from recipes.records.rules import Person, require_change

__all__ = [
    "NeedsMerge",
    "archive",
    "copy_recipe",
    "hand_over",
    "save_revision",
    "stored",
    "unarchive",
    "write_recipe",
]

NOTE_LENGTH = 300


class NeedsMerge(StaleEdit):
    """Somebody saved in between. Nothing was written; ``merge`` has both changes, ``head`` is what is saved now."""

    code = "merge"

    def __init__(self, base: Revision, head: Revision, merged: Merge) -> None:
        self.base, self.head, self.merge = base, head, merged
        super().__init__(
            f"{head.by or 'Somebody'} saved revision {head.number} of “{head.recipe.title}” after you began from "
            f"revision {base.number}. Nothing was overwritten and nothing of yours is lost: look at both changes and "
            "say what stands.",
            ways_out=(f"Save again, based on revision {head.number}, with both changes in it.",),
        )


def stored(look: Look) -> dict[str, Any]:
    """A look as the database keeps it."""
    return look.model_dump(mode="json", exclude_none=True)


@transaction.atomic
def write_recipe(look: Look, by: Any, note: str = "", owner: Any = None) -> Recipe:
    """A new recipe with its first revision. It belongs to ``by``, unless the manager writes it for ``owner``."""
    owner = owner or by
    if by.role == "assistant" and not by.is_superuser:
        raise NotAllowed("As assistant you may not write recipes; a photographer or the studio manager can.")
    if owner != by and by.role != "manager" and not by.is_superuser:
        raise NotAllowed("You may write recipes of your own; the studio manager can write them for others.")
    _check_note(note)
    recipe = Recipe.objects.create(title=look.title, owner=owner)
    _add_revision(recipe, 1, look, None, by, note)
    return recipe


@transaction.atomic
def save_revision(recipe: Recipe, look: Look, based_on: Revision | int, by: Any, note: str = "") -> Revision:
    """A new revision on top of ``based_on`` (or its number).

    The same save repeated gives the same revision. Raises `NeedsMerge` when somebody saved in between, `Invalid` when
    nothing differs, `NotAllowed`, and `Conflict` while the recipe is archived.
    """
    recipe = _locked(recipe, by)
    _check_note(note)
    if recipe.archived:
        raise Conflict(
            f"“{recipe.title}” is archived; take it out of the archive before you change it.",
            ways_out=("Take it out of the archive.", "Copy it as a new recipe."),
        )
    number = based_on.number if isinstance(based_on, Revision) else based_on
    base = recipe.revisions.filter(number=number).first()
    if base is None:
        raise Invalid(
            f"“{recipe.title}” has no revision {number}; its newest is {recipe.head.number}.",
            (FieldProblem("based_on", f"a revision from 1 to {recipe.head.number}"),),
        )
    head = recipe.head
    if stored(look) == stored(head.look):
        if head.based_on_id == base.pk and head.by_id == by.pk:
            return head
        raise Invalid(f"Nothing differs from revision {head.number}, so there is nothing to save.")
    if base != head:
        raise NeedsMerge(base, head, merge(base.look, head.look, look))
    return _add_revision(recipe, head.number + 1, look, base, by, note)


def archive(recipe: Recipe, by: Person) -> Recipe:
    """Put a recipe away: out of the list, never deleted. Doing it twice changes nothing."""
    return _set_archived(recipe, by, True)


def unarchive(recipe: Recipe, by: Person) -> Recipe:
    """Back into the list."""
    return _set_archived(recipe, by, False)


@transaction.atomic
def copy_recipe(revision: Revision, title: str, by: Any, note: str = "") -> Recipe:
    """The same look under another title, as a recipe of ``by``. The note says where it came from."""
    said = f"The same as {revision.recipe.title}, revision {revision.number}"
    return write_recipe(
        revision.look.model_copy(update={"title": _title(title)}),
        by,
        (f"{said}: {note}" if note else said)[:NOTE_LENGTH],
    )


@transaction.atomic
def hand_over(recipe: Recipe, to: Any, by: Any) -> Recipe:
    """Another owner, who may then change it."""
    recipe = _locked(recipe, by)
    if to.role == "assistant" or not to.is_active:
        raise Invalid(
            f"{to} may not own recipes; choose a photographer or a studio manager who works here.",
            (FieldProblem("owner", "a photographer or a studio manager"),),
        )
    recipe.owner = to
    recipe.save(update_fields=["owner", "updated_at"])
    return recipe


@transaction.atomic
def _set_archived(recipe: Recipe, by: Person, archived: bool) -> Recipe:
    recipe = _locked(recipe, by)
    if recipe.archived is not archived:
        recipe.archived = archived
        recipe.save(update_fields=["archived", "updated_at"])
    return recipe


def _locked(recipe: Recipe, by: Person) -> Recipe:
    # The row alone: what a locking query joins to it is as old as the query, so the head of a recipe that somebody
    # saved while this one waited would be missing. It is read afterwards.
    found = Recipe.objects.select_for_update().get(pk=recipe.pk)
    require_change(found, by)
    return found


def _add_revision(
    recipe: Recipe, number: int, look: Look, based_on: Revision | None, by: Any, note: str
) -> Revision:
    revision = Revision.objects.create(
        recipe=recipe, number=number, document=stored(look), note=note.strip(), based_on=based_on, by=by
    )
    recipe.head = revision
    recipe.title = look.title
    recipe.save(update_fields=["head", "title", "updated_at"])
    announce("recipe", [recipe.pk])
    return revision


def _title(text: str) -> str:
    """One line, as `recipes.look` wants a title."""
    title = " ".join(text.split())
    if not title or len(title) > 60 or not title.isprintable():
        raise Invalid(
            "Give the copy a title of its own, one line of at most 60 characters.",
            (FieldProblem("title", "one line of at most 60 characters"),),
        )
    return title


def _check_note(note: str) -> None:
    if len(note.strip()) > NOTE_LENGTH or not note.replace("\n", " ").isprintable():
        raise Invalid(
            f"The note is too long or holds characters that do not print; write at most {NOTE_LENGTH} characters.",
            (FieldProblem("note", f"text of at most {NOTE_LENGTH} characters"),),
        )
