"""One phone, two pages and an impatient network: the same acts arrive many times at once, and happen once."""

from __future__ import annotations

import uuid
from datetime import UTC, datetime
from typing import Any

import pytest

from studio.packing.models import PackingLine
from studio.phones.models import Device, Operation
from tests.builders import a_gear_type, a_person, a_unit
from tests.race.server import at_once, client_of, gunicorn
from tests.studio.phones.phone import a_list

pytestmark = [pytest.mark.race, pytest.mark.django_db(transaction=True)]

ACTS, TIMES = 12, 16


def test_the_same_acts_sixteen_times_in_one_moment() -> None:
    person, kind = a_person("assistant"), a_gear_type()
    units = [a_unit(kind) for _ in range(ACTS)]
    shoot = a_list(*units)
    acts: list[dict[str, Any]] = [
        {
            "format": 3, "key": str(uuid.uuid4()), "number": number, "shoot": shoot.pk, "act": "out", "mark": unit.tag,
            "at": datetime.now(UTC).isoformat(), "person": person.pk, "listed": True,
        }
        for number, unit in enumerate(units, start=1)
    ]  # fmt: skip
    body = {
        "device": str(uuid.uuid4()),
        "now": datetime.now(UTC).isoformat(),
        "lowest_kept": 1,
        "operations": acts,
    }
    with gunicorn() as address:
        client = client_of(person, address)
        answers = at_once([lambda: client.post("/api/phones/operations", json=body)] * TIMES)
    assert {answer.status_code for answer in answers} == {200}
    told = [[(one["number"], one["state"]) for one in answer.json()["answers"]] for answer in answers]
    assert told == [[(number, "done") for number in range(1, ACTS + 1)]] * TIMES
    assert Operation.objects.count() == ACTS
    assert PackingLine.objects.filter(out_at__isnull=False).count() == ACTS
    assert Device.objects.get().done_up_to == ACTS
