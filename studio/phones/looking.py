"""Looking at what a phone sent and nobody could decide by rule: it counts, or it does not, and somebody says so."""

from __future__ import annotations

from typing import Any

from django.utils import timezone

from gear.booking.transactions import in_one_transaction
from gear.errors import Conflict, FieldProblem, Gone, Invalid
from studio.phones.doing import act_of, do
from studio.phones.models import Operation

__all__ = ["accept", "drop"]

State = Operation.State


@in_one_transaction
def accept(pk: int, by: Any) -> Operation:
    """The manager has looked: it counts, as its maker did it. Raises `Conflict` when it cannot be done even so."""
    operation = _to_look_at(pk)
    became = do(act_of(operation), operation.made_by or by)
    if became.state in (State.REVIEW, State.REFUSED):
        raise Conflict(
            f"It cannot be done: {became.sentence}",
            ways_out=("Mend that first and accept it then.", "Drop it, and say what was done instead."),
            code="cannot-be-done",
        )
    operation.unit = became.unit
    return _looked_at(operation, became.state, became.sentence, by)


@in_one_transaction
def drop(pk: int, words: str, by: Any) -> Operation:
    """The manager has looked: it does not count, for this reason. It stays as it was sent."""
    operation = _to_look_at(pk)
    if not words.strip():
        raise Invalid("Say why it does not count.", (FieldProblem("words", "a few words"),))
    return _looked_at(operation, State.REFUSED, words.strip()[:500], by)


def _to_look_at(pk: int) -> Operation:
    found = Operation.objects.select_for_update(of=("self",)).filter(pk=pk).first()
    if found is None:
        raise Gone("There is no such act.")
    if found.state != State.REVIEW:
        raise Conflict("Somebody has looked at it already.", code="settled")
    return found


def _looked_at(operation: Operation, state: str, sentence: str, by: Any) -> Operation:
    operation.state, operation.sentence = state, sentence[:500]
    operation.looked_at, operation.looked_by = timezone.now(), by
    operation.save(update_fields=["state", "sentence", "unit", "looked_at", "looked_by"])
    return operation
