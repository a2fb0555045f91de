"""Is a unit free for a use? As one condition in the words of the database, since it is asked of thousands of units.

It says what `queries.live` and `queries.due` say, without being put together anew for each question: that took longer
than the answer. `tests/gear/machine` holds it to what is counted minute by minute.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable
from datetime import datetime, timedelta
from typing import Any

from django.db import connection
from django.db.models import BooleanField, F, Func
from django.db.models.functions import Coalesce

from gear.booking.interval import Interval

__all__ = ["free_for", "ids_free_for", "tags_free_for"]

_MOST = timedelta(hours=3)
"""Most units need no more before and after their use. For them the promises around the use are read once, by the index
of time, and not unit by unit; the others are asked for singly."""


def free_for(use: Interval, ignoring: Iterable[int], at: datetime) -> Func:
    """A condition on units with their gear types: each is here for the whole of the use with its own prep and
    turnaround, nobody has it then, and nobody waits for it whose turn has come. ``ignoring`` names bookings whose own
    promises do not count."""
    return _Free(_values(use, ignoring, at))


def tags_free_for(use: Interval, gear_type_id: int, ignoring: Iterable[int], at: datetime) -> list[str]:
    """The tags of all units of a type, in service, on which that condition holds, those first that are ready again
    soonest: in one statement that is put together once."""
    with connection.cursor() as cursor:
        cursor.execute(_FREE_TAGS, {**_values(use, ignoring, at), "type": gear_type_id})
        return [tag for (tag,) in cursor.fetchall()]


def ids_free_for(
    use: Interval, unit_ids: Collection[int], ignoring: Iterable[int], at: datetime
) -> frozenset[int]:
    """Those of these units, in service, on which that condition holds."""
    with connection.cursor() as cursor:
        cursor.execute(_FREE_IDS, {**_values(use, ignoring, at), "units": list(unit_ids)})
        return frozenset(pk for (pk,) in cursor.fetchall())


def _values(use: Interval, ignoring: Iterable[int], at: datetime) -> dict[str, Any]:
    starts, ends = use.starts_at - use.travel, use.ends_at + use.travel
    return {
        "starts": starts,
        "ends": ends,
        "near_from": starts - _MOST,
        "near_to": ends + _MOST,
        "most": _MOST // timedelta(minutes=1),
        "ignoring": list(ignoring),
        "at": at,
    }


class _Free(Func):
    output_field = BooleanField()

    def __init__(self, values: dict[str, Any]) -> None:
        self.values = values
        super().__init__(
            F("pk"),
            Coalesce("prep_minutes", "gear_type__prep_minutes"),
            Coalesce("turnaround_minutes", "gear_type__turnaround_minutes"),
        )

    def as_sql(self, compiler: Any, connection: Any, **more: Any) -> tuple[str, list[Any]]:
        names = ("unit", "prep", "turnaround")
        written = dict(zip(names, map(compiler.compile, self.source_expressions), strict=True))
        parameters: list[Any] = []

        def put(found: re.Match[str]) -> str:
            text, mine = written.get(found[1], ("%s", [self.values.get(found[1])]))
            parameters.extend(mine)
            return str(text)

        return _NAME.sub(put, _FREE), parameters


_NAME = re.compile(r"\{(\w+)\}")
_BLOCKED = (
    "tstzrange({starts}::timestamptz - make_interval(mins => {prep}), "
    "{ends}::timestamptz + make_interval(mins => {turnaround}))"
)
_LIVE = """{p}.active AND NOT (
    {b}.state = 'hold' AND ({b}.hold_until <= {at} OR COALESCE({p}.lapses_at <= {at}, false)))"""


def _live(promise: str, booking: str) -> str:
    return _LIVE.replace("{p}", promise).replace("{b}", booking)


_TAKEN = f"""
    SELECT FROM booking_allocation a JOIN booking_booking b ON b.id = a.booking_id
     WHERE a.unit_id = {{unit}} AND {_live("a", "b")} AND a.blocked && {_BLOCKED}
       AND a.booking_id <> ALL({{ignoring}}::bigint[])
"""
_NEAR = "AND a.blocked && tstzrange({near_from}, {near_to})"
_WAITED_FOR = f"""
    SELECT FROM booking_allocation w JOIN booking_booking wb ON wb.id = w.booking_id
     WHERE w.unit_id = {{unit}} AND w.waits_since IS NOT NULL AND w.blocked && {_BLOCKED}
       AND wb.state = 'hold' AND wb.hold_until > {{at}} AND upper(w.blocked) > {{at}}
       AND w.booking_id <> ALL({{ignoring}}::bigint[])
       AND NOT EXISTS (
           SELECT FROM booking_allocation o JOIN booking_booking ob ON ob.id = o.booking_id
            WHERE o.unit_id = w.unit_id AND {_live("o", "ob")} AND o.blocked && w.blocked
              AND o.booking_id <> w.booking_id)
"""
_AWAY = f"SELECT FROM booking_unitwindow u WHERE u.unit_id = {{unit}} AND NOT u.during @> {_BLOCKED}"
_FREE = (
    f"(NOT EXISTS ({_TAKEN} {_NEAR}) "
    f"AND NOT (({{prep}} > {{most}} OR {{turnaround}} > {{most}}) AND EXISTS ({_TAKEN})) "
    f"AND NOT EXISTS ({_WAITED_FOR}) AND NOT EXISTS ({_AWAY}))"
)

_COLUMNS = {
    "unit": "thing.id",
    "prep": "COALESCE(thing.prep_minutes, kind.prep_minutes)",
    "turnaround": "COALESCE(thing.turnaround_minutes, kind.turnaround_minutes)",
}
_READY_AND_FREE = f"""
      FROM inventory_unit thing JOIN catalogue_geartype kind ON kind.id = thing.gear_type_id
     WHERE thing.condition = 'ready' AND {_NAME.sub(lambda found: _COLUMNS.get(found[1], f"%({found[1]})s"), _FREE)}
"""
_FREE_TAGS = f"""
    SELECT thing.tag {_READY_AND_FREE} AND thing.gear_type_id = %(type)s
     ORDER BY {_COLUMNS["turnaround"]}, thing.tag
"""
_FREE_IDS = f"SELECT thing.id {_READY_AND_FREE} AND thing.id = ANY(%(units)s::bigint[])"
