"""The drawing in words, day by day."""

from __future__ import annotations

from datetime import date

from studio.calendar.agenda import AgendaDay, Entry, Taken, agenda
from studio.calendar.layout import Promise
from studio.calendar.span import span_of
from tests.studio.calendar.promised import PARIS, a_promise


def week(*rows: tuple[str, list[Promise]]) -> tuple[AgendaDay, ...]:
    return agenda(rows, span_of("week", date(2026, 12, 1), PARIS))


def only(days: tuple[AgendaDay, ...]) -> Entry:
    (day,) = days
    (entry,) = day.entries
    return entry


def test_a_shoot_is_said_once_with_all_its_units() -> None:
    one = a_promise("2026-12-01T09:00", "2026-12-01T14:00", booking_id=1)
    entry = only(week(("K-01", [one]), ("K-02", [one])))
    assert entry.use == "09:00 to 14:00"
    assert entry.taken == (Taken("", ("K-01", "K-02")),)


def test_units_that_are_blocked_for_longer_are_said_apart() -> None:
    short = a_promise("2026-12-01T09:00", "2026-12-01T14:00", booking_id=1)
    long = a_promise("2026-12-01T09:00", "2026-12-01T14:00", ready="2026-12-01T16:00", booking_id=1)
    entry = only(week(("K-01", [short]), ("B-01", [long])))
    assert entry.taken == (Taken("", ("K-01",)), Taken("09:00 to 16:00", ("B-01",)))


def test_on_the_next_day_only_those_are_named_that_still_turn_around() -> None:
    short = a_promise("2026-12-01T18:00", "2026-12-01T23:00", booking_id=1)
    long = a_promise("2026-12-01T18:00", "2026-12-01T23:00", ready="2026-12-02T02:00", booking_id=1)
    _, second = week(("K-01", [short]), ("B-01", [long]))
    assert second.entries[0].use == "until Tue 1 Dec 23:00"
    assert second.entries[0].taken == (Taken("until 02:00", ("B-01",)),)


def test_a_night_is_on_both_days() -> None:
    first, second = week(("K-01", [a_promise("2026-12-01T22:00", "2026-12-02T03:00")]))
    assert first.entries[0].use == "from 22:00"
    assert second.entries[0].use == "until 03:00"


def test_what_ends_at_midnight_is_on_one_day() -> None:
    entry = only(week(("K-01", [a_promise("2026-12-01T18:00", "2026-12-02T00:00")])))
    assert entry.use == "18:00 to 24:00"


def test_the_days_between_are_whole() -> None:
    days = week(("K-01", [a_promise("2026-12-01T18:00", "2026-12-04T09:00")]))
    assert [day.entries[0].use for day in days] == ["from 18:00", "all day", "all day", "until 09:00"]


def test_another_clock_is_named() -> None:
    entry = only(week(("K-01", [a_promise("2026-12-01T09:00", "2026-12-01T12:00", zone="Europe/Lisbon")])))
    assert entry.use == "09:00 (Europe/Lisbon) to 12:00 (Europe/Lisbon)"


def test_a_gear_type_says_how_many() -> None:
    entry = only(week(("Hall strobe", [a_promise("2026-12-01T09:00", "2026-12-01T12:00", count=3)])))
    assert entry.taken[0].rows == ("3 × Hall strobe",)
