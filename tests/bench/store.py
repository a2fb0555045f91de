"""A store of any size by COPY: units, shoots with what is promised to them, their recipes, readiness and packing.

For so many promises there are a tenth as many units and a tenth as many shoots, each with ten units and a recipe on
which three of them work. A round gives every unit away once, to a shoot in a time of its own, so that the constraint
holds by construction and is still asked, as is every trigger; nine rounds are over and the tenth lies ahead.
"""

from __future__ import annotations

import json
import os
import random
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict, dataclass
from datetime import UTC, datetime, timedelta

from django.db import connection

from gear.catalogue.models import GearType
from gear.inventory.short_code import code_of
from recipes.records.models import Revision
from studio.people.models import Person
from studio.places.models import Room
from tests.builders import STROBE, a_person, a_recipe, a_room
from tests.studio.web.samples import FINDINGS

__all__ = ["LONG", "SIZES", "Store", "a_store", "fill"]

LONG = os.environ.get("FULLSTOP_LONG") == "1"
_USUAL = "1000,1000000" if LONG else "1000,10000"
SIZES = tuple(int(size) for size in os.environ.get("FULLSTOP_BENCH_PROMISES", _USUAL).split(","))
"""How many promises the benches of growth fill the store with, the fewest first."""

UNITS_A_SHOOT = ROUNDS = 10
UNITS_A_TYPE = 100
NUMEROUS = 2000
"""So many units are of the first gear type, as soon as there are more than these."""

_ROUND = timedelta(days=120)
_KINDS = ("strobe", "stand", "battery", "trigger")
_SPECS = {
    "strobe": STROBE,
    "stand": {"kind": "stand", "min_height_m": 1, "max_height_m": 3, "foot_radius_m": 0.5, "max_load_kg": 9},
    "battery": {"kind": "battery", "fit": "rail-48", "capacity_wh": 90},
    "trigger": {"kind": "trigger", "radio": ["northlight"]},
}
_MAKERS = ("Halden Works", "Ostwind Optical", "Kettle and Frame", "Brannock", "Lumen Row")


@dataclass(frozen=True)
class Store:
    """What there is: ids from the first up to and without the last; the first gear type has the most units."""

    promises: int
    units: range
    shoots: range
    types: Sequence[GearType]
    now: datetime

    @property
    def coming(self) -> range:
        """The shoots of the round that lies ahead."""
        return self.shoots[len(self.shoots) * (ROUNDS - 1) // ROUNDS :]


def a_store(promises: int, seed: int = 1) -> Store:
    """Fill an empty database with so many promises, and let it be vacuumed and counted; outside of a transaction."""
    store = fill(promises, seed)
    with connection.cursor() as cursor:
        cursor.execute("VACUUM ANALYZE")
    return store


def fill(promises: int, seed: int = 1) -> Store:
    """The same without vacuuming, as it can be done inside of a transaction."""
    chance = random.Random(seed)
    now = datetime.now(UTC).replace(minute=0, second=0, microsecond=0)
    many = max(promises // ROUNDS, UNITS_A_SHOOT)
    people = [a_person("photographer") for _ in range(20)]
    rooms = [room for _ in range(5) for room in _rooms()]
    revisions = [a_recipe(person).head for person in people]
    types = _types(many)
    units = _units(many, types, now)
    shoots = range(1, many // UNITS_A_SHOOT * ROUNDS + 1)
    shoots = _shoots(shoots, units, rooms, people, [one for one in revisions if one], now, chance)
    return Store(len(shoots) * UNITS_A_SHOOT, units, shoots, types, now)


def copied(table: str, columns: str, rows: Iterable[Sequence[object]]) -> None:
    """Write these rows by COPY. Ids that are given are counted on from afterwards."""
    connection.ensure_connection()
    with connection.connection.cursor() as cursor:
        with cursor.copy(f"COPY {table} ({columns}) FROM STDIN") as copy:
            for row in rows:
                copy.write_row(row)
        if columns.startswith("id,"):
            cursor.execute(f"SELECT setval(pg_get_serial_sequence('{table}', 'id'), max(id)) FROM {table}")


def _rooms() -> Iterator[Room]:
    first = a_room()
    yield first
    for number in range(3):
        yield a_room(place=first.place, name=f"Hall {number + 2}")


def _types(units: int) -> list[GearType]:
    few = 1 + max(units - NUMEROUS, 0) // UNITS_A_TYPE if units > NUMEROUS else max(units // UNITS_A_TYPE, 1)
    return GearType.objects.bulk_create(
        GearType(
            slug=f"type-{number}",
            name=f"{_KINDS[number % 4].title()} {number:04d}",
            maker=_MAKERS[number % len(_MAKERS)],
            kind=_KINDS[number % 4],
            spec=_SPECS[_KINDS[number % 4]],
        )
        for number in range(few)
    )


def _units(many: int, types: Sequence[GearType], now: datetime) -> range:
    first = _next("inventory_unit")
    numerous = NUMEROUS if many > NUMEROUS else UNITS_A_TYPE

    def type_of(number: int) -> GearType:
        return types[0 if number < numerous else min(1 + (number - numerous) // UNITS_A_TYPE, len(types) - 1)]

    def conditions(number: int) -> tuple[str, str]:
        return ("repair", "flickers at full power") if number % 200 == 199 else ("ready", "")

    copied(
        "inventory_unit",
        "id, tag, code, serial, condition, condition_note, shelf, notes, version, updated_at, firmware, "
        "gear_type_id, inspection_due, radio_channel",
        (
            (
                first + number,
                f"U-{number:06d}",
                code_of(number * 61 + 7),
                f"SN{number * 7919 % 10**8:08d}",
                *conditions(number),
                f"Shelf {number % 400}",
                "",
                1,
                now - timedelta(minutes=number % 50000),
                "1.4" if number % 3 else "",
                type_of(number).pk,
                (now + timedelta(days=number % 1400)).date() if number % 2 else None,
                number % 16 + 1 if type_of(number).kind == "trigger" else None,
            )
            for number in range(many)
        ),
    )
    return range(first, first + many)


def _shoots(
    numbers: range,
    units: range,
    rooms: Sequence[Room],
    people: Sequence[Person],
    revisions: Sequence[Revision],
    now: datetime,
    chance: random.Random,
) -> range:
    first = max(_next("booking_booking"), _next("shoots_shoot"), _next("shoots_shootrecipe"))
    ids = range(first, first + len(numbers))
    starts, given = [], []
    for turn in range(ROUNDS):
        begins = now + _ROUND * (turn - ROUNDS + 1) + timedelta(days=1)
        shuffled = chance.sample(units, len(units))
        for at in range(0, len(shuffled) - UNITS_A_SHOOT + 1, UNITS_A_SHOOT):
            starts.append(begins + timedelta(hours=chance.randrange(24 * (_ROUND.days - 3))))
            given.append(shuffled[at : at + UNITS_A_SHOOT])
    lasts = timedelta(hours=8)
    turnaround = timedelta(minutes=30)
    over = [at + lasts < now for at in starts]
    copied(
        "booking_booking",
        "id, title, state, hold_until, starts_at, ends_at, zone, starts_wall, ends_wall, version, created_at, "
        "updated_at, asked_by_id",
        (
            (
                pk,
                f"Shoot {pk:06d}",
                "closed" if over[n] else "hold" if n % 10 == 0 else "confirmed",
                now + timedelta(days=n % 6 + 1) if n % 10 == 0 and not over[n] else None,
                starts[n],
                starts[n] + lasts,
                "Europe/Paris",
                "",
                "",
                1,
                now,
                now,
                people[n % len(people)].pk,
            )
            for n, pk in enumerate(ids)
        ),
    )
    copied(
        "booking_allocation",
        "booking_id, unit_id, use, blocked, active, pinned, created_at",
        (
            (pk, unit, f"[{start},{end})", f"[{start},{end + turnaround})", True, False, now)
            for n, pk in enumerate(ids)
            for start, end in [(starts[n], starts[n] + lasts)]
            for unit in given[n]
        ),
    )
    copied(
        "shoots_shoot",
        "id, title, notes, version, booking_id, room_id, photographer_id",
        (
            (pk, f"Shoot {pk:06d}", "", 1, pk, rooms[n % len(rooms)].pk, people[n % len(people)].pk)
            for n, pk in enumerate(ids)
        ),
    )
    _plans(ids, given, over, revisions, now)
    return ids


def _plans(
    ids: range, given: Sequence[list[int]], over: list[bool], revisions: Sequence[Revision], now: datetime
) -> None:
    copied(
        "shoots_shootrecipe",
        "id, shoot_id, revision_id, position",
        ((pk, pk, revisions[n % len(revisions)].pk, 1) for n, pk in enumerate(ids)),
    )
    copied(
        "shoots_assignment",
        "shoot_recipe_id, light, job, number, unit_id, circuit",
        (
            (pk, light, job, 1, given[n][place], "")
            for n, pk in enumerate(ids)
            for place, (light, job) in enumerate((("Key", "head"), ("Key", "stand"), ("", "trigger")))
        ),
    )
    findings = json.dumps([asdict(finding) for finding in FINDINGS[:4]])
    copied(
        "readiness_readiness",
        "shoot_recipe_id, fingerprint, worst, findings, prediction, computed_at, told_gaps",
        ((pk, f"{pk:064x}", "ok", findings, "{}", now, "[]") for pk in ids),
    )
    copied(
        "packing_packingline",
        "shoot_id, unit_id, reason, wanted, out_at, outcome, outcome_at, outcome_note",
        (
            (pk, unit, "on the list", True, now - _ROUND if over[n] else None, *_back(over[n], now), "")
            for n, pk in enumerate(ids)
            if n % 2 == 0
            for unit in given[n]
        ),
    )


def _back(over: bool, now: datetime) -> tuple[str, datetime | None]:
    return ("in", now) if over else ("", None)


def _next(table: str) -> int:
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT COALESCE(max(id), 0) + 1 FROM {table}")
        return int(cursor.fetchone()[0])
