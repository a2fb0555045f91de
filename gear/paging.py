"""Lists page by page, on pages and over the API, however far down the list a page is."""

from __future__ import annotations

from typing import Any, TypeVar

from django.core.paginator import Page, Paginator
from django.db.models import Model, QuerySet
from rest_framework.pagination import LimitOffsetPagination
from rest_framework.request import Request

from gear.errors import FieldProblem, Invalid

__all__ = ["Pages", "page_of", "rows_between"]

LARGEST_PAGE, FURTHEST = 1000, 10_000_000
_FAR = 1000

M = TypeVar("M", bound=Model)


def page_of(found: QuerySet[M], size: int, asked: str | int | None) -> Page[M]:
    """The page that is asked for, the nearest one for a number that cannot be."""
    pages = Paginator(found, size)
    number = pages.get_page(asked or 1).number
    first = (number - 1) * size
    return Page(rows_between(found, first, first + size, pages.count), number, pages)


def rows_between(found: QuerySet[M], first: int, last: int, count: int) -> list[M]:
    """Those from ``first`` (0 is the first of all) up to and without ``last``, of so many in an order without ties.

    Far down they are found by their ids, from the nearer end, before whole rows are read: else every row that is left
    out would be read, with what is counted beside it.
    """
    last = min(last, count)
    if first >= last:
        return []
    if last <= _FAR:
        return list(found[first:last])
    ids = found.values_list("pk", flat=True)
    if first > count // 2:
        wanted = list(ids.reverse()[count - last : count - first])[::-1]
    else:
        wanted = list(ids[first:last])
    by_id = found.order_by().in_bulk(wanted)
    return [by_id[pk] for pk in wanted if pk in by_id]


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

    def paginate_queryset(self, queryset: QuerySet[M], request: Request, view: Any = None) -> list[M]:
        """The rows of the page that the request asks for."""
        self.request, self.limit = request, self.get_limit(request) or LARGEST_PAGE
        self.offset, self.count = self.get_offset(request), self.get_count(queryset)
        return rows_between(queryset, self.offset, self.offset + self.limit, self.count)
