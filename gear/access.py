"""How a page or an API route declares what it lets a person do.

A view only names a resource and an action; who may do it stands in one table (``studio.people.policy``) and is
enforced in one place (``studio.people.gate``). A view that declares nothing is closed to everyone.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

__all__ = ["Declared", "declared_access", "declares", "everyone"]

V = TypeVar("V", bound=Callable[..., Any])

Declared = tuple[str, str]
"""(resource, action), for example ``("unit", "change")``."""


def declares(resource: str, action: str, **per_method: str) -> Callable[[V], V]:
    """Attach (resource, action) to a view; ``per_method`` gives another action for an HTTP method.

    ``@declares("unit", "read", POST="change")`` reads with GET and changes with POST.
    """

    def attach(view: V) -> V:
        view.declared_access = {"*": (resource, action), **{m: (resource, a) for m, a in per_method.items()}}  # type: ignore[attr-defined]
        return view

    return attach


def everyone(view: V) -> V:
    """Open to people who have not signed in: sign-in itself, health, the published schemas."""
    view.declared_access = {"*": ("public", "read")}  # type: ignore[attr-defined]
    return view


def declared_access(view: Any, method: str) -> Declared | None:
    """What a resolved view declares for a method; looks through ``as_view`` and DRF's ``cls``/``initkwargs``."""
    for holder in (view, getattr(view, "view_class", None), getattr(view, "cls", None)):
        table = getattr(holder, "declared_access", None)
        if table:
            found: Declared | None = table.get(method, table["*"])
            return found
    return None
