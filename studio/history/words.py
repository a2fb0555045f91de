"""How is a change said? A sentence without its subject, from the row before and the row after."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.apps import apps
from django.contrib.postgres.fields import RangeField
from django.db import models

from gear.booking.wall_time import OPEN_END
from studio.history.models import Event
from studio.history.phrases import (
    ANY,
    AT_FIRST,
    CALLED,
    NAMED_ONLY,
    NONE,
    SHOWN_WITH,
    TURNS,
    UNSAID,
    WRITTEN_ANEW,
)

__all__ = ["Names", "Said", "as_changes", "foreign_rows", "moment_said", "put_together", "sentences"]

Names = Mapping[tuple[str, int], str]
"""(table, id) → what people call that row."""

_LONGEST = 60
_MOST_NAMED = 5

_PLACE = re.compile(r"\{(\w+)\}")
_PLACES = re.compile(r"\{\w+\}(?: \{\w+\})*")


@dataclass(frozen=True)
class _Table:
    name: str
    model: type[models.Model]
    fields: dict[str, models.Field[Any, Any]]


@dataclass(frozen=True)
class Said:
    """A sentence without its subject; with a ``name`` it has a place ``{}`` for it, and for the names of others to
    which the same happened."""

    form: str
    name: str = ""


def put_together(said: Iterable[Said]) -> list[str]:
    """The sentences, each once; what happened alike to several is one: ``put C-05 and C-06 on the packing list``."""
    named: dict[str, list[str]] = {}
    for one in said:
        there = named.setdefault(one.form, [])
        if one.name and one.name not in there:
            there.append(one.name)
    return [form.replace("{}", _listed(there)) if there else form for form, there in named.items()]


def _listed(there: list[str]) -> str:
    if len(there) > _MOST_NAMED + 1:
        return f"{', '.join(there[:_MOST_NAMED])} and {len(there) - _MOST_NAMED} more"
    return " and ".join(", ".join(there).rsplit(", ", 1))


def sentences(event: Event, names: Names, zone: str) -> list[Said]:
    """What happened, one sentence a changed field: ``changed shelf from A1 to A2``."""
    table = _table(event.table)
    row = event.row_after or event.row_before or {}
    made, deleted, of = SHOWN_WITH.get(event.table, ("", "", ""))
    if event.act == Event.Act.CHANGED:
        if turn := _turn(event):
            return [Said(turn, _filled(CALLED.get(event.table, "{unit}"), table, row, names, zone))]
        whose = f" of {_filled(of, table, row, names, zone)}" if of else ""
        return [Said(text) for text in _changes(event, table, whose, names, zone)]
    column, form = AT_FIRST.get(event.table, ("", ""))
    if event.act == Event.Act.MADE and row.get(column):
        return [Said(form, _filled(CALLED.get(event.table, "{unit}"), table, row, names, zone))]
    if event.table not in SHOWN_WITH:
        verb = "entered" if event.act == Event.Act.MADE else "deleted"
        return [Said(f"{verb} this {table.model._meta.verbose_name}")]
    form = made if event.act == Event.Act.MADE else deleted
    if not form:
        return []
    if len(_PLACES.findall(form)) == 1:
        return [Said(_PLACES.sub("{}", form), _filled(_PLACES.findall(form)[0], table, row, names, zone))]
    return [Said(_filled(form, table, row, names, zone))]


def as_changes(events: Iterable[Event]) -> list[Event]:
    """The events of one transaction, in which a row that was only written anew is a change of it, or nothing at all."""
    gone: dict[tuple[str, ...], list[Event]] = defaultdict(list)
    kept: list[Event] = []
    for event in events:
        same = WRITTEN_ANEW.get(event.table)
        row = event.row_after or event.row_before or {}
        key = (event.table, *(str(row.get(column)) for column in same or ()))
        if same and event.act == Event.Act.DELETED:
            gone[key].append(event)
        elif same and event.act == Event.Act.MADE and gone[key]:
            kept.append(_one_change(gone[key].pop(0), event))
        else:
            kept.append(event)
    left = [event for events in gone.values() for event in events]
    return sorted((*kept, *left), key=lambda event: event.pk)


def _one_change(gone: Event, made: Event) -> Event:
    before = {**(gone.row_before or {}), "id": made.row_id}
    return Event(
        pk=made.pk,
        at=made.at,
        person_id=made.person_id,
        act=Event.Act.CHANGED,
        table=made.table,
        row_id=made.row_id,
        row_before=before,
        row_after=made.row_after,
    )


def _turn(event: Event) -> str:
    before, after = event.row_before or {}, event.row_after or {}
    if event.table == "booking_allocation" and before.get("waits_since") and after.get("active"):
        return "gave it {}, for which it had waited in line"
    for column, became, form in TURNS.get(event.table, ()):
        now = after.get(column)
        holds = bool(now) if became is ANY else now in (None, "") if became is NONE else now == became
        if before.get(column) != now and holds:
            return form
    return ""


def foreign_rows(event: Event) -> Iterator[tuple[str, int]]:
    """The rows of other tables that its sentences will name, as (table, id)."""
    table = _table(event.table)
    before, after = event.row_before or {}, event.row_after or {}
    named = set(_PLACE.findall(" ".join(SHOWN_WITH.get(event.table, ()))))
    for column, field in table.fields.items():
        if field.remote_field is None:
            continue
        for row in (before, after):
            differs = event.act == Event.Act.CHANGED and before.get(column) != after.get(column)
            if (field.name in named or differs) and row.get(column) is not None:
                yield field.remote_field.model._meta.db_table, row[column]


def moment_said(moment: datetime, zone: str, now: datetime) -> str:
    """``25 Nov 14:03`` on the wall clock of the zone; with the year when it is another."""
    local = moment.astimezone(ZoneInfo(zone))
    year = "" if local.year == now.astimezone(ZoneInfo(zone)).year else f" {local.year}"
    return f"{local.day} {local:%b}{year} {local:%H:%M}"


def _table(name: str) -> _Table:
    model = next(model for model in apps.get_models() if model._meta.db_table == name)
    return _Table(name, model, {field.column: field for field in model._meta.concrete_fields})


def _filled(text: str, table: _Table, row: dict[str, Any], names: Names, zone: str) -> str:
    by_name = {field.name: (column, field) for column, field in table.fields.items()}

    def value(found: re.Match[str]) -> str:
        column, field = by_name[found[1]]
        said = _value(field, row.get(column), names, zone)
        return said.lower() if field.choices else said

    return " ".join(_PLACE.sub(value, text).split())


def _changes(event: Event, table: _Table, whose: str, names: Names, zone: str) -> Iterator[str]:
    before, after = event.row_before or {}, event.row_after or {}
    for column in after:
        field = table.fields.get(column)
        if field is None or before.get(column) == after[column]:
            continue
        if field.name in UNSAID.get(event.table, ()):
            continue
        if field.name in NAMED_ONLY:
            yield f"changed {field.verbose_name}{whose}"
        elif isinstance(before.get(column), dict) and isinstance(after[column], dict):
            yield from _inside(before[column], after[column], whose)
        else:
            old = _value(field, before.get(column), names, zone)
            yield _change(str(field.verbose_name), old, _value(field, after[column], names, zone), whose)


def _inside(before: dict[str, Any], after: dict[str, Any], whose: str) -> Iterator[str]:
    """A document: which of its parts differ. Lists and objects in it are only named."""
    for part in sorted({*before, *after}):
        old, new = before.get(part), after.get(part)
        if old == new:
            continue
        name = part.replace("_", " ")
        if isinstance(old, dict | list) or isinstance(new, dict | list):
            yield f"changed {name}{whose}"
        else:
            yield _change(name, _plain(old), _plain(new), whose)


def _change(what: str, old: str, new: str, whose: str) -> str:
    if not old:
        return f"set {what}{whose} to {new}"
    if not new:
        return f"cleared {what}{whose}, which was {old}"
    return f"changed {what}{whose} from {old} to {new}"


def _value(field: models.Field[Any, Any], raw: Any, names: Names, zone: str) -> str:
    if raw is None or raw == "":
        return ""
    if field.remote_field is not None:
        return names.get((field.remote_field.model._meta.db_table, raw), f"number {raw}")
    if field.choices:
        return str(dict(field.flatchoices).get(raw, raw))
    if isinstance(field, models.DateTimeField):
        return _instant(str(raw), zone)
    if isinstance(field, models.DateField):
        day = date.fromisoformat(str(raw))
        return f"{day.day} {day:%b %Y}"
    if isinstance(field, RangeField):
        return " to ".join(_instant(text, zone) for text in re.findall(r'"([^"]+)"', str(raw)))
    return _plain(raw)


def _instant(text: str, zone: str) -> str:
    at = datetime.fromisoformat(re.sub(r"([+-]\d\d)$", r"\1:00", text))
    if at >= OPEN_END:
        return "no return date"
    local = at.astimezone(ZoneInfo(zone))
    return f"{local.day} {local:%b %Y %H:%M}"


def _plain(raw: Any) -> str:
    if raw is None or raw == "":
        return ""
    if isinstance(raw, bool):
        return "yes" if raw else "no"
    if isinstance(raw, float):
        return f"{raw:g}"
    text = " ".join(str(raw).split())
    return text if len(text) <= _LONGEST else f"{text[: _LONGEST - 1]}…"
