"""What became of a thing: who changed what, when, newest first."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby
from typing import Any

from django.apps import apps
from django.contrib.postgres.expressions import ArraySubquery
from django.db import connection, models
from django.db.models import BooleanField, F, Func, Q
from django.utils import timezone

from studio.history.models import Event
from studio.history.words import Names, as_changes, foreign_rows, moment_said, put_together, sentences

__all__ = ["BY_ITSELF", "MOST", "Line", "history_of"]

MOST = 60
"""How many events are read for a page."""

_MOST_OF = {"kits_kit": 600, "places_room": 200}
"""Of what is written anew part by part, as many as one saving may be."""

MOST_TOLD = 8
"""How many sentences one line holds."""

BY_ITSELF = "The service itself"

_CALLED_WITH = {"records_revision": "recipe", "places_room": "place"}
"""What the name of a row needs beside the row."""


@dataclass(frozen=True)
class Line:
    """All that one person did to a thing in one transaction."""

    at: datetime
    when: str
    who: str
    did: tuple[str, ...]
    more: int


def history_of(thing: models.Model, now: datetime | None = None) -> list[Line]:
    """The last changes of a thing and of what is shown with it, newest first; two queries however many there are."""
    zone = _zone(thing)
    events = list(_events(thing))
    names = _names(events)
    return [
        line
        for _, group in groupby(events, lambda event: (event.at, event.person_id))
        if (line := _line(list(group), names, zone, now or timezone.now()))
    ]


def _line(events: list[Event], names: Names, zone: str, now: datetime) -> Line | None:
    told = as_changes(reversed(events))
    did = put_together(said for event in told for said in sentences(event, names, zone))
    if not did:
        return None
    who = names.get((_PEOPLE, events[0].person_id or 0), BY_ITSELF)
    when = moment_said(events[0].at, zone, now) + ("" if zone != "UTC" else " UTC")
    return Line(events[0].at, when, who, tuple(did[:MOST_TOLD]), max(len(did) - MOST_TOLD, 0))


def _events(thing: models.Model) -> Iterable[Event]:
    table = thing._meta.db_table
    most = _MOST_OF.get(table, MOST)
    shown = [Q(table=table, row_id=thing.pk), *_SHOWN_WITH.get(table, lambda thing: [])(thing)]
    # A query each, so that each is found in an index, however long the whole history is.
    first, *others = (Event.objects.filter(one).order_by("-id")[:most] for one in shown)
    return first.union(*others, all=True).order_by("-id")[:most] if others else first


class _AnyOf(ArraySubquery):
    """All of them as one array, so that they are found before the index is asked for each."""

    template = "ANY(ARRAY(%(subquery)s))"


def _under(parents: models.QuerySet[Any]) -> Func:
    """Events that are shown with one of these rows."""
    return Func(
        F("parent_id"),
        _AnyOf(parents),
        template="%(expressions)s",
        arg_joiner=" = ",
        output_field=BooleanField(),
    )


def _on_a_shoot(shoot: Any) -> list[Q]:
    was_on_it = Event.objects.filter(table="shoots_shootrecipe", parent_id=shoot.pk).order_by()
    return [
        Q(table="shoots_shootrecipe", parent_id=shoot.pk),
        Q(
            _under(was_on_it.values("row_id").union(shoot.recipes.order_by().values("pk"))),
            table="shoots_assignment",
        ),
        Q(table="packing_packingline", parent_id=shoot.pk),
        Q(table="packing_packingclosure", parent_id=shoot.pk),
        Q(table="booking_booking", row_id=shoot.booking_id),
        Q(table="booking_allocation", parent_id=shoot.booking_id),
        Q(table="stock_stockpromise", parent_id=shoot.booking_id),
        Q(table="kits_kitpromise", parent_id=shoot.booking_id),
        Q(table="shortages_shortage", parent_id=shoot.booking_id),
        Q(table="booking_challenge", row_id__in=_challenges_of(shoot.booking_id)),
        Q(table="packing_dispute", row_id__in=_disputes_of(shoot)),
        Q(table="packing_foundthing", parent_id=shoot.pk),
        Q(
            table="phones_operation",
            parent_id=shoot.pk,
            act=Event.Act.CHANGED,
            row_after__looked_at__isnull=False,
        ),
    ]


def _challenges_of(booking_id: int) -> models.QuerySet[Any]:
    found = apps.get_model("booking", "Challenge").objects.filter(Q(first=booking_id) | Q(later=booking_id))
    return found.order_by().values("pk")


def _disputes_of(shoot: Any) -> models.QuerySet[Any]:
    found = apps.get_model("packing", "Dispute").objects.filter(
        Q(holder__shoot=shoot) | Q(claim__shoot=shoot)
    )
    return found.order_by().values("pk")


def _in_a_series(series: Any) -> list[Q]:
    return [
        Q(table="booking_occurrence", parent_id=series.pk),
        Q(table="shoots_seriespattern", parent_id=series.pk),
    ]


def _at_a_place(place: Any) -> list[Q]:
    return [Q(table="places_workinghours", parent_id=place.pk)]


def _in_a_kit(kit: Any) -> list[Q]:
    was_in_it = Event.objects.filter(table="kits_kitpart", parent_id=kit.pk).order_by()
    return [
        Q(table="kits_kitpart", parent_id=kit.pk),
        Q(
            _under(was_in_it.values("row_id").union(kit.parts.order_by().values("pk"))),
            table="kits_kitoption",
        ),
    ]


def _of_a_unit(unit: Any) -> list[Q]:
    return [
        Q(table="subhire_subhire", parent_id=unit.pk),
        Q(table="shortages_latereturn", parent_id=unit.pk),
        Q(table="booking_challenge", parent_id=unit.pk),
        Q(table="packing_dispute", parent_id=unit.pk),
    ]


def _in_a_room(room: Any) -> list[Q]:
    return [
        Q(table="places_roomwindow", parent_id=room.pk),
        Q(table="places_roomcircuit", parent_id=room.pk),
    ]


_SHOWN_WITH: dict[str, Callable[[Any], list[Q]]] = {
    "shoots_shoot": _on_a_shoot,
    "kits_kit": _in_a_kit,
    "inventory_unit": _of_a_unit,
    "booking_series": _in_a_series,
    "places_place": _at_a_place,
    "places_room": _in_a_room,
}
"""What is shown with a thing beside its own row."""


_PEOPLE = "people_person"


def _names(events: list[Event]) -> dict[tuple[str, int], str]:
    """What people call the rows that the events name: one query, whichever tables they are in."""
    wanted: dict[str, set[int]] = defaultdict(set)
    for event in events:
        if event.person_id:
            wanted[_PEOPLE].add(event.person_id)
        for table, pk in foreign_rows(event):
            wanted[table].add(pk)
    models_of = {model._meta.db_table: model for model in apps.get_models()}
    asked = [(table, sorted(ids)) for table, ids in wanted.items() if table in models_of]
    if not asked:
        return {}
    each = [_rows_as_json(models_of[table]) for table, _ in asked]
    with connection.cursor() as cursor:
        cursor.execute(" UNION ALL ".join(each), [value for pair in asked for value in pair])
        rows = cursor.fetchall()
    return {
        (table, pk): str(_instance(models_of[table], *map(json.loads, read))) for table, pk, *read in rows
    }


def _rows_as_json(model: type[models.Model]) -> str:
    """The statement that reads rows of a table by their ids, each with the row that its name needs, as JSON."""
    table = model._meta.db_table
    way = _CALLED_WITH.get(table)
    if way is None:
        return f"SELECT %s, r.id, to_jsonb(r)::text, 'null' FROM {table} r WHERE r.id = ANY(%s)"
    field = model._meta.get_field(way)
    return (
        f"SELECT %s, r.id, to_jsonb(r)::text, to_jsonb(w)::text FROM {table} r "
        f"JOIN {field.related_model._meta.db_table} w ON w.id = r.{field.column} WHERE r.id = ANY(%s)"
    )


def _instance(model: type[models.Model], row: dict[str, Any], other: dict[str, Any] | None) -> models.Model:
    """A row as its model, to be asked for its name only: its values are as JSON has them."""
    fields = [field for field in model._meta.concrete_fields if field.column in row]
    made = model.from_db(None, [field.attname for field in fields], [row[field.column] for field in fields])
    if other is not None:
        way = _CALLED_WITH[model._meta.db_table]
        setattr(made, way, _instance(model._meta.get_field(way).related_model, other, None))
    return made


def _zone(thing: models.Model) -> str:
    """The wall clock that is right beside this thing."""
    for way in ("booking", "place"):
        if hasattr(thing, way):
            return str(getattr(thing, way).zone)
    return str(getattr(thing, "zone", "UTC"))
