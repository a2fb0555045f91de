"""The engine without one of its rules: each is a change that somebody could make by mistake."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterator
from copy import copy
from dataclasses import replace
from datetime import timedelta
from functools import partial
from typing import Any
from unittest import mock

from django.db import connection
from django.db.models import Q

from gear import changes
from gear.booking import (
    any_unit,
    blocking,
    buffers,
    claims,
    freedom,
    given,
    queries,
    releasing,
    rules,
    seats,
    services,
    staying,
    staying_ends,
    tasks,
    windows,
)
from gear.kits import choosing
from gear.kits.following import UnitsOfKits
from gear.kits.models import KitTaken
from gear.shortages import following, review
from gear.shortages.services import swap
from gear.stock import promising, steps
from gear.stock import queries as stock_queries
from gear.stock import rules as stock_rules
from gear.stock.following import StockOfBooking
from studio.outbox.services import keep_changes
from tests.everywhere import everywhere

__all__ = ["MUTATIONS"]

Mutation = Callable[[], contextlib.AbstractContextManager[Any]]


@contextlib.contextmanager
def _deaf(writer: Any) -> Iterator[None]:
    place = changes._writers.index(writer)
    changes._writers.remove(writer)
    try:
        yield
    finally:
        changes._writers.insert(place, writer)


@contextlib.contextmanager
def _history_blind() -> Iterator[None]:
    with connection.cursor() as cursor:  # undone with the transaction of the test
        cursor.execute("ALTER TABLE booking_allocation DISABLE TRIGGER history_update")
        yield


@contextlib.contextmanager
def _ended_holds_block() -> Iterator[None]:
    free = freedom._FREE.replace(freedom._live("a", "b"), "a.active").replace(
        freedom._live("o", "ob"), "o.active"
    )
    assert free != freedom._FREE
    with (
        everywhere(queries, "live", lambda at=None: Q(active=True)),
        mock.patch.object(freedom, "_FREE", free),
    ):
        yield


def _nothing(*args: Any, **kwargs: Any) -> None:
    return None


def _saved_without_a_version(booking: Any, **new: Any) -> Any:
    for name, value in new.items():
        setattr(booking, name, value)
    booking.save()
    return booking


def _without(seat: Callable[..., Any], **changed: Any) -> Callable[..., Any]:
    """The seat of a promise that is not known to be this or that."""

    def put(promise: Any, *rest: Any) -> Any:
        forgotten = copy(promise)
        for name, value in changed.items():
            setattr(forgotten, name, value)
        return seat(forgotten, *rest)

    return put


def _statements(old: str, new: str) -> contextlib.AbstractContextManager[Any]:
    """The statements of `blocking` with other words."""
    words = {name: getattr(blocking, name).replace(old, new) for name in ("_ANEW", "_STAND", "_WAIT")}
    assert words["_ANEW"] != blocking._ANEW
    return mock.patch.multiple(blocking, **words)


def _supplies_of_always(items: Any) -> dict[int, list[steps.Step]]:
    long_ago = rules.now().replace(year=2000)
    return {item.pk: [steps.Step(long_ago, fact.quantity) for fact in item.movements.all()] for item in items}


_short = promising.refuse_short
_pieces = stock_rules.pieces_of
_claim = claims.claim
_seat = any_unit._seat
_NO_TIME = timedelta(0)

MUTATIONS: dict[str, Mutation] = {
    "turnaround is not blocked": lambda: mock.patch.object(
        freedom, "_FREE", freedom._FREE.replace(" + make_interval(mins => {turnaround})", "")
    ),
    "ended holds keep blocking": _ended_holds_block,
    "what is unfit is promised": lambda: everywhere(rules, "refuse_unfit", _nothing),
    "ended holds are not retired": lambda: everywhere(claims, "retire_lapsed", _nothing),
    "a lent unit is promised when it is not here": lambda: everywhere(windows, "refuse_outside", _nothing),
    "an ended hold stands again unseen": lambda: mock.patch.object(
        services, "has_lapsed", return_value=False
    ),
    "who takes stands already": lambda: mock.patch.multiple(
        services,
        claim_untouched=_nothing,
        claim=lambda booking, units, by, **more: _claim(booking, units[1:], by, **more),
    ),
    "who goes straight on is forgotten when a unit goes": lambda: mock.patch.object(
        releasing,
        "_DELETE_UNTOUCHED",
        releasing._DELETE_UNTOUCHED.replace("stays_for_id = %(booking)s", "false"),
    ),
    "an exchange gives nothing back": lambda: mock.patch.object(services, "release_units", _nothing),
    "a move keeps the old time blocked": lambda: mock.patch.object(services, "derive_stays", _nothing),
    "versions stand still": lambda: mock.patch.object(services, "_saved", _saved_without_a_version),
    "counted things do not move along": lambda: mock.patch.object(StockOfBooking, "moved", _nothing),
    "counted things stay when a booking is cancelled": lambda: mock.patch.object(
        StockOfBooking, "let_go", _nothing
    ),
    "counted things stand again unseen": lambda: mock.patch("gear.stock.following.refuse_short", _nothing),
    "one too many is promised": lambda: everywhere(
        promising,
        "refuse_short",
        lambda booking, wanted: _short(booking, {item: number - 1 for item, number in wanted.items()}),
    ),
    "overbooking is not allowed": lambda: everywhere(stock_rules, "limit", lambda capacity, item: capacity),
    "a purchase counts before it is there": lambda: everywhere(
        stock_queries, "supplies_of", _supplies_of_always
    ),
    "what is used up comes back": lambda: everywhere(
        stock_rules,
        "pieces_of",
        lambda promise, at: (
            steps.Piece(piece.start, piece.end or promise.blocked.upper, piece.quantity, piece.whose)
            for piece in _pieces(promise, at)
        ),
    ),
    "a kit goes without its last part": lambda: mock.patch(
        "gear.kits.promising.choose", lambda parts, free: (choosing.choose(parts, free) or ())[:-1] or None
    ),
    "nobody hears that something broke": lambda: _deaf(following.review_changes),
    "the sweep opens nothing": lambda: mock.patch.object(review, "_open", _nothing),
    "the outbox hears nothing": lambda: _deaf(keep_changes),
    "the history misses a change": _history_blind,
    "what is granted is looked at by nobody": lambda: everywhere(
        given, "as_given", lambda booking, units: list(units)
    ),
    "a granted turnaround is not blocked": lambda: _statements(
        "COALESCE(a.turnaround_given, u.", "COALESCE(u."
    ),
    "granted prep is not blocked": lambda: _statements("COALESCE(a.prep_given, u.", "COALESCE(u."),
    "an ended hold is granted minutes": lambda: mock.patch.object(buffers, "_refuse_idle", _nothing),
    "gear stays for other people": lambda: mock.patch.object(staying, "_refuse_unlike", _nothing),
    "what is not there stays": lambda: mock.patch.object(staying, "_refuse_absent", _nothing),
    "what stays is free in between": lambda: _statements("SELECT n.starts_at", "SELECT b.ends_at"),
    "what stays is prepared in between": lambda: _statements(
        "p.active AND pb.ends_at", "false AND pb.ends_at"
    ),
    "nobody tells who goes on that a booking moved": lambda: mock.patch.object(
        staying_ends, "derive_anew", lambda booking_ids, beside=(): blocking.derive_anew(booking_ids)
    ),
    "what stays stays when the later one goes": lambda: everywhere(staying_ends, "end_stays", _nothing),
    "no prep after what was to stay": lambda: everywhere(staying_ends, "prepare_again", _nothing),
    "no turnaround after what was to stay": lambda: mock.patch.object(staying_ends, "_turn_around", _nothing),
    "what came back early stays": lambda: everywhere(staying_ends, "came_back_after_all", _nothing),
    "it stays on set for a hold that has ended": lambda: mock.patch.object(
        tasks, "end_stays_of_ended_holds", _nothing
    ),
    "nobody has to look again without a return date": lambda: everywhere(
        rules, "review_of", lambda booking, use, asked, at: asked or booking.review_at
    ),
    "for any unit nobody is exchanged": lambda: mock.patch.object(
        any_unit, "make_room", partial(seats.make_room, changes=0)
    ),
    "this very unit is exchanged": lambda: mock.patch.object(any_unit, "_seat", _without(_seat, fixed=False)),
    "what is packed is exchanged": lambda: mock.patch.object(
        any_unit, "_seat", _without(_seat, pinned=False)
    ),
    "what was granted minutes is exchanged": lambda: mock.patch.object(
        any_unit, "_seat", _without(_seat, prep_given=None, turnaround_given=None)
    ),
    "what stays on set is exchanged": lambda: mock.patch.object(
        any_unit, "_seat", _without(_seat, stays_for_id=None, comes_straight=False)
    ),
    "any unit looks at what a unit usually needs": lambda: mock.patch.object(
        any_unit, "_seat", lambda *asked: replace(_seat(*asked), blocks=None)
    ),
    "whom only turnaround meets is not exchanged": lambda: mock.patch.object(
        any_unit, "_most_around", return_value=(_NO_TIME, _NO_TIME)
    ),
    "a kit is not told of an exchange": lambda: mock.patch.object(any_unit, "followers", return_value=()),
    "one unit fills two places of a kit": lambda: mock.patch.object(
        UnitsOfKits,
        "swapped",
        lambda self, booking, old, new: (
            KitTaken.objects.filter(promise__booking=booking, unit=old).update(unit=new)
            if new
            else KitTaken.objects.filter(promise__booking=booking, unit=old).delete()
        ),
    ),
    "a swap is not one transaction": lambda: mock.patch(
        "tests.gear.machine.store_acts.swap", swap.__wrapped__
    ),
}
