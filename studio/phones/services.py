"""Taking what a phone sends, so that each act has one effect, in the order in which it was done.

An act is written down and done in one transaction; a phone that heard no answer sends it again and gets the same one.
Acts of one phone are done by their numbers: one whose predecessor is missing waits, until it comes or the phone says
that it does not have it any more.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from django.utils import timezone

from gear.booking.transactions import in_one_transaction
from gear.errors import Conflict, FieldProblem, Gone, Invalid, Refusal
from studio.people.models import Person
from studio.phones.doing import Became, act_of, do
from studio.phones.formats import Act, key_of, read_act, without_photo
from studio.phones.models import Device, Operation
from studio.phones.rights import judged
from studio.shoots.models import Shoot

__all__ = ["Answer", "Sending", "give_up_waiting", "take"]

State = Operation.State

MOST_MISSING = 1000
LONGEST = 20_000
CLOCK_TOLERANCE = timedelta(seconds=5)


@dataclass(frozen=True)
class Sending:
    """What one request of a phone says. ``now`` is its clock, ``lowest_kept`` the lowest number it still has, or the
    next one it will use; ``unsent`` how many acts it has that no server has answered."""

    device_id: UUID
    name: str
    now: datetime
    lowest_kept: int
    unsent: int
    documents: Sequence[Any]


@dataclass(frozen=True)
class Answer:
    """What became of one act. ``kept`` is whether the server has it; only then may the phone let it go."""

    key: str
    number: int | None
    kept: bool
    state: str
    sentence: str
    unit: str | None = None


def take(sending: Sending, by: Person) -> list[Answer]:
    """Take a batch, each act in a transaction of its own; an answer for each, in the order of the request."""
    behind = timezone.now() - sending.now
    if abs(behind) < CLOCK_TOLERANCE:
        behind = timedelta(0)
    _greet(sending, by)
    answers = {}
    numbered = []
    for place, document in enumerate(sending.documents):
        try:
            numbered.append((key_of(document)[1], place, document))
        except Invalid as invalid:
            answers[place] = Answer("", None, False, "unreadable", invalid.sentence)
    for _, place, document in sorted(numbered, key=lambda entry: entry[:2]):
        try:
            answers[place] = _take_one(sending.device_id, document, behind, by)
        except Refusal as refusal:
            key, number = key_of(document)
            answers[place] = Answer(str(key), number, False, refusal.code, refusal.sentence)
    _mark_missing_before(sending.device_id, sending.lowest_kept)
    return [_as_it_stands(answers[place], sending.device_id) for place in range(len(sending.documents))]


@in_one_transaction
def give_up_waiting(device_id: UUID, by: Any) -> int:
    """Nobody expects the missing acts of a phone any more (it is lost, or its memory): what waits for them is done.
    Returns how many are marked as never arrived."""
    device = _locked(device_id)
    first = device.operations.filter(state=State.WAITING).order_by("number").first()
    if first is None:
        raise Conflict("Nothing of this phone waits.", code="nothing-waits")
    return _mark_missing(device, first.number)


def _as_it_stands(answer: Answer, device_id: UUID) -> Answer:
    """What waited when it was taken may be done by what came after it."""
    if answer.state != State.WAITING:
        return answer
    found = Operation.objects.select_related("unit").get(device_id=device_id, number=answer.number)
    return _answer(found)


@in_one_transaction
def _greet(sending: Sending, by: Person) -> None:
    device, made = Device.objects.get_or_create(
        id=sending.device_id,
        defaults={
            "name": sending.name,
            "last_person": by,
            "last_seen_at": timezone.now(),
            "unsent": sending.unsent,
        },
    )
    if not made:
        Device.objects.filter(pk=device.pk).update(
            name=sending.name, last_person=by, last_seen_at=timezone.now(), unsent=sending.unsent
        )


@in_one_transaction
def _take_one(device_id: UUID, document: Any, behind: timedelta, by: Person) -> Answer:
    key, number = key_of(document)
    device = _locked(device_id)
    known = Operation.objects.select_related("unit").filter(key=key).first()
    if known is not None:
        if (known.device_id, known.number) != (device_id, number):
            raise Conflict("This key belongs to another act; nothing was done.", code="key-used")
        return _answer(known)
    same = device.operations.filter(number=number).first()
    if same is not None and same.state != State.GAP:
        raise Conflict(f"Number {number} of this phone is another act; nothing was done.", code="number-used")
    operation = same or Operation(device=device, number=number)
    operation.key, operation.sent_by, operation.made_by = key, by, by
    operation.document = _storable(document)
    try:
        act = read_act(document)
    except Invalid as invalid:
        if invalid.code == "unknown-format":
            raise  # it stays on the phone until this server has been renewed
        operation.state, operation.sentence = State.REVIEW, invalid.sentence[:500]
    else:
        _fill(operation, act, behind, by)
        if same is not None:
            operation.state = State.REVIEW
            operation.sentence = "It arrived after later acts of this phone had been done without it."
    operation.save()
    _go_on(device)
    operation.refresh_from_db()
    return _answer(operation)


def _fill(operation: Operation, act: Act, behind: timedelta, by: Person) -> None:
    operation.act, operation.mark, operation.photo = act.act, act.mark[:120], act.photo
    operation.shoot = Shoot.objects.filter(pk=act.shoot_id).first()
    operation.acted_at = min(act.acted_at + behind, timezone.now())
    operation.state = State.WAITING
    if act.made_by is not None and act.made_by != by.pk:
        operation.made_by = Person.objects.filter(pk=act.made_by).first()


def _go_on(device: Device) -> None:
    """Do what is next by its number, as far as there is no hole."""
    while True:
        following = device.operations.filter(number=device.done_up_to + 1).select_related(
            "made_by", "sent_by"
        )
        operation = following.first()
        if operation is None:
            return
        if operation.state == State.WAITING:
            became = _judged_and_done(operation)
            operation.state, operation.sentence = became.state, became.sentence[:500]
            operation.unit = became.unit
            if operation.state == State.DONE:
                operation.photo = None  # it stands with the care history now
            operation.save(update_fields=["state", "sentence", "unit", "photo"])
        device.done_up_to += 1
        device.save(update_fields=["done_up_to"])


def _judged_and_done(operation: Operation) -> Became:
    maker, sender = operation.made_by, operation.sent_by
    if maker is None or sender is None or operation.acted_at is None:
        return Became(State.REVIEW, "Nobody knows any more who did this.")
    verdict = judged(maker, sender, operation.act, operation.acted_at)
    if verdict is not None:
        return Became(*verdict)
    return do(act_of(operation), maker)


def _storable(document: Any) -> dict[str, Any]:
    """What a database can keep of a document, however odd."""
    text = json.dumps(without_photo(document)).replace("\\u0000", "")
    return dict(json.loads(text)) if len(text) < LONGEST else {"too long": text[:2000]}


@in_one_transaction
def _mark_missing_before(device_id: UUID, number: int) -> None:
    _mark_missing(_locked(device_id), number)


def _mark_missing(device: Device, before: int) -> int:
    """Mark what never arrived below ``before``, and do what waited for it. Raises `Invalid` for a nonsensical hole."""
    missing = before - 1 - device.done_up_to
    if missing <= 0:
        return 0
    if missing > MOST_MISSING:
        raise Invalid(
            f"Between {device.done_up_to} and {before} more is missing than one phone can lose.",
            (FieldProblem("lowest_kept", "the lowest number that this phone still has"),),
        )
    there = set(
        device.operations.filter(number__gt=device.done_up_to, number__lt=before).values_list(
            "number", flat=True
        )
    )
    gaps = [
        Operation(
            device=device,
            number=number,
            state=State.GAP,
            sentence="The phone does not have it any more, and it never arrived.",
        )
        for number in range(device.done_up_to + 1, before)
        if number not in there
    ]
    Operation.objects.bulk_create(gaps)
    _go_on(device)
    return len(gaps)


def _locked(device_id: UUID) -> Device:
    device = Device.objects.select_for_update(of=("self",), no_key=True).filter(pk=device_id).first()
    if device is None:
        raise Gone("No phone with this number has ever sent anything.")
    return device


def _answer(operation: Operation) -> Answer:
    return Answer(
        str(operation.key),
        operation.number,
        True,
        operation.state,
        operation.sentence,
        operation.unit.tag if operation.unit else None,
    )
