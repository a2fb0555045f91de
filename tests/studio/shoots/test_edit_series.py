"""One of a series, this and the following, or all: what a change reaches, what it leaves, and when it is refused."""

from __future__ import annotations

from datetime import timedelta

import pytest

from gear.booking.models import Allocation, Booking
from gear.booking.series import name_in_calendars
from gear.booking.series_rule import Rule
from gear.errors import Conflict, NotAllowed, StaleEdit
from studio.shoots import services
from studio.shoots.series_clashes import SeriesClashes
from studio.shoots.series_editing import edit_series, firm_series, take_over
from studio.shoots.services import Changes
from studio.shoots.stocking import set_shoot_stock
from tests.builders import a_person, a_recipe, a_room, a_unit
from tests.gear.booking.times import a_type
from tests.gear.stock.counted import an_item
from tests.studio.shoots.plans import planned, the_recipe
from tests.studio.shoots.series import TUESDAY, a_weekly, shoots_of, taken_on, wall

pytestmark = pytest.mark.django_db


@pytest.fixture
def manager():
    return a_person()


@pytest.fixture
def head():
    return a_unit(a_type(), tag="K-03")


def starts(series) -> list[str]:
    return [shoot.booking.starts_wall for shoot in shoots_of(series)]


def an_hour_later(weeks: int) -> Changes:
    return Changes(starts=wall(weeks, "10:00"), ends=wall(weeks, "14:00"))


def test_a_change_of_one_leaves_the_others(manager) -> None:
    series = a_weekly(by=manager, count=3)
    edit_series(shoots_of(series)[1], Changes(title="Evening"), manager, "one")
    assert [s.title for s in shoots_of(series)] == ["Tram portraits", "Evening", "Tram portraits"]


def test_this_and_the_following_leaves_what_was_before(manager) -> None:
    series = a_weekly(by=manager, count=4)
    done = edit_series(shoots_of(series)[2], an_hour_later(2), manager, "following")
    assert done.reached == 2
    assert starts(series) == [wall(0), wall(1), wall(2, "10:00"), wall(3, "10:00")]


def test_all_reaches_every_one_that_has_not_begun(manager) -> None:
    series = a_weekly(by=manager, count=4)
    edit_series(shoots_of(series)[2], Changes(title="Evening", notes="Bring cake"), manager, "all")
    assert {(s.title, s.notes, s.booking.title) for s in shoots_of(series)} == {
        ("Evening", "Bring cake", "Evening")
    }


def test_what_is_over_stays_as_it_was(manager) -> None:
    series = a_weekly(by=manager, count=9, day=TUESDAY - timedelta(weeks=7))
    before = len([s for s in shoots_of(series) if s.booking.starts_wall < wall(-4)])
    edit_series(shoots_of(series)[-1], Changes(title="Evening"), manager, "all")
    titles = [s.title for s in shoots_of(series)]
    assert before >= 2
    assert titles[:2] == ["Tram portraits", "Tram portraits"]
    assert titles[-1] == "Evening"


def test_every_occurrence_keeps_its_name_in_calendars_wherever_it_goes(manager) -> None:
    series = a_weekly(by=manager, count=3)
    names = [
        name_in_calendars(series.zone, series.slot_time, s.booking.occurrence.day) for s in shoots_of(series)
    ]
    edit_series(shoots_of(series)[0], Changes(starts=wall(0, "17:00"), ends=wall(0, "18:00")), manager, "all")
    series.refresh_from_db()
    assert [
        name_in_calendars(series.zone, series.slot_time, s.booking.occurrence.day) for s in shoots_of(series)
    ] == names
    assert starts(series) == [wall(n, "17:00") for n in range(3)]


def test_what_was_changed_of_one_alone_stays_its_own_and_is_said(manager) -> None:
    series = a_weekly(by=manager, count=4)
    second, third = shoots_of(series)[1:3]
    services.edit_shoot(second, Changes(title="Glove day"), manager)
    services.edit_shoot(third, Changes(starts=wall(2, "15:00"), ends=wall(2, "16:00")), manager)
    done = edit_series(
        shoots_of(series)[0],
        Changes(title="Evening", starts=wall(0, "10:00"), ends=wall(0, "14:00")),
        manager,
        "all",
    )
    found = shoots_of(series)
    assert [s.title for s in found] == ["Evening", "Glove day", "Evening", "Evening"]
    assert starts(series) == [wall(0, "10:00"), wall(1, "10:00"), wall(2, "15:00"), wall(3, "10:00")]
    assert len(done.kept) == 2
    assert "own title" in done.kept[0]
    assert "own time" in done.kept[1]


def test_units_move_along_and_a_clash_changes_nothing_at_all(manager, head) -> None:
    series = a_weekly(head, by=manager, count=3)
    taken_on(TUESDAY + timedelta(weeks=1, days=1), head)
    a_day_later = Changes(
        title="New",
        starts=wall(0, day=TUESDAY + timedelta(days=1)),
        ends=wall(0, "13:00", TUESDAY + timedelta(days=1)),
    )
    with pytest.raises(SeriesClashes) as refused:
        edit_series(shoots_of(series)[0], a_day_later, manager, "all")
    assert "Nothing was changed: 1 of 3" in refused.value.sentence
    assert "K-03" in refused.value.sentence
    assert starts(series) == [wall(0), wall(1), wall(2)]
    assert {s.title for s in shoots_of(series)} == {"Tram portraits"}


def test_a_clash_may_be_left_where_it_was(manager, head) -> None:
    series = a_weekly(head, by=manager, count=3)
    taken_on(TUESDAY + timedelta(weeks=1, days=1), head)
    day = TUESDAY + timedelta(days=1)
    done = edit_series(
        shoots_of(series)[0],
        Changes(starts=wall(0, day=day), ends=wall(0, "13:00", day)),
        manager,
        "all",
        leave_out=True,
    )
    assert [clash.day for clash in done.clashes] == [TUESDAY + timedelta(weeks=1)]
    assert starts(series) == [wall(0, day=day), wall(1), wall(2, day=day)]


@pytest.mark.parametrize("step", [timedelta(days=1), timedelta(days=-1)])
def test_a_daily_series_moves_by_a_day_into_its_own_old_days(manager, head, step) -> None:
    series = a_weekly(head, by=manager, rule=Rule("day", count=5))
    day = TUESDAY + step
    edit_series(
        shoots_of(series)[0], Changes(starts=wall(0, day=day), ends=wall(0, "13:00", day)), manager, "all"
    )
    assert starts(series) == [wall(0, day=day + timedelta(days=n)) for n in range(5)]
    assert Allocation.objects.filter(unit=head, active=True).count() == 5


def test_moving_the_following_onto_the_one_before_is_refused(manager) -> None:
    series = a_weekly(by=manager, count=3)
    onto = Changes(starts=wall(0, "12:00"), ends=wall(0, "15:00"))
    with pytest.raises(SeriesClashes, match="over another one of its own series"):
        edit_series(shoots_of(series)[1], onto, manager, "following")
    assert starts(series) == [wall(0), wall(1), wall(2)]


def test_units_chosen_for_one_are_given_to_the_following_with_their_jobs(manager, head) -> None:
    series, item = a_weekly(by=manager, count=3, recipes=[a_recipe()]), an_item(100)
    first = shoots_of(series)[0]
    services.assign_unit(the_recipe(first), "Key", "head", 1, head.tag, manager)
    set_shoot_stock(first, item.pk, 4, manager)
    assert take_over(first, manager, "following").reached == 2
    for shoot in shoots_of(series):
        assert the_recipe(shoot).assignments.get().unit == head
        assert shoot.booking.stock_promises.get().quantity == 4


def test_another_head_replaces_the_first_on_all_and_the_first_is_free_again(manager, head) -> None:
    series, other = a_weekly(head, by=manager, count=3), a_unit(a_type())
    first = shoots_of(series)[0]
    services.assign_unit(the_recipe(first), "Key", "head", 1, other.tag, manager)
    take_over(first, manager, "all")
    assert not Allocation.objects.filter(unit=head).exists()
    assert Allocation.objects.filter(unit=other, active=True).count() == 3


def test_units_that_are_taken_on_one_day_are_given_to_none_unless_that_day_is_left(manager, head) -> None:
    series = a_weekly(by=manager, count=3)
    taken_on(TUESDAY + timedelta(weeks=2), head)
    first = shoots_of(series)[0]
    services.add_extra_unit(first, head.tag, manager)
    with pytest.raises(SeriesClashes, match="1 of 3"):
        take_over(first, manager, "all")
    assert Allocation.objects.filter(unit=head).count() == 2
    done = take_over(first, manager, "all", leave_out=True)
    assert (done.reached, len(done.clashes)) == (1, 1)


def test_what_was_put_on_one_alone_is_not_taken_from_it(manager, head) -> None:
    series, own = a_weekly(by=manager, count=3), a_unit(a_type())
    first, second, _ = shoots_of(series)
    services.add_extra_unit(second, own.tag, manager)
    services.add_extra_unit(first, head.tag, manager)
    done = take_over(first, manager, "all")
    assert len(done.kept) == 1
    assert second.booking.allocations.get().unit == own


def test_cancelling_the_following_ends_the_series_and_repeating_it_changes_nothing(manager, head) -> None:
    series = a_weekly(head, by=manager, count=5)
    third = shoots_of(series)[2]
    assert firm_series(third, "cancel", manager, "following").reached == 3
    assert [s.booking.state for s in shoots_of(series)] == ["confirmed"] * 2 + ["cancelled"] * 3
    assert Allocation.objects.filter(unit=head, active=True).count() == 2
    series.refresh_from_db()
    assert (series.until, series.count) == (TUESDAY + timedelta(days=13), None)
    assert firm_series(third, "cancel", manager, "following").reached == 0


def test_cancelling_all_frees_every_unit(manager, head) -> None:
    series = a_weekly(head, by=manager, count=4)
    assert firm_series(shoots_of(series)[3], "cancel", manager, "all").reached == 4
    assert not Allocation.objects.filter(active=True).exists()


def test_cancelling_one_leaves_the_rule(manager) -> None:
    series = a_weekly(by=manager, count=4)
    services.cancel_shoot(shoots_of(series)[1], manager)
    series.refresh_from_db()
    assert series.count == 4


def test_one_that_was_cancelled_is_not_changed_with_all(manager) -> None:
    series = a_weekly(by=manager, count=3)
    services.cancel_shoot(shoots_of(series)[1], manager)
    edit_series(shoots_of(series)[0], an_hour_later(0), manager, "all")
    assert starts(series)[1] == wall(1)


def test_all_holds_are_confirmed_together_or_none_when_an_ended_one_lost_its_unit(manager, head) -> None:
    series = a_weekly(head, by=manager, count=3, state="hold")
    third = shoots_of(series)[2]
    Booking.objects.filter(pk=third.booking_id).update(hold_until=third.booking.created_at)
    taken_on(TUESDAY + timedelta(weeks=2), head)
    with pytest.raises(SeriesClashes, match="Nothing was confirmed: 1 of 3"):
        firm_series(third, "confirm", manager, "all")
    assert {s.booking.state for s in shoots_of(series)} == {"hold"}
    done = firm_series(third, "confirm", manager, "all", leave_out=True)
    assert done.reached == 2
    assert [s.booking.state for s in shoots_of(series)] == ["confirmed", "confirmed", "hold"]


def test_renewing_the_holds_leaves_what_is_confirmed(manager) -> None:
    series = a_weekly(by=manager, count=3, state="hold")
    first, second, _ = shoots_of(series)
    services.confirm_shoot(second, manager)
    before = first.booking.hold_until
    assert firm_series(first, "hold", manager, "all", until=before + timedelta(days=3)).reached == 2
    assert [s.booking.state for s in shoots_of(series)] == ["hold", "confirmed", "hold"]
    assert shoots_of(series)[0].booking.hold_until == before + timedelta(days=3)


def test_a_photographer_confirms_no_series_and_changes_nobody_elses(manager) -> None:
    photographer = a_person("photographer")
    series = a_weekly(by=manager, count=3, photographer=photographer)
    first, second, _ = shoots_of(series)
    with pytest.raises(NotAllowed):
        firm_series(first, "confirm", photographer, "all")
    services.edit_shoot(second, Changes(photographer=manager), manager)
    with pytest.raises(NotAllowed):
        edit_series(first, Changes(title="Mine"), photographer, "all")
    assert {s.title for s in shoots_of(series)} == {"Tram portraits"}


def test_a_change_that_starts_from_an_old_version_reaches_none(manager) -> None:
    series = a_weekly(by=manager, count=3)
    first = shoots_of(series)[0]
    services.edit_shoot(first, Changes(notes="Bring cake"), manager)
    with pytest.raises(StaleEdit):
        edit_series(first, Changes(title="Evening"), manager, "all", version=first.version)
    assert {s.title for s in shoots_of(series)} == {"Tram portraits"}


def test_a_single_shoot_has_no_following(manager) -> None:
    with pytest.raises(Conflict, match="not one of a series"):
        edit_series(planned(by=manager), Changes(title="Evening"), manager, "following")


def test_another_room_in_another_zone_keeps_the_wall_times_on_its_own_clock(manager) -> None:
    series, room = a_weekly(by=manager, count=3), a_room()
    room.place.zone = "Europe/Lisbon"
    room.place.save()
    edit_series(shoots_of(series)[1], Changes(room=room), manager, "following")
    found = shoots_of(series)
    assert [s.booking.zone for s in found] == ["Europe/Paris", "Europe/Lisbon", "Europe/Lisbon"]
    assert {s.booking.starts_wall[11:] for s in found} == {"09:00"}
