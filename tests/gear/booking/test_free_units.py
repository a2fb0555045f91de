from __future__ import annotations

import pytest
from django.db.backends.postgresql.psycopg_any import DateTimeTZRange

from gear.booking import services
from gear.booking.models import UnitWindow
from gear.booking.queries import clashes, coming_promises, free_ids, free_tags, free_units, taken_units
from tests.builders import a_gear_type, a_unit
from tests.gear.booking.times import a_type, at, between, booked

pytestmark = pytest.mark.django_db


def test_units_that_nobody_asked_for_are_free() -> None:
    unit = a_unit(a_type())
    assert list(free_units(between(10, 12).interval)) == [unit]


def test_a_unit_is_free_between_two_promises_but_not_across_them() -> None:
    unit = a_unit(a_type())
    booked(8, 10, unit)
    booked(14, 16, unit)
    assert unit in free_units(between(10, 14).interval)
    assert unit not in free_units(between(10, 15).interval)
    assert unit not in free_units(between(9, 14).interval)
    assert unit not in free_units(between(6, 20).interval)


def test_each_unit_is_asked_with_its_own_turnaround() -> None:
    quick, slow = a_unit(a_type(turnaround=30)), a_unit(a_type(turnaround=24 * 60))
    booked(20, 22, quick)
    booked(20, 22, slow)
    assert list(free_units(between(10, 12).interval)) == [quick]


def test_for_a_tight_follow_on_the_unit_that_turns_around_sooner_comes_first() -> None:
    slow, quick = a_unit(a_type(turnaround=24 * 60), tag="A-01"), a_unit(a_type(turnaround=120), tag="B-01")
    assert list(free_units(between(10, 12).interval)) == [quick, slow]


def test_units_out_of_service_are_not_free() -> None:
    a_unit(a_type(), condition="repair")
    assert not free_units(between(10, 12).interval)


def test_a_kind_or_a_type_narrows() -> None:
    weight = a_unit(a_gear_type("weight", {"mass_kg": 8}))
    strobe = a_unit(a_type())
    use = between(10, 12).interval
    assert list(free_units(use, kinds=["weight"])) == [weight]
    assert list(free_units(use, type_slug=strobe.gear_type.slug)) == [strobe]


def test_a_booking_is_not_in_its_own_way() -> None:
    unit = a_unit(a_type())
    booking = booked(10, 12, unit)
    assert unit in free_units(between(10, 12).interval, ignoring=[booking.pk])
    assert clashes(unit, between(10, 12).interval, ignoring=[booking.pk]) == []


def test_clashes_come_in_order_of_time() -> None:
    unit = a_unit(a_type())
    booked(14, 16, unit, title="Later")
    booked(10, 12, unit, title="Sooner")
    found = clashes(unit, between(9, 20).interval)
    assert [promise.booking.title for promise in found] == ["Sooner", "Later"]


def test_cancelled_promises_are_not_coming() -> None:
    unit = a_unit(a_type())
    booked(10, 12, unit, title="Stays")
    services.cancel(booked(14, 16, unit, title="Goes"), None)
    assert [p.booking.title for p in coming_promises(unit)] == ["Stays"]


def test_a_promise_is_coming_until_its_turnaround_is_over() -> None:
    unit = a_unit(a_type(turnaround=60))
    booked(10, 12, unit)
    assert coming_promises(unit, at(12.5)).exists()
    assert not coming_promises(unit, at(13)).exists()


def test_the_number_of_queries_does_not_grow_with_the_units(django_assert_max_num_queries) -> None:
    kind = a_type()
    for unit in [a_unit(kind) for _ in range(20)][:10]:
        booked(10, 12, unit)
    with django_assert_max_num_queries(2):
        assert len([(u.tag, u.gear_type.name) for u in free_units(between(10, 12).interval)]) == 10


def test_a_unit_is_free_only_when_its_own_prep_fits_before_too() -> None:
    quick, slow = a_unit(a_type()), a_unit(a_type(), prep_minutes=30)
    booked(8, 10, quick)
    booked(8, 10, slow)
    assert list(free_units(between(10, 12).interval)) == [quick]
    assert slow in free_units(between(10.5, 12).interval)


def test_the_prep_of_a_type_counts_where_the_unit_says_nothing() -> None:
    unit = a_unit(a_type(prep=30))
    booked(8, 10, unit)
    assert unit not in free_units(between(10, 12).interval)


def test_a_unit_that_needs_longer_than_most_is_not_forgotten() -> None:
    """What was promised hours before the asked time is in its way all the same."""
    slow, quick = a_unit(a_type(prep=300)), a_unit(a_type())
    for unit in (slow, quick):
        booked(4, 6, unit)
    assert list(free_units(between(10, 12).interval)) == [quick]
    assert list(taken_units(between(10, 12).interval)) == [slow]
    assert slow in free_units(between(11, 12).interval)
    assert not taken_units(between(11, 12).interval)


def test_what_needs_longer_than_a_day_is_taken_too() -> None:
    unit = a_unit(a_type(turnaround=3 * 24 * 60))
    booked(0, 1, unit)
    assert list(taken_units(between(60, 61).interval)) == [unit]
    assert not free_units(between(60, 61).interval)


def test_the_lists_of_tags_and_of_ids_are_those_of_the_units() -> None:
    kind, other = a_type(prep=10, turnaround=30), a_type()
    units = [a_unit(kind, tag=f"A-{n}", turnaround_minutes=n * 60 % 420) for n in range(9)]
    every = [*units, a_unit(other), a_unit(kind, condition="repair")]
    booking = booked(8, 10, *units[:3])
    behind = services.open_booking("Later", between(9, 11), None)
    services.promise_units(behind, [units[0].pk], None, behind=True)
    here = DateTimeTZRange(at(5), at(12), "[)")
    UnitWindow.objects.create(unit=units[4], during=here, owner="Lantern House", goes_back_at=at(12))
    for start, end in ((6, 7), (9, 10), (10.6, 11), (13, 14), (17, 18)):
        use = between(start, end).interval
        for ignored in ([], [booking.pk], [booking.pk, behind.pk]):
            tags = [unit.tag for unit in free_units(use, type_slug=kind.slug, ignoring=ignored)]
            assert free_tags(use, kind.pk, ignoring=ignored) == tags
            ids = {unit.pk for unit in free_units(use, ignoring=ignored)}
            assert free_ids(use, [unit.pk for unit in every], ignoring=ignored) == ids
            assert tags
