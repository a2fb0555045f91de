"""A later holder asks the first to confirm, or to let go by a deadline."""

from __future__ import annotations

from datetime import timedelta

import pytest

from gear.booking import notices, services
from gear.booking.challenges import challenge, step_back, withdraw_challenge
from gear.booking.clashes import UnitTaken
from gear.booking.models import Challenge
from gear.booking.notices import Challenged, ChallengeEnded, Promoted
from gear.booking.promotion import promote_due
from gear.booking.queries import free_units
from gear.booking.rules import now
from gear.errors import Conflict
from tests.builders import a_unit
from tests.gear.booking.test_promotion import has
from tests.gear.booking.test_wait_in_line import place_of, waiting
from tests.gear.booking.times import a_type, at, between, booked, set_clock

pytestmark = pytest.mark.django_db

DEADLINE = timedelta(hours=30)


@pytest.fixture
def told(monkeypatch: pytest.MonkeyPatch) -> list:
    """Every notice, in the order in which it was told."""
    heard: list = []
    monkeypatch.setattr(notices, "_writers", [heard.append])
    return heard


@pytest.fixture
def line():
    """A head with a first hold, a second that waits for it, and the deadline that it set."""
    unit = a_unit(a_type(), tag="K-03")
    first = booked(10, 12, unit, a_unit(a_type(), tag="S-01"), state="hold", title="First")
    later = waiting(10, 12, unit)
    deadline = now() + DEADLINE
    challenge(later, first, deadline, None)
    return unit, first, later, deadline


def test_the_one_who_waits_asks_and_both_are_told_of_the_units_and_the_deadline(told, line) -> None:
    _, first, later, deadline = line
    assert told == [Challenged(first.pk, later.pk, ("K-03",), deadline)]


def test_a_second_before_the_deadline_the_first_confirms_and_keeps_it(
    told, line, monkeypatch: pytest.MonkeyPatch
) -> None:
    unit, first, later, deadline = line
    set_clock(monkeypatch, deadline - timedelta(seconds=1))
    services.confirm(first, None)
    assert Challenge.objects.get().outcome == "confirmed"
    set_clock(monkeypatch, deadline)
    promote_due()
    assert (has(first, unit), has(later, unit)) == (True, False)
    assert told[1:] == [ChallengeEnded(first.pk, later.pk, ("K-03",), "confirmed")]


def test_at_the_deadline_the_next_in_line_has_it_by_the_clock_and_is_told_once(
    told, line, monkeypatch: pytest.MonkeyPatch
) -> None:
    unit, first, later, deadline = line
    set_clock(monkeypatch, deadline)
    promote_due()
    promote_due()
    assert (has(first, unit), has(later, unit)) == (False, True)
    assert told[1:] == [
        ChallengeEnded(first.pk, later.pk, ("K-03",), "lapsed"),
        Promoted(later.pk, ("K-03",)),
    ]


def test_at_the_deadline_confirming_is_a_fresh_check_that_fails(
    line, monkeypatch: pytest.MonkeyPatch
) -> None:
    _, first, _, deadline = line
    set_clock(monkeypatch, deadline)
    with pytest.raises(UnitTaken, match="Later"):
        services.confirm(first, None)


def test_what_nobody_challenged_stays_with_the_first(line, monkeypatch: pytest.MonkeyPatch) -> None:
    _, first, _, deadline = line
    set_clock(monkeypatch, deadline)
    promote_due()
    assert first.allocations.get(unit__tag="S-01").active
    first.refresh_from_db()
    assert first.state == "hold"


def test_a_newcomer_does_not_slip_in_at_the_deadline(line, monkeypatch: pytest.MonkeyPatch) -> None:
    unit, _, _, deadline = line
    set_clock(monkeypatch, deadline)
    assert unit not in free_units(between(10, 12).interval)
    with pytest.raises(UnitTaken, match="Later"):
        booked(10, 12, unit)


def test_renewing_the_hold_does_not_answer_a_challenge(line, monkeypatch: pytest.MonkeyPatch) -> None:
    unit, first, later, deadline = line
    services.hold(first, None, at(5))
    set_clock(monkeypatch, deadline)
    promote_due()
    assert has(later, unit)


def test_asking_again_changes_nothing(told, line) -> None:
    _, first, later, deadline = line
    challenge(later, first, deadline + timedelta(hours=1), None)
    assert Challenge.objects.get().deadline == deadline
    assert len(told) == 1


def test_a_third_is_told_that_it_was_asked_already(line) -> None:
    unit, first, _, deadline = line
    third = waiting(10, 12, unit, title="Third")
    with pytest.raises(Conflict, match="“Later” has asked already"):
        challenge(third, first, deadline, None)


def test_the_first_may_step_back_and_is_then_behind(told, line) -> None:
    unit, first, later, _ = line
    step_back(first, [unit.pk], None)
    assert has(later, unit)
    assert place_of(first, unit).rank == 2
    assert told[1:] == [
        ChallengeEnded(first.pk, later.pk, ("K-03",), "let-go"),
        Promoted(later.pk, ("K-03",)),
    ]


def test_letting_the_unit_go_answers_it_too(line) -> None:
    unit, first, later, _ = line
    services.release_units(first, [unit.pk], None)
    assert Challenge.objects.get().outcome == "let-go"
    assert has(later, unit)


@pytest.mark.parametrize(("who", "outcome"), [("first", "let-go"), ("later", "withdrawn")])
def test_letting_the_unit_go_ends_it_where_nobody_waits_any_more(line, who, outcome) -> None:
    unit, first, later, _ = line
    services.move_booking(first, between(40, 42), None)
    assert has(later, unit)
    services.release_units(first if who == "first" else later, [unit.pk], None)
    assert Challenge.objects.get().outcome == outcome


@pytest.mark.parametrize("gives_up", [services.cancel, lambda later, by: withdraw_challenge(later, *by)])
def test_who_asked_may_give_up_and_the_first_keeps_its_hold(
    line, gives_up, monkeypatch: pytest.MonkeyPatch
) -> None:
    unit, first, later, deadline = line
    gives_up(later, None if gives_up is services.cancel else (first, None))
    assert Challenge.objects.get().outcome == "withdrawn"
    set_clock(monkeypatch, deadline)
    assert unit not in free_units(between(10, 12).interval)
    services.confirm(first, None)
    assert has(first, unit)


def test_who_makes_its_own_hold_shorter_than_the_deadline_gives_up(line) -> None:
    _, _, later, deadline = line
    services.hold(later, None, deadline - timedelta(hours=1))
    assert Challenge.objects.get().outcome == "withdrawn"


def test_the_line_says_until_when_the_first_may_answer(line) -> None:
    from gear.booking.wall_time import say

    unit, _, later, deadline = line
    assert place_of(later, unit).behind == f"behind “First” (hold until {say(deadline, 'UTC')})"


def test_what_is_confirmed_has_decided() -> None:
    unit = a_unit(a_type())
    first, later = booked(10, 12, unit, title="First"), waiting(10, 12, unit)
    with pytest.raises(Conflict, match="“First” is confirmed: it has decided"):
        challenge(later, first, now() + DEADLINE, None)


def test_who_does_not_wait_behind_it_has_nothing_to_ask() -> None:
    unit = a_unit(a_type())
    first, other = booked(10, 12, unit, state="hold"), booked(14, 16, unit, state="hold")
    with pytest.raises(Conflict, match="does not wait behind"):
        challenge(other, first, now() + DEADLINE, None)


def test_a_hold_that_ends_before_the_deadline_is_not_asked() -> None:
    unit = a_unit(a_type())
    first = booked(10, 12, unit, state="hold", hold_until=now() + timedelta(hours=29))
    with pytest.raises(Conflict, match="ends by itself"):
        challenge(waiting(10, 12, unit), first, now() + DEADLINE, None)


def test_whose_own_hold_ends_before_the_deadline_renews_it_first() -> None:
    unit = a_unit(a_type())
    first = booked(10, 12, unit, state="hold")
    later = waiting(10, 12, unit, hold_until=now() + timedelta(hours=29))
    with pytest.raises(Conflict, match="Renew it first"):
        challenge(later, first, now() + DEADLINE, None)


def test_nobody_is_asked_to_answer_after_it_has_begun() -> None:
    unit = a_unit(a_type())
    first = booked(10, 12, unit, state="hold", hold_until=at(40))
    later = waiting(10, 12, unit, hold_until=at(40))
    with pytest.raises(Conflict, match="Call them instead"):
        challenge(later, first, at(11), None)
