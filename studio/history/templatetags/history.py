"""The history of a thing, for the page of the thing, whichever area it belongs to."""

from __future__ import annotations

from django import template
from django.db import models

from studio.history.queries import Line, history_of

register = template.Library()


@register.simple_tag(name="history_of")
def history_of_thing(thing: models.Model) -> list[Line]:
    """``{% history_of thing as lines %}``: its last changes, newest first."""
    return history_of(thing)
