"""Times in pages: ``{% load times %}``, then ``{% instant at zone %}`` and ``{% period from to zone %}``."""

from __future__ import annotations

from datetime import UTC, datetime

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

from gear.booking.lengths import length_of
from gear.booking.models import Booking
from gear.booking.wall_time import OPEN_END, say, say_period

register = template.Library()


@register.simple_tag
def instant(at: datetime | None, zone: str) -> SafeString | str:
    """An instant on the wall of a zone, with the exact one for machines."""
    if at is None:
        return "–"
    if at >= OPEN_END:
        return say(at, zone)
    return format_html('<time datetime="{}">{}</time>', _machine(at), say(at, zone))


@register.simple_tag
def period(starts_at: datetime, ends_at: datetime, zone: str) -> SafeString:
    """A period on the wall of a zone."""
    return format_html(
        '<time datetime="{}">{}</time>', _machine(starts_at), say_period(starts_at, ends_at, zone)
    )


@register.simple_tag
def length(booking: Booking) -> str:
    """How long a booking lasts, after a comma; nothing without a return date."""
    found = length_of(booking.starts_at, booking.ends_at, booking.zone)
    return f", {found.words}" if found else ""


def _machine(at: datetime) -> str:
    return at.astimezone(UTC).strftime("%Y-%m-%dT%H:%MZ")
