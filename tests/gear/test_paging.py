"""A page holds the rows that a plain cut of the list holds, wherever it is."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.core.paginator import Paginator

from gear import paging
from gear.inventory.models import Unit
from gear.inventory.queries import units
from gear.paging import page_of, rows_between
from studio.shoots.queries import shoots
from tests.builders import a_booking, a_room, a_shoot, a_unit
from tests.gear.booking.times import a_type, at

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def everything_is_far(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(paging, "_FAR", 2)


@pytest.fixture
def seven_units() -> list[Unit]:
    kind = a_type()
    return [a_unit(kind, tag=tag) for tag in ("C-1", "A-1", "B-1", "G-1", "E-1", "D-1", "F-1")]


@pytest.mark.parametrize("search", ["", "1"])
@pytest.mark.parametrize("size", [1, 2, 3, 7, 50])
def test_pages_are_those_of_a_plain_cut(seven_units: Any, size: int, search: str) -> None:
    found = units(search=search)
    plain = Paginator(found, size)
    for asked in (None, "", 1, *range(1, plain.num_pages + 3), "x", "-1", "last"):
        page, cut = page_of(found, size, asked), plain.get_page(asked)
        assert [unit.tag for unit in page] == [unit.tag for unit in cut], asked
        assert (page.number, page.paginator.count, page.has_next(), page.has_previous()) == (
            cut.number,
            7,
            cut.has_next(),
            cut.has_previous(),
        )


@pytest.mark.parametrize("when", ["coming", "past"])
def test_an_order_of_two_columns_and_what_is_counted_beside_each_row_stay(when: str) -> None:
    room, sign = a_room(), -1 if when == "past" else 1
    for n in (3, 1, 1, 2, 1, 3):
        a_shoot(booking=a_booking(at(0) + sign * timedelta(days=60 + n)), room=room)
    found = shoots(when=when)
    for first in range(7):
        for last in range(first, 8):
            rows = rows_between(found, first, last, 6)
            assert rows == list(found[first:last])
            assert all(row.unit_count == 0 and row.room == room for row in rows)


def test_far_down_the_rows_that_are_left_out_are_not_read(
    seven_units: Any, django_assert_num_queries: Any
) -> None:
    with django_assert_num_queries(2) as asked:
        assert [unit.tag for unit in rows_between(units(), 5, 7, 7)] == ["F-1", "G-1"]
    ids, rows = (one["sql"] for one in asked.captured_queries)
    assert "JOIN" not in ids
    assert "DESC" in ids, "from the nearer end"
    assert "OFFSET" not in rows


def test_beyond_the_end_there_is_nothing(seven_units: Any) -> None:
    assert rows_between(units(), 7, 9, 7) == []
