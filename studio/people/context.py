"""What templates may ask about the person who looks: ``{% if may.gear.change %}``."""

from __future__ import annotations

from collections import defaultdict

from django.http import HttpRequest

from studio.people.policy import POLICY, reach

__all__ = ["what_they_may"]


def what_they_may(request: HttpRequest) -> dict[str, dict[str, dict[str, str | bool]]]:
    """``may``: resource → action → ``all``, ``own`` or False."""
    table: dict[str, dict[str, str | bool]] = defaultdict(dict)
    person = getattr(request, "user", None)
    if person is not None and person.is_authenticated:
        for resource, action in POLICY:
            how_far = reach(person, resource, action)
            table[resource][action] = False if how_far == "none" else how_far
    return {"may": dict(table)}
