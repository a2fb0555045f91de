"""Lists of the API, page by page."""

from __future__ import annotations

from rest_framework.pagination import LimitOffsetPagination
from rest_framework.request import Request

from gear.errors import FieldProblem, Invalid

__all__ = ["Pages"]

LARGEST_PAGE, FURTHEST = 1000, 10_000_000


class Pages(LimitOffsetPagination):
    """``limit`` and ``offset`` as the framework reads them: of nonsense it takes none, a page has 1,000 at most.

    Raises `Invalid` for an offset beyond anything that the store could hold.
    """

    max_limit = LARGEST_PAGE

    def get_offset(self, request: Request) -> int:
        """How many are left out before the page."""
        offset: int = super().get_offset(request)
        if offset > FURTHEST:
            raise Invalid(
                "There is no such page. Follow `next` from the first one.",
                (FieldProblem("offset", f"0 to {FURTHEST:,}"),),
            )
        return offset
