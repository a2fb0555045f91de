"""Machines die in the middle of work: nothing that was acknowledged is lost, and nothing happens twice."""

from __future__ import annotations

import email
import json
import math
import os
import random
import shutil
import time
from collections import Counter
from collections.abc import Sequence
from typing import Any

import psycopg
import pytest
from psycopg.rows import namedtuple_row

from tests.kills.machines import Machines, machines
from tests.kills.people import Acknowledged, Worker
from tests.studio.readiness.brokers import until

pytestmark = [
    pytest.mark.broker,
    pytest.mark.skipif(not shutil.which("redis-server"), reason="no redis-server on this machine"),
]

KILLS = int(os.environ.get("FULLSTOP_KILLS", "200")) if os.environ.get("FULLSTOP_LONG") else 8
PATIENCE_S = 600


def test_kills_lose_nothing_and_double_nothing() -> None:
    with machines() as them:
        found = json.loads(them.run("-m", "tests.kills.seed"))
        them.mend()
        them.wait_for_web()
        people = [
            Worker(name, session, them.web_ports, found)
            for name, session in zip(("runa", "odo", "tilda", "ben"), found["sessions"], strict=True)
        ]
        for person in people:
            person.start()
        killed = kill_while_they_work(them, people)
        for person in people:
            person.finish()
        for person in people:
            person.join(PATIENCE_S)
            assert not person.is_alive(), f"{person.name} was never answered"
            assert person.trouble is None, person.trouble
        told = [person.told for person in people]
        with psycopg.connect(them.database_url, autocommit=True, row_factory=namedtuple_row) as line:
            what_waits_is_done(line)
            again, answers = (
                sum(one.sent_again for one in told),
                sum((one.answers for one in told), Counter()),
            )
            print(f"\nkilled {dict(killed)}; answered {dict(answers)}, {again} of them not at once")
            assert sum(killed.values()) == KILLS
            each_shoot_is_there_once_as_it_was_acknowledged(line, told)
            each_entry_is_there_once(line, told)
            assert what_is_on_the_shelf(line, found["item"]) == 1000 + sum(one.bought for one in told)
            assert overlapping(line) == 0
            history_has_each_creation_once(line, told)
            each_mail_left(line, them)
        assert them.run("-m", "tests.kills.stale").strip() == "[]"


def kill_while_they_work(them: Machines, people: Sequence[Worker]) -> Counter[str]:
    """Kill one thing after the other, each time when something was answered since the last."""
    chance = random.Random(7)
    killed: Counter[str] = Counter()
    order: list[str] = []
    while sum(killed.values()) < KILLS:
        before = answered(people)
        until(lambda before=before: answered(people) >= before + 3, PATIENCE_S, "somebody is answered")
        assert not [person.trouble for person in people if person.trouble]
        if not order:
            order = [*them.victims]
            chance.shuffle(order)
        victim = order.pop()
        them.kill(victim, chance)
        killed[victim] += 1
        time.sleep(chance.uniform(0.0, 0.4))
        them.mend()
    return killed


def answered(people: Sequence[Worker]) -> int:
    return sum(sum(person.told.answers.values()) for person in people)


def what_waits_is_done(line: Any) -> None:
    """What a broker or a worker took into its grave is handed over again after ten minutes; here they pass at once,
    and again when workers had half a minute for what was left."""
    waiting = "SELECT count(*) FROM outbox_message WHERE done_at IS NULL"
    passed_at = -math.inf

    def nothing_waits() -> bool:
        nonlocal passed_at
        (left,) = line.execute(waiting).fetchone()
        if left and time.monotonic() - passed_at > 30:
            line.execute("UPDATE outbox_message SET due_at = now() WHERE done_at IS NULL")
            passed_at = time.monotonic()
        time.sleep(0.5)
        return bool(left == 0)

    until(nothing_waits, PATIENCE_S, "the outbox is empty")


def each_shoot_is_there_once_as_it_was_acknowledged(line: Any, told: Sequence[Acknowledged]) -> None:
    rows = line.execute(
        "SELECT s.id, s.title, b.state FROM shoots_shoot s JOIN booking_booking b ON b.id = s.booking_id"
    ).fetchall()
    acknowledged = {title: pk for one in told for title, pk in one.shoots.items()}
    assert Counter(row.title for row in rows) == Counter(dict.fromkeys(acknowledged, 1))
    assert {row.title: row.id for row in rows} == acknowledged
    states = {pk: state for one in told for pk, state in one.states.items()}
    assert {row.id: row.state for row in rows} == states
    held: dict[int, set[str]] = {pk: set() for pk in states}
    for row in line.execute(
        """SELECT r.shoot_id, u.tag FROM shoots_assignment a JOIN shoots_shootrecipe r ON r.id = a.shoot_recipe_id
           JOIN inventory_unit u ON u.id = a.unit_id"""
    ):
        held[row.shoot_id].add(row.tag)
    assert held == {pk: tags for one in told for pk, tags in one.units.items()}


def each_entry_is_there_once(line: Any, told: Sequence[Acknowledged]) -> None:
    rows = line.execute("SELECT text FROM inventory_careentry WHERE kind IN ('note', 'fault')").fetchall()
    acknowledged = [text for one in told for text in (*one.notes, *one.faults)]
    assert Counter(row.text for row in rows) == Counter(acknowledged)


def what_is_on_the_shelf(line: Any, item: int) -> int:
    (total,) = line.execute(
        "SELECT sum(quantity) FROM stock_stockmovement WHERE item_id = %s", [item]
    ).fetchone()
    return int(total)


def overlapping(line: Any) -> int:
    (pairs,) = line.execute(
        """SELECT count(*) FROM booking_allocation a JOIN booking_allocation b
           ON a.unit_id = b.unit_id AND a.id < b.id AND a.active AND b.active AND a.blocked && b.blocked"""
    ).fetchone()
    return int(pairs)


def history_has_each_creation_once(line: Any, told: Sequence[Acknowledged]) -> None:
    rows = line.execute(
        """SELECT row_id, count(*) AS times FROM history_event
           WHERE "table" = 'shoots_shoot' AND act = 'made' GROUP BY row_id"""
    ).fetchall()
    assert {row.row_id: row.times for row in rows} == {pk: 1 for one in told for pk in one.states}


def each_mail_left(line: Any, them: Machines) -> None:
    """At least once; when its sender died between sending and writing so down, again with the same Message-ID."""
    sent: Counter[str] = Counter()
    for path in them.mail_folder.glob("*") if them.mail_folder.exists() else ():
        text = path.read_text().partition("-" * 79)[0]
        sent[str(email.message_from_string(text)["Message-ID"])] += 1
    rows = line.execute("SELECT id FROM outbox_message WHERE topic = 'mail'").fetchall()
    numbers = Counter(int(name.strip("<").partition(".")[0]) for name in sent if name != "None")
    assert set(numbers) == {row.id for row in rows}
    assert set(numbers.values()) <= {1}, "one mail, two names"
    print(f"{len(rows)} mails left, {sum(times - 1 for times in sent.values())} of them twice")
