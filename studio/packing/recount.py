"""Counting a case again by its label, from paper: after a phone was lost, or when nobody believes the list any more."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import Any

from gear.errors import Conflict, FieldProblem, Invalid, Refusal
from gear.inventory.queries import unit_by_mark
from studio.packing.models import PackingLine
from studio.packing.queries import CaseGroup, packing_list
from studio.packing.services import pack_out, take_back
from studio.shoots.models import Shoot

__all__ = ["Recounted", "case_to_count", "recount"]


@dataclass(frozen=True)
class Recounted:
    """What came of it: how many things the list says anew, sentences of those it could not take, and the tags of the
    case's things that were not there, with what the list says of them."""

    changed: int
    refused: tuple[str, ...]
    not_there: tuple[str, ...]


def case_to_count(shoot: Shoot, mark: str) -> CaseGroup:
    """What should be in a case, by whatever the case is marked with. Raises `Gone`, `Conflict` for a case that does not
    travel with this shoot."""
    case = unit_by_mark(mark)
    for group in packing_list(shoot).groups:
        if group.case is not None and group.case.pk == case.pk:
            return group
    raise Conflict(f"{case.tag} is no case of this list. Read the label on the case, not on what is in it.")


def recount(shoot: Shoot, mark: str, here: Collection[str], way: str, by: Any) -> Recounted:
    """These things are in the case: packed on the way out, back on the way in. The others stay as the list has them,
    and are named. Doing it twice changes nothing. Raises as `case_to_count`, and `Invalid` for what is not in it."""
    group = case_to_count(shoot, mark)
    known = {line.unit.tag for line in group.lines}
    strange = sorted(set(here) - known)
    if strange:
        raise Invalid(
            f"{', '.join(strange)[:80]} does not belong in {group.name}.",
            (FieldProblem("here", "things of this case"),),
        )
    before = _states(shoot, known)
    refused = []
    for tag in sorted(set(here)):
        try:
            (pack_out if way == "out" else take_back)(shoot, tag, by)
        except Refusal as refusal:
            refused.append(refusal.sentence)
    after = _states(shoot, known)
    return Recounted(
        changed=sum(before[tag] != after[tag] for tag in known),
        refused=tuple(refused),
        not_there=tuple(f"{tag} ({after[tag]})" for tag in sorted(known - set(here))),
    )


def _states(shoot: Shoot, tags: Collection[str]) -> dict[str, str]:
    lines = PackingLine.objects.filter(shoot=shoot, unit__tag__in=tags).select_related("unit")
    return {
        line.unit.tag: line.get_outcome_display().lower()
        if line.outcome
        else ("out" if line.out_at else "to pack")
        for line in lines
    }
