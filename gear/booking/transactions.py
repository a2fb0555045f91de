"""How does a whole decision become one transaction that survives a lost race?

PostgreSQL asks the loser of a serialisation failure (40001) or a deadlock (40P01) to start again from the beginning,
decisions included; it does not do so itself. Nothing here makes a promise right: the constraint does.
"""

from __future__ import annotations

import functools
import logging
import random
import time
from collections.abc import Callable
from typing import ParamSpec, TypeVar

from django.db import IntegrityError, OperationalError, connection, transaction

from gear.errors import Conflict

__all__ = ["TRIES", "broken_constraint", "in_one_transaction"]

log = logging.getLogger(__name__)

P = ParamSpec("P")
R = TypeVar("R")

TRIES = 6
_AGAIN = {"40001", "40P01"}


def in_one_transaction(act: Callable[P, R]) -> Callable[P, R]:
    """Run ``act`` in a transaction, and the whole of it again (with jitter, at most `TRIES` times) on 40001 and 40P01.

    Inside another transaction it is a part of that one: the outermost decides about starting again.
    """

    @functools.wraps(act)
    def whole(*args: P.args, **kwargs: P.kwargs) -> R:
        if connection.in_atomic_block:
            with transaction.atomic():
                return act(*args, **kwargs)
        for attempt in range(1, TRIES + 1):
            try:
                with transaction.atomic():
                    return act(*args, **kwargs)
            except OperationalError as error:
                state = getattr(error.__cause__, "sqlstate", None)
                if state not in _AGAIN:
                    raise
                log.warning("%s met %s; try %d of %d is over", act.__qualname__, state, attempt, TRIES)
                if attempt < TRIES:
                    time.sleep(random.uniform(0.01, 0.05) * attempt)
        raise Conflict(
            "Too many people changed the same things in this moment, and nothing was saved. Try again.",
            code="busy",
        )

    return whole


def broken_constraint(error: IntegrityError) -> str:
    """The name of the constraint that refused, or an empty text."""
    diagnosis = getattr(error.__cause__, "diag", None)
    return getattr(diagnosis, "constraint_name", None) or ""
