"""Filters and tags that every page may use without loading them."""

from __future__ import annotations

from datetime import datetime

from django import template
from django.utils import timezone

from gear.booking.models import Booking
from studio.web.when import moment_words, period_words

register = template.Library()


@register.filter
def stops(value: float | None, digits: int = 1) -> str:
    """A number of stops with its sign: +0.7, −1.0, 0.0."""
    if value is None:
        return "–"
    rounded = round(float(value), digits)
    if rounded == 0:
        return f"{0:.{digits}f}"
    return f"{'+' if rounded > 0 else '−'}{abs(rounded):.{digits}f}"


@register.filter
def percent(share: float | None) -> str:
    """A share from 0 to 1 in whole percent: 30 %."""
    return "–" if share is None else f"{float(share) * 100:.0f}\u00a0%"


@register.filter
def size(value: float | None, digits: int = 1) -> str:
    """A number of stops without its sign: 0.7."""
    return "–" if value is None else f"{abs(float(value)):.{digits}f}"


@register.filter
def grouped(number: float | None) -> str:
    """A whole number in groups of three: 41 200 (ISO 80000-1, 7.3.1)."""
    return "–" if number is None else f"{number:,.0f}".replace(",", "\u202f").replace("-", "−")


@register.filter
def period(booking: Booking) -> str:
    """When a booking is, on the wall clock of its place: ``Tue 1 Dec, 09:00 to 14:00``."""
    return period_words(booking.starts_at, booking.ends_at, booking.zone, timezone.now())


@register.filter
def moment(value: datetime | None, zone: str = "UTC") -> str:
    """A moment on the wall clock of a zone: ``{{ line.out_at|moment:shoot.booking.zone }}``."""
    return "–" if value is None else moment_words(value, zone, timezone.now())
