"""The engine without one of its rules: each is a change that somebody could make by mistake."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterator
from typing import Any
from unittest import mock

from django.db import connection
from django.db.models import Q

from gear import changes
from gear.booking import claims, freedom, queries, rules, services, windows
from gear.kits import choosing
from gear.shortages import following, review
from gear.shortages.services import swap
from gear.stock import promising, steps
from gear.stock import queries as stock_queries
from gear.stock import rules as stock_rules
from gear.stock.following import StockOfBooking
from studio.outbox.services import keep_change
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


def _supply_of_always(item: Any) -> list[steps.Step]:
    return [steps.Step(rules.now().replace(year=2000), fact.quantity) for fact in item.movements.all()]


_short = promising.refuse_short
_pieces = stock_rules.pieces_of
_claim = claims.claim

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
        lambda b, i, wanted, more_here=0: _short(b, i, wanted - 1, more_here=more_here),
    ),
    "overbooking is not allowed": lambda: everywhere(stock_rules, "limit", lambda capacity, item: capacity),
    "a purchase counts before it is there": lambda: everywhere(stock_queries, "supply", _supply_of_always),
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
    "nobody hears that something broke": lambda: _deaf(following.review_change),
    "the sweep opens nothing": lambda: mock.patch.object(review, "_open", _nothing),
    "the outbox hears nothing": lambda: _deaf(keep_change),
    "the history misses a change": _history_blind,
    "a swap is not one transaction": lambda: mock.patch(
        "tests.gear.machine.store_acts.swap", swap.__wrapped__
    ),
}
