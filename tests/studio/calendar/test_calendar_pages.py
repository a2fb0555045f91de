"""The pages: what stands on them, who may look, what odd addresses get, how few questions the database is asked."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from gear.booking.interval import Interval
from gear.booking.models import Allocation, Booking
from gear.booking.rules import blocked_for, use_of
from gear.inventory.models import Unit
from studio.calendar.queries import Asked, Board, By, board
from studio.calendar.span import span_of
from studio.readiness.models import Readiness
from studio.shoots.models import Shoot
from tests.builders import a_booking, a_gear_type, a_person, a_recipe, a_room, a_shoot, a_unit

pytestmark = pytest.mark.django_db

PARIS = "Europe/Paris"
SignIn = Callable[..., Client]
NOW = datetime(2026, 11, 30, 8, tzinfo=UTC)
TUESDAY = datetime(2026, 12, 1, 9, tzinfo=UTC)
"""10:00 in Paris."""


def promised(unit: Unit, booking: Booking, *, active: bool = True) -> Allocation:
    use = use_of(booking)
    return Allocation.objects.create(
        booking=booking,
        unit=unit,
        use=use.as_range,
        blocked=blocked_for(unit, Interval(use.starts_at, use.ends_at)).as_range,
        active=active,
    )


def the_week(by: By = "units", **asked: Any) -> Board:
    return board(Asked(by, **asked), span_of("week", TUESDAY.date(), PARIS), NOW)


def bars_of(found: Board, name: str) -> list[tuple[str, str]]:
    (row,) = (row for row in found.rows if row.name == name)
    return [(bar.promise.title, bar.promise.state) for bar in row.bars]


def test_a_promise_stands_in_the_row_of_its_unit(signed_in: SignIn) -> None:
    shoot = a_shoot(booking=a_booking(TUESDAY, title="Gloves on slate"))
    promised(a_unit(tag="K-01"), shoot.booking)
    page = signed_in("assistant").get("/calendar/?view=week&date=2026-12-01").content.decode()
    assert "Gloves on slate: confirmed, Tue 1 Dec 2026, 10:00 to 14:00; blocked" in page
    assert f'href="/shoots/{shoot.pk}"' in page


def test_who_is_not_signed_in_is_asked_to() -> None:
    answer = Client().get("/calendar/")
    assert answer.status_code == 302
    assert answer["Location"].startswith("/sign-in")


@pytest.mark.parametrize("role", ["manager", "photographer", "assistant"])
@pytest.mark.parametrize("face", ["", "types", "rooms", "people"])
def test_everybody_who_works_here_may_look(signed_in: SignIn, role: str, face: str) -> None:
    assert signed_in(role).get(f"/calendar/{face}").status_code == 200


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ("date=soon", "Enter a valid date"),
        ("date=0001-01-01", "Give a day between 1970 and 2100"),
        ("view=century", "century is not one of the available choices"),
        ("kind=teapot", "teapot is not one of the available choices"),
        ("zone=Mars", "Mars is not one of the available choices"),
    ],
)
def test_an_address_that_makes_no_sense_says_so_and_shows_this_week(
    signed_in: SignIn, asked: str, said: str
) -> None:
    answer = signed_in().get(f"/calendar/?{asked}")
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert answer.context["span"].holds(timezone.now())


def test_a_page_far_beyond_the_last_is_the_last(signed_in: SignIn) -> None:
    a_unit(tag="K-01")
    assert "K-01" in signed_in().get("/calendar/?show=all&page=99").content.decode()


def test_every_state_has_its_word() -> None:
    unit = a_unit(tag="K-01")
    hours = iter(range(6))
    for state, active in [
        ("enquiry", False),
        ("hold", True),
        ("confirmed", True),
        ("closed", True),
        ("cancelled", False),
    ]:
        start = TUESDAY + timedelta(hours=3 * next(hours))
        until = TUESDAY if state == "hold" else None
        promised(unit, a_booking(start, 1, title=state, state=state, hold_until=until), active=active)
    ended = a_booking(TUESDAY + timedelta(days=1), title="ended", state="hold", hold_until=NOW)
    promised(unit, ended)
    bars = the_week().rows[0].bars
    assert [bar.promise.state for bar in bars] == [
        "enquiry",
        "hold",
        "confirmed",
        "closed",
        "cancelled",
        "ended",
    ]
    assert [bar.promise.blocks for bar in bars] == [False, True, True, True, False, False]
    assert bars[-1].promise.state_words == "hold ended"


def test_what_was_closed_before_it_began_keeps_nobody_away() -> None:
    booking = a_booking(TUESDAY, state="closed")
    promised(a_unit(tag="K-01"), booking, active=False)
    assert [bar.promise.blocks for bar in the_week().rows[0].bars] == [False]


def test_what_ends_when_the_week_begins_is_not_in_it() -> None:
    midnight = datetime(2026, 11, 29, 23, tzinfo=UTC)
    unit = a_unit(a_gear_type(turnaround_minutes=0), tag="K-01")
    promised(unit, a_booking(midnight - timedelta(hours=4), 4, title="Sunday"))
    promised(unit, a_booking(midnight, 4, title="Monday"))
    assert bars_of(the_week(), "K-01") == [("Monday", "confirmed")]


def test_only_units_with_promises_are_shown_at_first(signed_in: SignIn) -> None:
    a_unit(tag="K-02")
    promised(a_unit(tag="K-01"), a_booking(TUESDAY))
    page = signed_in().get("/calendar/?date=2026-12-01")
    assert [row.name for row in page.context["board"].rows] == ["K-01"]


def test_units_are_found_by_kind_and_words() -> None:
    a_unit(tag="K-01")
    a_unit(a_gear_type("stand", STAND), tag="S-01")
    assert [row.name for row in the_week(kind="stand").rows] == ["S-01"]
    assert [row.name for row in the_week(words="k-0").rows] == ["K-01"]


def test_an_enquiry_for_a_promised_unit_is_a_conflict_with_a_sentence() -> None:
    unit = a_unit(tag="K-01")
    promised(unit, a_booking(TUESDAY, title="Gloves"))
    promised(unit, a_booking(TUESDAY, title="Choir", state="enquiry"), active=False)
    (sentence,) = the_week().conflicts
    assert sentence.startswith("K-01 is wanted twice: “Gloves” (confirmed, Tue 1 Dec 2026, 10:00 to 14:00)")


def test_a_promised_unit_in_repair_is_a_conflict_with_a_sentence() -> None:
    promised(a_unit(tag="K-01", condition="repair"), a_booking(TUESDAY, title="Gloves"))
    assert the_week().conflicts == [
        "K-01 is in repair and is promised to “Gloves”, Tue 1 Dec 2026, 10:00 to 14:00."
    ]


def test_the_units_that_are_picked_for_conflicts_are_those_with_a_sentence() -> None:
    later = TUESDAY + timedelta(days=1)
    cases = {
        "A-1": [("confirmed", True, TUESDAY), ("enquiry", False, TUESDAY)],
        "A-2": [("enquiry", False, TUESDAY), ("enquiry", False, TUESDAY)],
        "A-3": [("confirmed", True, TUESDAY), ("enquiry", False, later)],
        "A-4": [("cancelled", False, TUESDAY), ("enquiry", False, TUESDAY)],
        "A-5": [("closed", True, TUESDAY), ("enquiry", False, TUESDAY)],
        "A-6": [("enquiry", False, TUESDAY)],
        "A-7": [("hold", True, TUESDAY), ("enquiry", False, TUESDAY)],
        "A-8": [("ended", True, TUESDAY), ("enquiry", False, TUESDAY)],
    }
    kind = a_gear_type()
    for tag, promises in cases.items():
        unit = a_unit(kind, tag=tag)
        for state, active, start in promises:
            hold = {"hold": later, "ended": NOW}.get(state)
            booking = a_booking(start, state="hold" if hold else state, hold_until=hold)
            promised(unit, booking, active=active)
    for tag, condition, state in [
        ("B-1", "repair", "confirmed"),
        ("B-2", "lost", "closed"),
        ("B-3", "repair", "ended"),
    ]:
        hold = NOW if state == "ended" else None
        booking = a_booking(TUESDAY, state="hold" if hold else state, hold_until=hold)
        promised(a_unit(kind, tag=tag, condition=condition), booking)
    said = [row.name for row in the_week(show="all").rows if row.conflicts]
    assert said == ["A-1", "A-2", "A-7", "B-1"]
    assert [row.name for row in the_week(show="conflicts").rows] == said


def test_a_gear_type_counts_what_is_taken_at_one_time() -> None:
    kind = a_gear_type(name="Hall strobe", turnaround_minutes=0)
    units = [a_unit(kind) for _ in range(4)]
    first, next_one = a_booking(TUESDAY, 2), a_booking(TUESDAY + timedelta(hours=2), 2)
    for unit in units[:2]:
        promised(unit, first)
    for unit in units[1:4]:
        promised(unit, next_one)
    (row,) = the_week("types").rows
    assert [bar.promise.count for bar in row.bars] == [2, 3]
    assert (row.capacity, row.most_taken, row.free_words) == (4, 3, "1 of 4 left")


def test_more_wanted_of_a_type_than_is_in_service_is_a_conflict() -> None:
    kind = a_gear_type(name="Hall strobe")
    promised(a_unit(kind), a_booking(TUESDAY))
    promised(a_unit(kind, condition="repair"), a_booking(TUESDAY))
    (row,) = the_week("types", show="conflicts").rows
    assert row.conflicts == ("Hall strobe: 2 are wanted at one time, 1 is in service.",)


def test_two_shoots_in_one_room_at_once_are_a_conflict() -> None:
    room = a_room(name="Car hall")
    for title in ("Gloves", "Choir"):
        a_shoot(booking=a_booking(TUESDAY, title=title), room=room)
    a_shoot(booking=a_booking(TUESDAY), room=a_room(name="Paint shop"))
    (row,) = the_week("rooms", show="conflicts").rows
    assert row.name == "Car hall"
    assert [bar.lane for bar in row.bars] == [0, 1]


def test_a_person_is_where_they_photograph_and_where_they_assist() -> None:
    ilo = a_person("photographer", first_name="Ilo")
    a_shoot(booking=a_booking(TUESDAY, title="Gloves"), photographer=ilo)
    a_shoot(booking=a_booking(TUESDAY + timedelta(days=1), title="Choir"), assistant=ilo)
    (row,) = (row for row in the_week("people").rows if row.name == "Ilo")
    assert [(bar.promise.title, bar.promise.role) for bar in row.bars] == [
        ("Gloves", "photographer"),
        ("Choir", "assistant"),
    ]
    assert row.conflicts == ()


def checked(shoot: Shoot, *worst: str) -> None:
    for shoot_recipe, status in zip(shoot.recipes.all(), worst, strict=True):
        if status:
            Readiness.objects.create(
                shoot_recipe=shoot_recipe, fingerprint="", worst=status, findings=[], computed_at=NOW
            )


def test_a_coming_shoot_bears_its_worst_status() -> None:
    shoot = a_shoot(a_recipe(), a_recipe(), booking=a_booking(TUESDAY))
    checked(shoot, "tight", "gap")
    promised(a_unit(tag="K-01"), shoot.booking)
    assert the_week().rows[0].bars[0].promise.readiness == "gap"


def test_a_recipe_that_was_not_checked_outweighs_one_that_is_tight() -> None:
    shoot = a_shoot(a_recipe(), a_recipe(), booking=a_booking(TUESDAY))
    checked(shoot, "tight", "")
    promised(a_unit(tag="K-01"), shoot.booking)
    assert the_week().rows[0].bars[0].promise.readiness_words == "not checked"


def test_a_shoot_that_is_over_bears_none() -> None:
    shoot = a_shoot(a_recipe(), booking=a_booking(NOW - timedelta(hours=6), 2))
    checked(shoot, "gap")
    promised(a_unit(tag="K-01"), shoot.booking)
    assert the_week().rows[0].bars[0].promise.readiness == ""


def test_the_present_moment_is_shown_when_it_is_in_view(signed_in: SignIn) -> None:
    promised(a_unit(), a_booking(timezone.now()))
    client = signed_in()
    assert client.get("/calendar/").context["board"].now_percent is not None
    assert client.get("/calendar/?date=2031-01-01").context["board"].now_percent is None


def test_the_words_say_what_the_drawing_says(signed_in: SignIn) -> None:
    shoot = a_shoot(booking=a_booking(TUESDAY, title="Gloves on slate"))
    for tag in ("K-01", "K-02"):
        promised(a_unit(tag=tag), shoot.booking)
    answer = signed_in().get("/calendar/?date=2026-12-01")
    (day,) = answer.context["board"].days
    (entry,) = day.entries
    assert (entry.use, entry.taken[0].rows) == ("10:00 to 14:00", ("K-01", "K-02"))
    assert answer.content.decode().count("Gloves on slate</a>") == 1


def test_a_promise_without_a_shoot_leads_nowhere(signed_in: SignIn) -> None:
    promised(a_unit(), a_booking(TUESDAY, title="Lent to a neighbour"))
    page = signed_in().get("/calendar/?date=2026-12-01").content.decode()
    assert "Lent to a neighbour" in page
    assert 'href="/shoots/None"' not in page


def test_words_that_look_like_markup_stay_words(signed_in: SignIn) -> None:
    promised(a_unit(), a_booking(TUESDAY, title="<b>Gloves</b>"))
    page = signed_in().get("/calendar/?date=2026-12-01").content.decode()
    assert "<b>Gloves</b>" not in page
    assert "&lt;b&gt;Gloves&lt;/b&gt;" in page


def many_units(count: int, bookings: int) -> None:
    """Units with a shoot every few days, over ninety days, each with a recipe that was checked."""
    kind, room, recipe = a_gear_type(), a_room(), a_recipe()
    units = Unit.objects.bulk_create(Unit(tag=f"U-{n:04d}", gear_type=kind) for n in range(count))
    for number in range(bookings):
        shoot = a_shoot(
            recipe, booking=a_booking(TUESDAY + timedelta(days=90 * number / bookings)), room=room
        )
        checked(shoot, "ok")
        use = use_of(shoot.booking).as_range
        Allocation.objects.bulk_create(
            Allocation(booking=shoot.booking, unit=unit, use=use, blocked=use) for unit in units
        )


@pytest.mark.parametrize("face", ["", "types", "rooms", "people"])
def test_the_number_of_questions_does_not_grow(
    signed_in: SignIn, django_assert_max_num_queries: Any, face: str
) -> None:
    many_units(500, 6)
    client = signed_in()
    with django_assert_max_num_queries(15):
        answer = client.get(f"/calendar/{face}?view=quarter&date=2026-12-01")
    assert answer.status_code == 200
    assert answer.context["board"].page.paginator.count in (500, 1, 2)


STAND = {"max_height_m": 2.6, "min_height_m": 1.0, "max_load_kg": 9.0, "foot_radius_m": 0.5, "mass_kg": 3.0}


def test_who_waits_in_line_stands_under_who_has_it_with_its_rank_and_is_no_conflict() -> None:
    unit = a_unit(tag="K-03")
    promised(unit, a_booking(title="First", state="confirmed", starts_at=TUESDAY))
    later = a_booking(title="Later", state="hold", hold_until=NOW + timedelta(days=9), starts_at=TUESDAY)
    waits = promised(unit, later, active=False)
    Allocation.objects.filter(pk=waits.pk).update(waits_since=NOW)
    found = the_week(show="all")
    (row,) = (row for row in found.rows if row.name == "K-03")
    words = {bar.promise.title: (bar.promise.state_words, bar.promise.blocks) for bar in row.bars}
    assert words == {"First": ("confirmed", True), "Later": ("2nd hold", False)}
    assert row.conflicts == ()
