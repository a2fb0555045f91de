"""A shoot becomes a series: every day booked, or nothing, or what a person leaves out by name."""

from __future__ import annotations

import calendar
from datetime import date, timedelta

import pytest
from django.utils import timezone

from gear.booking import services as booking
from gear.booking.interval import period
from gear.booking.models import Allocation, Booking, Occurrence, Series
from gear.booking.series_rule import Rule
from gear.errors import Conflict, Invalid, NotAllowed, StaleEdit
from gear.kits.services import promise_kit
from studio.shoots import services
from studio.shoots.models import Assignment, Shoot
from studio.shoots.series_booking import rehearsed, repeat_shoot, try_again
from studio.shoots.series_clashes import SeriesClashes
from studio.shoots.stocking import add_kit, set_shoot_stock
from tests.builders import a_person, a_recipe, a_room, a_unit
from tests.gear.booking.times import a_type
from tests.gear.kits.sets import a_kit
from tests.gear.stock.counted import an_item
from tests.studio.shoots.plans import the_recipe
from tests.studio.shoots.series import (
    PARIS,
    TUESDAY,
    a_weekly,
    days_of,
    planned_on,
    shoots_of,
    taken_on,
)

pytestmark = pytest.mark.django_db
THIRD = TUESDAY + timedelta(weeks=2)


@pytest.fixture
def manager():
    return a_person()


@pytest.fixture
def head():
    return a_unit(a_type(), tag="K-03")


def test_weekly_ten_times_is_ten_shoots_with_the_same_wall_times(manager, head) -> None:
    series = a_weekly(head, by=manager)
    found = shoots_of(series)
    assert days_of(series) == [TUESDAY + timedelta(weeks=n) for n in range(10)]
    assert {(s.booking.starts_wall[11:], s.booking.ends_wall[11:]) for s in found} == {("09:00", "13:00")}
    assert Allocation.objects.filter(unit=head, active=True).count() == 10


def test_when_the_third_clashes_nothing_is_booked_and_it_is_said_who_has_it_until_when(manager, head) -> None:
    taken_on(THIRD, head, by=a_person(username="dora"))
    with pytest.raises(SeriesClashes) as refused:
        a_weekly(head, by=manager)
    (clash,) = refused.value.clashes
    assert clash.day == THIRD
    assert "K-03" in clash.sentence
    assert "“Gloves on slate”, dora" in clash.sentence
    assert "free from" in clash.sentence
    assert "12:00" in clash.sentence
    assert "Nothing was booked: 1 of 10" in refused.value.sentence
    assert not Series.objects.exists()
    assert Shoot.objects.count() == 1
    assert Allocation.objects.filter(unit=head).count() == 2


def test_leaving_out_what_clashes_books_nine_and_keeps_the_third_with_its_reason(manager, head) -> None:
    taken_on(THIRD, head)
    series = a_weekly(head, by=manager, leave_out=True)
    assert len(shoots_of(series)) == 9
    (left,) = series.occurrences.filter(booking=None)
    assert left.day == THIRD
    assert "“Gloves on slate”" in left.left_out


def test_a_day_that_was_left_out_is_booked_when_it_has_become_free(manager, head) -> None:
    other = taken_on(THIRD, head)
    series = a_weekly(head, by=manager, leave_out=True)
    with pytest.raises(Conflict, match="Gloves on slate"):
        try_again(series.pk, THIRD, manager)
    booking.cancel(other, manager)
    made = try_again(series.pk, THIRD, manager)
    assert made.booking.state == "confirmed"
    assert made.booking.allocations.get().unit == head
    assert len(days_of(series)) == 10


def test_a_rehearsal_says_the_same_and_keeps_nothing(manager, head) -> None:
    taken_on(THIRD, head)
    shoot = planned_on(TUESDAY, manager)
    services.add_extra_unit(shoot, head.tag, manager)
    rule = Rule("week", count=4)
    lines = rehearsed(lambda: repeat_shoot(shoot, rule, manager, leave_out=True)).lines
    assert [line.clash is None for line in lines] == [True, True, False, True]
    assert not Series.objects.exists()
    assert Shoot.objects.count() == 1


def test_everything_on_the_shoot_is_on_each_of_them(manager, head) -> None:
    spare, sandbag = a_unit(a_type()), an_item(40, name="Sandbag")
    assistant, recipe = a_person("assistant"), a_recipe()
    shoot = planned_on(TUESDAY, manager, recipes=[recipe], assistant=assistant, notes="Bring cake")
    services.assign_unit(the_recipe(shoot), "Key", "head", 1, head.tag, manager)
    services.set_circuit(the_recipe(shoot), "Key", 1, "A", manager)
    services.add_extra_unit(shoot, spare.tag, manager)
    set_shoot_stock(shoot, sandbag.pk, 6, manager)
    copy = shoots_of(repeat_shoot(shoot, Rule("week", count=2), manager).series)[1]
    assert (copy.notes, copy.assistant, copy.room) == ("Bring cake", assistant, shoot.room)
    assert copy.recipes.get().revision == recipe.head
    job = Assignment.objects.get(shoot_recipe__shoot=copy)
    assert (job.light, job.job, job.unit, job.circuit) == ("Key", "head", head, "A")
    assert set(copy.booking.allocations.values_list("unit", flat=True)) == {head.pk, spare.pk}
    assert copy.booking.stock_promises.get().quantity == 6


def test_a_kit_is_promised_anew_on_each_day_and_its_parts_keep_their_jobs(manager, head) -> None:
    kit = a_kit(head, a_unit(a_type()), name="Tram bag")
    shoot = planned_on(TUESDAY, manager, recipes=[a_recipe()])
    add_kit(shoot, kit.pk, manager)
    services.assign_unit(the_recipe(shoot), "Key", "head", 1, head.tag, manager)
    copy = shoots_of(repeat_shoot(shoot, Rule("week", count=2), manager).series)[1]
    assert copy.booking.kits.get().kit == kit
    assert copy.booking.kits.get().taken.filter(was_there=False).count() == 2
    assert Assignment.objects.get(shoot_recipe__shoot=copy).unit == head


def test_a_day_without_enough_sandbags_or_with_an_incomplete_kit_clashes(manager, head) -> None:
    kit, sandbag = a_kit(head, name="Tram bag"), an_item(8, name="Sandbag")
    shoot = planned_on(TUESDAY, manager)
    add_kit(shoot, kit.pk, manager)
    set_shoot_stock(shoot, sandbag.pk, 6, manager)
    taken_on(THIRD, head)
    elsewhere = planned_on(THIRD + timedelta(weeks=1), manager)
    set_shoot_stock(elsewhere, sandbag.pk, 6, manager)
    with pytest.raises(SeriesClashes) as refused:
        repeat_shoot(shoot, Rule("week", count=5), manager)
    said = {clash.day: clash.sentence for clash in refused.value.clashes}
    assert set(said) == {THIRD, THIRD + timedelta(weeks=1)}
    assert "Tram bag" in said[THIRD]
    assert "Sandbag" in said[THIRD + timedelta(weeks=1)]


def test_nine_oclock_stays_nine_over_both_changes_of_the_clocks(manager) -> None:
    series = a_weekly(by=manager, count=52)
    instants = {s.booking.starts_at.hour for s in shoots_of(series)}
    assert instants == {7, 8}  # Paris is an hour ahead of UTC in winter, two in summer
    assert {s.booking.starts_wall[11:] for s in shoots_of(series)} == {"09:00"}


def the_spring_change() -> date:
    """The next last Sunday of March (EU summer time begins then at 01:00 UTC: Directive 2000/84/EC)."""
    year = TUESDAY.year + (date(TUESDAY.year, 3, 1) < TUESDAY)
    return max(day for n in range(25, 32) if (day := date(year, 3, n)).weekday() == 6)


def test_a_time_that_the_clocks_jump_over_is_a_clash_with_the_next_time_on_offer(manager) -> None:
    sunday = the_spring_change()
    night = planned_on(sunday - timedelta(weeks=1), manager, "02:30", "06:00")
    with pytest.raises(SeriesClashes) as refused:
        repeat_shoot(night, Rule("week", count=3), manager)
    (clash,) = refused.value.clashes
    assert clash.day == sunday
    assert "Take 03:30 instead" in clash.sentence


def test_a_time_that_the_clocks_jump_over_is_the_next_one_when_that_was_chosen(manager) -> None:
    sunday = the_spring_change()
    night = planned_on(sunday - timedelta(weeks=1), manager, "02:30", "06:00")
    series = repeat_shoot(night, Rule("week", count=3), manager, take_next=True).series
    assert [s.booking.starts_wall[11:] for s in shoots_of(series)] == ["02:30", "03:30", "02:30"]


def test_monthly_on_the_31st_moves_back_when_that_was_chosen(manager) -> None:
    day = date(TUESDAY.year + 1, 1, 31)
    series = repeat_shoot(planned_on(day, manager), Rule("month", skip="backward", count=3), manager).series
    february = calendar.monthrange(day.year, 2)[1]
    assert [found.day for found in days_of(series)] == [31, february, 31]


def test_an_endless_series_is_booked_for_eighteen_months(manager) -> None:
    series = a_weekly(by=manager, count=None)
    last = days_of(series)[-1]
    assert timedelta(days=540) < last - timezone.now().date() < timedelta(days=552)
    assert series.rule.endless


def test_the_series_is_called_in_calendars_what_its_first_shoot_was(manager) -> None:
    shoot = planned_on(TUESDAY, manager)
    shoot.refresh_from_db()
    assert repeat_shoot(shoot, Rule("week", count=2), manager).series.uid == shoot.uid


def test_something_that_still_lasts_when_the_next_begins_is_refused(manager) -> None:
    long = services.plan_shoot(
        "Long",
        a_room(),
        period(f"{TUESDAY}T09:00", f"{TUESDAY + timedelta(days=1)}T10:00", PARIS),
        None,
        manager,
    )
    with pytest.raises(Invalid, match="would still last when the next one begins"):
        repeat_shoot(long, Rule("day", count=3), manager)


def test_turnaround_longer_than_the_step_clashes_with_the_series_itself(manager) -> None:
    slow = a_unit(a_type(turnaround=24 * 60), tag="S-01")
    with pytest.raises(SeriesClashes) as refused:
        a_weekly(slow, by=manager, rule=Rule("day", count=3))
    assert "S-01" in refused.value.clashes[0].sentence
    assert refused.value.clashes[0].day == TUESDAY + timedelta(days=1)


@pytest.mark.parametrize("rule", [Rule("week", count=1), Rule("week", until=TUESDAY + timedelta(days=3))])
def test_once_is_no_series(manager, rule) -> None:
    with pytest.raises(Invalid, match="nothing repeats"):
        repeat_shoot(planned_on(TUESDAY, manager), rule, manager)


def test_one_of_a_series_is_not_repeated_again(manager) -> None:
    first = shoots_of(a_weekly(by=manager))[0]
    with pytest.raises(Conflict, match="one of a series already"):
        repeat_shoot(first, Rule("day", count=3), manager)


def test_a_cancelled_shoot_is_not_repeated(manager) -> None:
    shoot = services.cancel_shoot(planned_on(TUESDAY, manager), manager)
    with pytest.raises(Conflict, match="cancelled"):
        repeat_shoot(shoot, Rule("week", count=3), manager)


def test_a_unit_in_repair_is_no_clash_of_a_day_but_stops_the_series(manager, head) -> None:
    shoot = planned_on(TUESDAY, manager)
    services.add_extra_unit(shoot, head.tag, manager)
    head.condition = "repair"
    head.save()
    with pytest.raises(Conflict, match="in repair"):
        repeat_shoot(shoot, Rule("week", count=3), manager, leave_out=True)
    assert not Occurrence.objects.exists()


def test_a_photographer_repeats_their_own_and_what_was_confirmed_comes_as_holds(manager) -> None:
    photographer = a_person("photographer")
    shoot = planned_on(TUESDAY, manager, photographer=photographer)
    series = repeat_shoot(shoot, Rule("week", count=3), photographer).series
    assert [s.booking.state for s in shoots_of(series)] == ["confirmed", "hold", "hold"]


def test_a_photographer_does_not_repeat_somebody_elses(manager) -> None:
    with pytest.raises(NotAllowed):
        repeat_shoot(planned_on(TUESDAY, manager), Rule("week", count=3), a_person("photographer"))


def test_what_was_changed_in_the_meantime_is_not_repeated(manager) -> None:
    shoot = planned_on(TUESDAY, manager)
    services.edit_shoot(shoot, services.Changes(title="Changed"), manager)
    with pytest.raises(StaleEdit):
        repeat_shoot(shoot, Rule("week", count=3), manager, version=1)


def test_an_exception_does_not_collide_with_its_own_series(manager) -> None:
    first, second, *_ = shoots_of(a_weekly(by=manager))
    onto = period(f"{TUESDAY + timedelta(weeks=1)}T12:00", f"{TUESDAY + timedelta(weeks=1)}T15:00", PARIS)
    with pytest.raises(Conflict, match="over another one of its own series") as refused:
        services.move_shoot(first, onto, manager)
    assert refused.value.code == "own-series"
    services.cancel_shoot(second, manager)
    services.move_shoot(first, onto, manager)
    with pytest.raises(Conflict, match="own series"):
        services.uncancel_shoot(second, manager)


def test_an_exception_may_touch_the_next_one(manager) -> None:
    first, *_ = shoots_of(a_weekly(by=manager))
    onto = period(f"{TUESDAY + timedelta(weeks=1)}T07:00", f"{TUESDAY + timedelta(weeks=1)}T09:00", PARIS)
    assert services.move_shoot(first, onto, manager).booking.starts_wall == onto.starts_wall


def test_holds_of_a_series_end_together(manager) -> None:
    series = a_weekly(by=manager, state="hold", count=3)
    assert len({s.booking.hold_until for s in shoots_of(series)}) == 1
    assert Booking.objects.filter(state="hold").count() == 3


def test_a_kit_that_was_promised_with_a_stand_in_asks_again_on_each_day(manager, head) -> None:
    # The consent to a stand-in was for one day; on another the kit's own part may be free.
    kit = a_kit(head)
    shoot = planned_on(TUESDAY, manager)
    other = a_unit(head.gear_type)
    taken_on(TUESDAY, head)
    part = kit.parts.get()
    promise_kit(shoot.booking, kit, manager, instead={part.pk: other.tag})
    copy = shoots_of(repeat_shoot(shoot, Rule("week", count=2), manager).series)[1]
    assert copy.booking.kits.get().taken.get().unit == head
