from __future__ import annotations

import pytest
from django.db import IntegrityError, connection, transaction

from gear.booking import claims, services
from gear.booking.clashes import UnitTaken
from gear.booking.models import Allocation, Booking
from gear.booking.transactions import broken_constraint
from gear.errors import Conflict, Gone, Invalid
from tests.builders import a_gear_type, a_person, a_unit
from tests.gear.booking.test_interval import ALLEN
from tests.gear.booking.times import a_type, at, between, booked

pytestmark = pytest.mark.django_db


def test_a_free_unit_is_promised_for_its_use_and_what_surrounds_it() -> None:
    unit = a_unit(a_type(prep=30, turnaround=120))
    booking = booked(10, 12, unit)
    promise = booking.allocations.get()
    assert (promise.use.lower, promise.use.upper) == (at(10), at(12))
    assert (promise.blocked.lower, promise.blocked.upper) == (at(9.5), at(14))
    assert promise.active


def test_a_unit_has_prep_and_turnaround_of_its_own_before_its_type() -> None:
    unit = a_unit(a_type(prep=30, turnaround=120), prep_minutes=0, turnaround_minutes=15)
    promise = booked(10, 12, unit).allocations.get()
    assert (promise.blocked.lower, promise.blocked.upper) == (at(10), at(12.25))


def test_who_promised_is_kept() -> None:
    unit, person = a_unit(), a_person()
    booking = services.open_booking("A", between(10, 12), person)
    (promise,) = services.promise_units(booking, [unit.pk], person)
    assert promise.promised_by == person


def test_one_may_begin_where_the_other_ends() -> None:
    unit = a_unit(a_type())
    booked(10, 12, unit)
    assert booked(12, 14, unit).allocations.filter(active=True).count() == 1


def test_a_minute_too_early_is_refused_and_names_who_has_it_and_from_when_it_is_free() -> None:
    unit = a_unit(a_type(), tag="K-03")
    booked(10, 12, unit, title="Tram depot")
    with pytest.raises(UnitTaken) as refused:
        booked(12 - 1 / 60, 14, unit)
    assert "K-03" in refused.value.sentence
    assert "“Tram depot”" in refused.value.sentence
    assert "it is free from" in refused.value.sentence
    assert refused.value.sentence.endswith("12:00. Nothing else of its kind is free for the whole time.")


def test_turnaround_counts_against_the_next() -> None:
    unit = a_unit(a_type(turnaround=30))
    booked(10, 12, unit)
    with pytest.raises(UnitTaken, match=r"free from .* 12:30"):
        booked(12, 14, unit)


def test_prep_of_the_next_counts_too() -> None:
    unit = a_unit(a_type(prep=30))
    booked(10, 12, unit)
    with pytest.raises(UnitTaken, match=r"free from .* 12:30"):
        booked(12, 14, unit)


@pytest.mark.parametrize("relation", ALLEN)
def test_of_allens_thirteen_relations_four_are_accepted(relation: str) -> None:
    unit = a_unit(a_type())
    booked(10, 14, unit)
    if relation in {"before", "meets", "met by", "after"}:
        booked(*ALLEN[relation], unit)
    else:
        with pytest.raises(UnitTaken):
            booked(*ALLEN[relation], unit)


def test_the_way_out_is_a_free_unit_of_the_same_type_then_of_the_same_kind() -> None:
    same, other = a_type(), a_type()
    taken = a_unit(same, tag="K-03")
    a_unit(other, tag="A-01")
    a_unit(same, tag="K-05")
    a_unit(a_gear_type("weight", {"mass_kg": 8}), tag="S-01")
    booked(10, 12, taken)
    with pytest.raises(UnitTaken) as refused:
        booked(10, 12, taken)
    assert [unit.tag for unit in refused.value.free] == ["K-05", "A-01"]
    assert refused.value.ways_out[0].startswith("Take K-05")


def test_a_unit_that_is_free_for_a_part_of_the_time_is_no_way_out() -> None:
    kind = a_type()
    taken, partly = a_unit(kind), a_unit(kind)
    booked(10, 12, taken)
    booked(11, 12, partly)
    with pytest.raises(UnitTaken) as refused:
        booked(10, 12, taken)
    assert refused.value.free == ()


def test_all_units_are_promised_or_none() -> None:
    free, taken = a_unit(a_type()), a_unit(a_type())
    booked(10, 12, taken)
    booking = services.open_booking("B", between(10, 12), None)
    with pytest.raises(UnitTaken):
        services.promise_units(booking, [free.pk, taken.pk], None)
    assert not booking.allocations.exists()


def test_promising_the_same_unit_again_changes_nothing() -> None:
    unit = a_unit()
    booking = booked(10, 12, unit)
    before = booking.allocations.get().pk
    services.promise_units(booking, [unit.pk], None)
    assert booking.allocations.get().pk == before


def test_an_enquiry_notes_units_and_blocks_nobody() -> None:
    unit = a_unit(a_type())
    booked(10, 12, unit, state="enquiry")
    assert booked(10, 12, unit).allocations.get().active


@pytest.mark.parametrize("condition", ["quarantine", "repair", "lost", "written-off"])
def test_a_unit_that_is_not_ready_is_refused_with_its_condition(condition: str) -> None:
    unit = a_unit(tag="K-07", condition=condition, condition_note="fan rattles")
    with pytest.raises(Conflict, match=r"K-07 .* is .*: fan rattles"):
        booked(10, 12, unit)


def test_a_unit_that_does_not_exist_is_refused() -> None:
    booking = services.open_booking("A", between(10, 12), None)
    with pytest.raises(Gone, match="no unit"):
        services.promise_units(booking, [987654], None)


def test_a_cancelled_booking_takes_nothing_new() -> None:
    booking = booked(10, 12)
    services.cancel(booking, None)
    with pytest.raises(Conflict, match="is cancelled"):
        services.promise_units(booking, [a_unit().pk], None)


def test_released_units_are_free_at_once() -> None:
    unit = a_unit(a_type())
    booking = booked(10, 12, unit)
    assert services.release_units(booking, [unit.pk], None) == 1
    booked(10, 12, unit)


def test_a_booking_needs_a_title() -> None:
    with pytest.raises(Invalid, match="title"):
        services.open_booking("  ", between(10, 12), None)


@pytest.mark.parametrize("days", [-6 * 366, 6 * 366])
def test_a_booking_beyond_the_horizon_is_refused(days: int) -> None:
    with pytest.raises(Invalid, match="five years"):
        services.open_booking("A", between(10 + days * 24, 12 + days * 24), None)


def test_the_database_refuses_an_overlap_that_no_python_looked_at() -> None:
    unit = a_unit(a_type())
    booked(10, 12, unit)
    other = services.open_booking("B", between(11, 13), None, state="confirmed")
    with pytest.raises(IntegrityError) as refused, transaction.atomic():
        claims.insert(other, [unit], None, active=True)
    assert broken_constraint(refused.value) == "booking_no_unit_twice"


@pytest.mark.parametrize(
    ("use", "blocked", "constraint"),
    [
        ("[2030-01-01,2030-01-02]", "[2030-01-01,2030-01-03)", "booking_ranges_half_open"),
        ("(2030-01-01,2030-01-02)", "(2030-01-01,2030-01-02)", "booking_ranges_half_open"),
        ("[2030-01-01,)", "[2030-01-01,)", "booking_ranges_finite"),
        ("[2030-01-01,2030-01-03)", "[2030-01-01,2030-01-02)", "booking_use_inside_blocked"),
        ("[2030-01-01,infinity)", "[2030-01-01,infinity)", "booking_ranges_in_the_calendar"),
    ],
)
def test_the_database_refuses_ranges_that_are_not_half_open_and_finite(
    use: str, blocked: str, constraint: str
) -> None:
    assert constraint in _refusals(use, blocked)


@pytest.mark.parametrize("nothing", ["empty", "[2030-01-01,2030-01-01)"])
def test_the_database_refuses_an_empty_range_which_would_slip_past_the_exclusion(nothing: str) -> None:
    unit = a_unit(a_type())
    booked(10, 12, unit)
    with pytest.raises(IntegrityError, match="booking_ranges_"):
        _write(unit.pk, booked(10, 12).pk, nothing, nothing)


def _refusals(use: str, blocked: str) -> str:
    unit, booking = a_unit(), booked(10, 12)
    with pytest.raises(IntegrityError) as refused, transaction.atomic():
        _write(unit.pk, booking.pk, use, blocked)
    return broken_constraint(refused.value)


def _write(unit_id: int, booking_id: int, use: str, blocked: str) -> None:
    with connection.cursor() as cursor:
        cursor.execute(
            "INSERT INTO booking_allocation (booking_id, unit_id, use, blocked, active, pinned, created_at) "
            "VALUES (%s, %s, %s, %s, true, false, now())",
            [booking_id, unit_id, use, blocked],
        )


def test_the_database_refuses_a_booking_of_no_length() -> None:
    with pytest.raises(IntegrityError) as refused, transaction.atomic():
        Booking.objects.create(title="A", starts_at=at(10), ends_at=at(10))
    assert broken_constraint(refused.value) == "booking_lasts"


def test_the_loser_of_a_race_that_the_look_did_not_see_reads_the_same_sentence(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    unit = a_unit(a_type(), tag="K-03")
    booked(10, 12, unit, title="Tram depot")
    monkeypatch.setattr(claims, "refuse_taken", lambda *args, **kwargs: None)
    with pytest.raises(UnitTaken, match=r"K-03 .* is with “Tram depot”"):
        booked(11, 13, unit)
    assert Allocation.objects.filter(unit=unit).count() == 1


def test_what_the_booking_has_already_is_no_way_out() -> None:
    kind = a_type()
    taken, mine = a_unit(kind), a_unit(kind)
    booked(10, 12, taken)
    booking = booked(10, 12, mine)
    with pytest.raises(UnitTaken) as refused:
        services.promise_units(booking, [taken.pk], None)
    assert refused.value.free == ()


def test_in_an_exchange_what_is_given_and_taken_stays() -> None:
    first, second = a_unit(a_type()), a_unit(a_type())
    booking = booked(10, 12, first)
    services.exchange_units(booking, [first.pk], [first.pk, second.pk], None)
    assert set(booking.allocations.values_list("unit", "active")) == {(first.pk, True), (second.pk, True)}


def test_what_it_was_promised_before_and_lost_stands_again_when_nobody_has_it() -> None:
    unit = a_unit(a_type())
    booking = booked(10, 12, unit, state="hold")
    booking.allocations.update(active=False)
    services.promise_units(booking, [unit.pk], None)
    (promise,) = booking.allocations.all()
    assert promise.active
