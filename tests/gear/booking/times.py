"""Times for the tests: hours of one day a month ahead, in UTC, so that no clock change is near; and the clock."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.utils import timezone

from gear.booking import services
from gear.booking.interval import Period, period
from gear.booking.models import Booking
from gear.catalogue.models import GearType
from gear.inventory.models import Unit
from tests.builders import a_gear_type

__all__ = ["a_type", "at", "between", "blocked", "booked", "set_clock"]

_DAY = (datetime.now(UTC) + timedelta(days=30)).replace(hour=0, minute=0, second=0, microsecond=0)


def at(hour: float) -> datetime:
    """That hour of the day; 26 is 02:00 on the next."""
    return _DAY + timedelta(hours=hour)


def blocked(booking: Booking, unit: Unit) -> tuple[datetime, datetime]:
    """From when until when a booking blocks a unit."""
    found = booking.allocations.get(unit=unit).blocked
    return (found.lower, found.upper)


def between(start: float, end: float, zone: str = "UTC") -> Period:
    """The period from one hour to another."""
    return period(at(start), at(end), zone)


def a_type(prep: int = 0, turnaround: int = 0, **more: Any) -> GearType:
    """A strobe's gear type with these minutes around its use."""
    return a_gear_type(prep_minutes=prep, turnaround_minutes=turnaround, **more)


def booked(
    start: float, end: float, *units: Any, title: str = "A", state: str = "confirmed", **more: Any
) -> Booking:
    """A booking of these units, through the services."""
    booking = services.open_booking(title, between(start, end), None, state=state, **more)
    services.promise_units(booking, [unit.pk for unit in units], None)
    return booking


def set_clock(monkeypatch: pytest.MonkeyPatch, instant: datetime) -> None:
    """From now on it is ``instant``."""
    monkeypatch.setattr(timezone, "now", lambda: instant)
