"""What travels in which case: a unit scanned into a case is in that one, and in no other."""

from __future__ import annotations

from typing import Any

from django.db import transaction

from gear.changes import announce
from gear.errors import Conflict, FieldProblem, Gone, Invalid
from gear.inventory.models import Unit
from gear.inventory.rules import case_loop, tag_to_find

__all__ = ["InAnotherCase", "put_into_case"]


class InAnotherCase(Conflict):
    """The unit is in another case: it is moved only by somebody who says so."""

    code = "in-another-case"


@transaction.atomic
def put_into_case(tag: str, case_tag: str, by: Any, *, move: bool = False) -> Unit:
    """The unit travels in this case. Scanning it again changes nothing; out of another case it comes only with
    ``move``. Raises `InAnotherCase`, `Gone`, and `Invalid` for what is no case or would be in itself."""
    units = Unit.objects.select_for_update(of=("self",), no_key=True).select_related("gear_type", "case")
    wanted = {tag_to_find(tag.strip()), tag_to_find(case_tag.strip())}
    found = {unit.tag: unit for unit in units.filter(tag__in=wanted).order_by("pk")}
    for asked in (tag, case_tag):
        if tag_to_find(asked.strip()) not in found:
            raise Gone(f"There is no unit {asked.strip()[:20]}. Put the thing into the found tray.")
    unit, case = found[tag_to_find(tag.strip())], found[tag_to_find(case_tag.strip())]
    if case.gear_type.kind != "case":
        raise Invalid(f"{case.tag} is not a case.", (FieldProblem("case", "the tag of a case"),))
    loop = case_loop(unit.tag, case.tag, _case_of)
    if loop:
        raise Invalid(
            f"{unit.tag} cannot travel in {case.tag}: {' in '.join(loop)}.",
            (FieldProblem("case", "a case that is not inside it"),),
        )
    if unit.case_id == case.pk:
        return unit
    if unit.case is not None and not move:
        raise InAnotherCase(
            f"{unit.tag} is in {unit.case.tag} already. Move it to {case.tag}?",
            ways_out=(f"Move it to {case.tag}", f"Leave it in {unit.case.tag}"),
        )
    unit.case = case
    unit.version += 1
    unit.save()
    announce("unit", [unit.pk])
    return unit


def _case_of(tag: str) -> str | None:
    return Unit.objects.filter(tag=tag).values_list("case__tag", flat=True).first()
