"""Which bookings last at a time? Asked of the range from their start to their end, which has an index; of two columns
each by itself no index answers it.
"""

from __future__ import annotations

from datetime import datetime

from django.contrib.postgres.fields import DateTimeRangeField
from django.contrib.postgres.lookups import Overlap
from django.db.backends.postgresql.psycopg_any import DateTimeTZRange
from django.db.models import F, Func, Q, Value

__all__ = ["from_start_to_end", "lasting"]


def from_start_to_end(booking: str = "") -> Func:
    """The asked time of a booking as a half-open range; ``booking`` leads to it."""
    return Func(
        F(f"{booking}starts_at"),
        F(f"{booking}ends_at"),
        function="tstzrange",
        output_field=DateTimeRangeField(),
    )


def lasting(start: datetime | None, end: datetime | None, booking: str = "booking__") -> Q:
    """Bookings that last at some time from ``start`` (included) up to ``end`` (not); None is without end."""
    span = Value(DateTimeTZRange(start, end, "[)"), output_field=DateTimeRangeField())
    return Q(Overlap(from_start_to_end(booking), span))
