"""Many clients that do a bit of everything to the same gear at the same time, over HTTP."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import timedelta
from typing import Any

import httpx

from gear.shortages.models import Shortage
from studio.shoots.services import plan_shoot
from tests.builders import a_gear_type, a_person, a_recipe, a_room, a_unit
from tests.gear.booking.times import between
from tests.gear.kits.sets import a_kit
from tests.gear.stock.counted import an_item
from tests.race.server import at_once, client_of

__all__ = ["Answers", "World", "a_storm", "the_world"]

EXPECTED = {200, 201, 204, 404, 409, 412}
"""Done, or refused because somebody else was there first."""


@dataclass
class World:
    """Eight heads with an hour of prep and turnaround, ten sandbags, two kits that name the same parts in opposite
    order, and shoots whose times overlap in part."""

    manager: Any
    tags: list[str]
    item: int
    kits: list[int]
    shoots: list[Any]


@dataclass
class Answers:
    """What came back: how often each act met which status, and whatever should not have come."""

    seen: Counter[tuple[str, int]] = field(default_factory=Counter)
    strange: list[str] = field(default_factory=list)

    def add(self, act: str, answer: httpx.Response) -> None:
        self.seen[act, answer.status_code] += 1
        if answer.status_code not in EXPECTED:
            self.strange.append(f"{act}: {answer.status_code} {answer.text[:300]}")

    def done(self, act: str) -> int:
        return sum(count for (name, status), count in self.seen.items() if name == act and status < 300)


def the_world(shoots: int) -> World:
    manager, room, recipe = a_person(), a_room(), a_recipe()
    kind = a_gear_type(prep_minutes=60, turnaround_minutes=60)
    units = [a_unit(kind) for _ in range(8)]
    bags = an_item(10, turnaround_minutes=30)
    kits = [
        a_kit(units[0], units[1], (4, bags), units[2]),
        a_kit(units[2], (3, bags), units[1], units[0]),
    ]
    planned = [
        plan_shoot(f"Shoot {n}", room, between(3 * n, 3 * n + 3), manager, manager, recipes=[recipe.head])
        for n in range(shoots)
    ]
    return World(manager, [unit.tag for unit in units], bags.pk, [kit.pk for kit in kits], planned)


def a_storm(address: str, world: World, *, clients: int, acts: int, seed: int = 1) -> Answers:
    """Every client does ``acts`` things, drawn by its own chance, to shoots that others change as well."""
    lines = [client_of(world.manager, address) for _ in range(clients)]
    answers = Answers()

    def one(number: int) -> None:
        chance = random.Random(seed * 1000 + number)
        for _ in range(acts):
            act = chance.choice(ACTS)
            shoot = world.shoots[(number + chance.randrange(3)) % len(world.shoots)]
            answers.add(act.__name__, act(lines[number], world, shoot, chance))

    at_once([lambda n=n: one(n) for n in range(clients)])
    for line in lines:
        line.close()
    return answers


def unit(line: httpx.Client, world: World, shoot: Any, chance: random.Random) -> httpx.Response:
    return line.post(f"/api/shoots/{shoot.pk}/units", json={"unit": chance.choice(world.tags)})


def exchange(line: httpx.Client, world: World, shoot: Any, chance: random.Random) -> httpx.Response:
    """Whoever does the job makes way, in one step."""
    job = {"unit": chance.choice(world.tags), "recipe": 1, "light": "Key", "job": "head"}
    return line.post(f"/api/shoots/{shoot.pk}/units", json=job)


def kit(line: httpx.Client, world: World, shoot: Any, chance: random.Random) -> httpx.Response:
    return line.post(f"/api/shoots/{shoot.pk}/kits", json={"kit": chance.choice(world.kits)})


def let_kit_go(line: httpx.Client, world: World, shoot: Any, chance: random.Random) -> httpx.Response:
    there = line.get(f"/api/shoots/{shoot.pk}/kits").json()
    number = there[0]["id"] if there else 0
    return line.delete(f"/api/shoots/{shoot.pk}/kits/{number}")


def stock(line: httpx.Client, world: World, shoot: Any, chance: random.Random) -> httpx.Response:
    body = {"item": world.item, "quantity": str(chance.randrange(0, 5))}
    return line.put(f"/api/shoots/{shoot.pk}/stock", json=body)


def extend(line: httpx.Client, world: World, shoot: Any, chance: random.Random) -> httpx.Response:
    begins = shoot.booking.starts_at + timedelta(hours=chance.randrange(-2, 3))
    ends = begins + timedelta(hours=chance.randrange(2, 6))
    body = {"starts": begins.isoformat(), "ends": ends.isoformat()}
    return line.post(f"/api/shoots/{shoot.pk}/move", json=body)


def confirm(line: httpx.Client, world: World, shoot: Any, chance: random.Random) -> httpx.Response:
    return line.post(f"/api/shoots/{shoot.pk}/confirm", json={})


def cancel(line: httpx.Client, world: World, shoot: Any, chance: random.Random) -> httpx.Response:
    return line.post(f"/api/shoots/{shoot.pk}/{chance.choice(['cancel', 'uncancel', 'uncancel'])}", json={})


def fault(line: httpx.Client, world: World, shoot: Any, chance: random.Random) -> httpx.Response:
    return line.post(f"/api/units/{chance.choice(world.tags[4:])}/faults", json={"text": "The tube flickers"})


def repair(line: httpx.Client, world: World, shoot: Any, chance: random.Random) -> httpx.Response:
    tag = chance.choice(world.tags[4:])
    body = {
        "condition": "ready",
        "text": "New tube, tested",
        "version": line.get(f"/api/units/{tag}").json()["version"],
    }
    return line.post(f"/api/units/{tag}/condition", json=body)


def way_out(line: httpx.Client, world: World, shoot: Any, chance: random.Random) -> httpx.Response:
    """Whoever is short takes another unit, or goes without."""
    number = chance.choice(list(Shortage.objects.filter(closed_at=None).values_list("pk", flat=True)) or [0])
    way = chance.choice(
        [{"act": "swap", "value": chance.choice(world.tags)}, {"act": "without", "value": ""}]
    )
    return line.post(f"/api/shortages/{number}/resolution", json=way)


ACTS: list[Callable[..., httpx.Response]] = [
    unit,
    unit,
    exchange,
    exchange,
    kit,
    kit,
    let_kit_go,
    stock,
    stock,
    extend,
    confirm,
    cancel,
    fault,
    repair,
    way_out,
    way_out,
]
