"""Sixty-four people do everything at once on a real server: nothing is promised that cannot be, nobody sees a fault,
and who met a deadlock never hears of it."""

from __future__ import annotations

import os

import pytest

from tests.race.audit import deadlocks, faults
from tests.race.server import gunicorn
from tests.race.storm import a_storm, the_world

pytestmark = [pytest.mark.race, pytest.mark.django_db(transaction=True)]

LONG = os.environ.get("FULLSTOP_LONG") == "1"
CLIENTS = 64
ACTS = 60 if LONG else 3


def test_whatever_many_do_at_once_nothing_is_promised_twice_and_nobody_sees_a_fault(tmp_path) -> None:
    world, log = the_world(CLIENTS // 2), tmp_path / "server.log"
    before = deadlocks()
    with gunicorn(workers=2, threads=CLIENTS // 2, log=log, alone=True) as address:
        answers = a_storm(address, world, clients=CLIENTS, acts=ACTS)
    met, again = deadlocks() - before, log.read_text().count(" met 40")
    print(f"\n{sorted(answers.seen.items())}\n{met} deadlocks, {again} tried again")
    assert answers.strange == []
    assert faults() == []
    assert again >= met, "a deadlock that nobody tried again"
    for act in ("unit", "exchange", "kit", "stock", "extend", "confirm"):
        assert answers.done(act), f"nobody managed to {act}, so that this race says nothing of it"
