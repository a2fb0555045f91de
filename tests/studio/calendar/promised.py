"""Promises for the tests of the calendar: times are wall times in Paris."""

from __future__ import annotations

import itertools
from typing import Any

from gear.booking.wall_time import moment
from studio.calendar.layout import Promise

PARIS = "Europe/Paris"
_count = itertools.count(1)


def a_promise(use_from: str, use_to: str, *, prep: str = "", ready: str = "", **more: Any) -> Promise:
    """A confirmed promise; ``prep`` and ``ready`` are where the blocked interval begins and ends."""
    zone = more.setdefault("zone", PARIS)
    state = more.setdefault("state", "confirmed")
    more.setdefault("blocks", state in ("confirmed", "hold", "closed"))
    more.setdefault("title", "Gloves")
    return Promise(
        booking_id=more.pop("booking_id", next(_count)),
        use_from=moment(use_from, zone).instant,
        use_to=moment(use_to, zone).instant,
        blocked_from=moment(prep or use_from, zone).instant,
        blocked_to=moment(ready or use_to, zone).instant,
        **more,
    )
