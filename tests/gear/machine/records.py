"""What the database holds, read without the code under test: for comparing it with the twin and with itself."""

from __future__ import annotations

import json
from typing import Any

from django.db import connection

__all__ = ["Records", "announced", "broken_history", "everything", "last_event", "overlapping", "rows"]

_TABLES = (
    "booking_booking",
    "booking_allocation",
    "booking_unitwindow",
    "stock_stockpromise",
    "stock_stockmovement",
    "kits_kitpromise",
    "kits_kittaken",
    "subhire_subhire",
    "shortages_shortage",
    "shortages_shortagenote",
    "shortages_latereturn",
    "inventory_unit",
    "inventory_careentry",
    "history_event",
    "outbox_message",
)
_KEYS = {"booking_unitwindow": "unit_id"}
_QUIET = "array['version', 'created_at', 'updated_at']"

Records = dict[str, str]


def rows(sql: str, *values: Any) -> list[tuple]:
    with connection.cursor() as cursor:
        cursor.execute(sql, values)
        return cursor.fetchall()


def everything() -> Records:
    """A fingerprint of every table that an act of booking may touch."""
    parts = [
        f"""SELECT '{table}', coalesce(md5(string_agg(t::text, '|' ORDER BY {_KEYS.get(table, "id")})), '')
            FROM {table} t"""
        for table in _TABLES
    ]
    return dict(rows(" UNION ALL ".join(parts)))


def overlapping() -> list[tuple]:
    """Pairs of active promises of one unit that overlap, and promises that do not cover their use."""
    return rows(
        """SELECT a.id, b.id FROM booking_allocation a JOIN booking_allocation b
           ON a.unit_id = b.unit_id AND a.id < b.id AND a.active AND b.active AND a.blocked && b.blocked
           UNION ALL SELECT id, id FROM booking_allocation WHERE NOT blocked @> use OR isempty(use)"""
    )


def last_event() -> int:
    return rows("SELECT coalesce(max(id), 0) FROM history_event")[0][0]


def broken_history(since: int) -> list[tuple]:
    """Rows of watched tables that differ from the last line of their history, and lines that do not follow on the line
    before them."""
    parts = [
        f"""SELECT '{table}', coalesce(e.row_id, r.id) FROM (
                SELECT DISTINCT ON (row_id) row_id, act, row_after FROM history_event
                WHERE "table" = '{table}' AND id > {since} ORDER BY row_id, id DESC
            ) e FULL JOIN (SELECT id, to_jsonb(t) - {_QUIET} AS now FROM {table} t) r ON r.id = e.row_id
            WHERE (r.id IS NULL AND e.act <> 'deleted')
               OR (r.id IS NOT NULL AND (e.row_id IS NULL OR e.act = 'deleted' OR e.row_after <> r.now))"""
        for table in ("booking_booking", "booking_allocation", "inventory_unit")
    ]
    parts.append(
        f"""SELECT "table" || ' line', id FROM (
                SELECT id, "table", act, row_before,
                       lag(row_after) OVER (PARTITION BY "table", row_id ORDER BY id) AS was
                FROM history_event WHERE id > {since}
            ) chain WHERE act <> 'made' AND row_before IS DISTINCT FROM was"""
    )
    return rows(" UNION ALL ".join(parts))


def announced() -> dict[str, set[int]]:
    """What the outbox holds since it was last emptied: topic to ids."""
    found: dict[str, set[int]] = {}
    for (body,) in rows("SELECT body::text FROM outbox_message WHERE topic = 'changes'"):
        for topic, ids in json.loads(body).items():
            found.setdefault(topic, set()).update(ids)
    with connection.cursor() as cursor:
        cursor.execute("DELETE FROM outbox_message")
    return found
