"""A series goes on by night: once, as its latest shoot stands, and never in silence."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest
from dateutil.relativedelta import relativedelta
from django.utils import timezone

from gear.booking.series import days_to_make, horizon
from gear.booking.series_rule import Rule
from gear.errors import Invalid
from studio.outbox.models import Message
from studio.shoots import services
from studio.shoots.series_clashes import SeriesClashes
from studio.shoots.series_editing import edit_series, firm_series
from studio.shoots.series_extending import change_end, extend_all, extend_series
from studio.shoots.services import Changes
from studio.shoots.tasks import extend_series as nightly
from tests.builders import a_person, a_unit
from tests.gear.booking.times import a_type
from tests.studio.shoots.series import TUESDAY, a_weekly, days_of, shoots_of, taken_on, wall

pytestmark = pytest.mark.django_db


@pytest.fixture
def manager():
    return a_person(email="runa@studio.example")


@pytest.fixture
def head():
    return a_unit(a_type(), tag="K-03")


def weeks_on(weeks: float) -> datetime:
    return timezone.now() + timedelta(weeks=weeks)


def mails() -> list[dict]:
    return [message.body for message in Message.objects.filter(topic="mail")]


def test_three_weeks_later_three_more_are_booked_with_their_units(manager, head) -> None:
    series = a_weekly(head, by=manager, rule=Rule("month"))
    before = len(days_of(series))
    assert extend_all(timezone.now() + relativedelta(months=3)) == 3
    found = shoots_of(series)
    assert len(found) == before + 3
    assert found[-1].booking.state == "confirmed"
    assert found[-1].booking.allocations.get().unit == head
    assert not mails()


def test_done_twice_nothing_is_booked_twice(manager) -> None:
    series = a_weekly(by=manager, rule=Rule("month"))
    later = timezone.now() + relativedelta(months=2)
    extend_all(later)
    booked = days_of(series)
    assert extend_all(later) == 0
    assert days_of(series) == booked


def test_a_series_with_an_end_ends(manager) -> None:
    series = a_weekly(by=manager, count=3)
    assert extend_all(weeks_on(200)) == 0
    assert len(days_of(series)) == 3


def test_a_count_beyond_the_eighteen_months_is_booked_as_it_comes_into_sight(manager) -> None:
    series = a_weekly(by=manager, rule=Rule("month", count=20))
    assert len(days_of(series)) < 20
    extend_all(timezone.now() + relativedelta(months=5))
    assert len(days_of(series)) == 20


def test_a_day_that_clashes_is_kept_with_its_reason_and_its_owner_is_told_once(manager, head) -> None:
    owner = a_person("photographer", email="dora@studio.example")
    series = a_weekly(head, by=manager, rule=Rule("month"), photographer=owner)
    later = timezone.now() + relativedelta(months=2)
    coming = sorted(set(days_in_sight(series, later)) - set(days_of(series)))
    taken_on(coming[0], head)
    assert extend_all(later) == len(coming) - 1
    (left,) = series.occurrences.filter(booking=None)
    assert left.day == coming[0]
    assert "K-03" in left.left_out
    extend_all(later)
    (mail,) = mails()
    assert mail["to"] == ["dora@studio.example"]
    assert "Gloves on slate" in mail["text"]
    assert "every month" in mail["text"]


def test_without_an_address_of_its_owner_the_manager_is_told(manager, head) -> None:
    series = a_weekly(head, by=manager, rule=Rule("month"), photographer=a_person("photographer"))
    later = timezone.now() + relativedelta(months=1)
    (coming,) = set(days_in_sight(series, later)) - set(days_of(series))
    taken_on(coming, head)
    extend_all(later)
    assert mails()[0]["to"] == ["runa@studio.example"]


def test_a_unit_in_repair_that_night_is_a_reason_and_not_an_end(manager, head) -> None:
    series = a_weekly(head, by=manager, rule=Rule("month"))
    head.condition = "repair"
    head.save()
    extend_all(timezone.now() + relativedelta(months=1))
    (left,) = series.occurrences.filter(booking=None)
    assert "in repair" in left.left_out
    assert len(mails()) == 1


def test_a_hold_is_not_carried_on_until_it_is_confirmed(manager) -> None:
    series = a_weekly(by=manager, rule=Rule("month"), state="hold")
    before, later = len(days_of(series)), timezone.now() + relativedelta(months=2)
    assert extend_all(later) == 0
    firm_series(shoots_of(series)[0], "confirm", manager, "all")
    assert extend_all(later) == 2
    assert len(days_of(series)) == before + 2


def test_what_comes_is_as_the_following_were_changed(manager) -> None:
    series = a_weekly(by=manager, rule=Rule("month"))
    third = shoots_of(series)[2]
    day = third.booking.occurrence.day
    edit_series(
        third,
        Changes(title="Evening", starts=wall(0, "17:00", day), ends=wall(0, "19:00", day)),
        manager,
        "following",
    )
    extend_all(timezone.now() + relativedelta(months=1))
    latest = shoots_of(series)[-1]
    assert (latest.title, latest.booking.starts_wall[11:]) == ("Evening", "17:00")


def test_an_exception_of_one_is_not_what_comes(manager) -> None:
    series = a_weekly(by=manager, rule=Rule("month"))
    services.edit_shoot(shoots_of(series)[-1], Changes(title="Only this one"), manager)
    extend_all(timezone.now() + relativedelta(months=1))
    assert shoots_of(series)[-1].title == "Tram portraits"


def test_a_series_that_was_cancelled_goes_on_no_more(manager) -> None:
    series = a_weekly(by=manager, rule=Rule("month"))
    firm_series(shoots_of(series)[2], "cancel", manager, "following")
    assert extend_all(weeks_on(100)) == 0


def test_the_nights_work_is_on_the_schedule(manager, settings) -> None:
    assert nightly.name in {one["task"] for one in settings.CELERY_BEAT_SCHEDULE.values()}
    series = a_weekly(by=manager, count=2)
    assert nightly() == 0
    assert extend_series(series.pk) == ()


def test_a_series_goes_on_longer_when_somebody_says_so(manager, head) -> None:
    series = a_weekly(head, by=manager, count=3)
    lines = change_end(shoots_of(series)[0], manager, count=5)
    assert [line.day for line in lines] == [TUESDAY + timedelta(weeks=3), TUESDAY + timedelta(weeks=4)]
    assert len(days_of(series)) == 5


def test_longer_with_a_clash_books_nothing_more(manager, head) -> None:
    series = a_weekly(head, by=manager, count=3)
    taken_on(TUESDAY + timedelta(weeks=4), head)
    with pytest.raises(SeriesClashes, match="1 of 2"):
        change_end(shoots_of(series)[0], manager, until=TUESDAY + timedelta(weeks=4))
    series.refresh_from_db()
    assert (len(days_of(series)), series.count) == (3, 3)
    assert len(change_end(shoots_of(series)[0], manager, count=5, leave_out=True)) == 2


def test_an_end_before_what_is_booked_is_refused_with_the_way_to_do_it(manager) -> None:
    series = a_weekly(by=manager, count=5)
    with pytest.raises(Invalid, match="Cancel that one and the following"):
        change_end(shoots_of(series)[0], manager, count=2)


def days_in_sight(series, at: datetime) -> list:
    return days_to_make(series.rule, series.first, None, horizon(at, series.zone))
