"""Two series want the same unit in the same moment: one of them gets it, whole; of the other nothing is booked."""

from __future__ import annotations

from collections import Counter
from datetime import timedelta

import pytest
from dateutil.relativedelta import relativedelta
from django.utils import timezone

from gear.booking.models import Allocation, Occurrence, Series
from gear.booking.series_rule import Rule, days
from gear.errors import Conflict
from studio.shoots import services
from studio.shoots.models import Shoot
from studio.shoots.series_booking import repeat_shoot
from studio.shoots.series_editing import edit_series
from studio.shoots.series_extending import extend_all
from studio.shoots.services import Changes
from tests.builders import a_person, a_room, a_unit
from tests.gear.booking.times import a_type
from tests.race.audit import faults
from tests.race.server import at_once, client_of, gunicorn
from tests.studio.shoots.series import TUESDAY, a_weekly, planned_on, shoots_of, wall

pytestmark = [pytest.mark.race, pytest.mark.django_db(transaction=True)]


def first_with(unit, manager, room, number: int) -> Shoot:
    """The first shoot of series 0, 1 or 2. The firsts lie on days of their own, so that each can be the first."""
    shoot = planned_on(TUESDAY + timedelta(days=number), manager, room=room, title=f"Series {number}")
    services.add_extra_unit(shoot, unit.tag, manager)
    return shoot


def rule_of(number: int) -> Rule:
    """Days 0, 3, 6, 9 ..., 1, 5, 9 ... and 2, 7, 12, 17 ...: every two meet later, none on a first."""
    return Rule("day", interval=3 + number, until=TUESDAY + timedelta(days=17))


def test_over_http_one_series_is_booked_and_of_the_other_nothing() -> None:
    manager, room = a_person(), a_room()
    unit = a_unit(a_type(), tag="K-03")
    shoots = [first_with(unit, manager, room, number) for number in range(2)]
    rules = [
        {"each": "day", "interval": rule_of(n).interval, "until": str(rule_of(n).until)} for n in range(2)
    ]
    with gunicorn() as address:
        clients = [client_of(manager, address) for _ in shoots]
        answers = at_once(
            [
                lambda client=client, shoot=shoot, rule=rule: client.post(
                    f"/api/shoots/{shoot.pk}/repeat", json=rule
                )
                for client, shoot, rule in zip(clients, shoots, rules, strict=True)
            ]
        )
    assert Counter(answer.status_code for answer in answers) == {201: 1, 409: 1}
    (series,) = Series.objects.all()
    booked = Occurrence.objects.filter(series=series, booking__isnull=False).count()
    assert booked == len(list(days(series.rule, series.first)))
    assert Shoot.objects.count() == booked + 1
    assert faults() == []


def test_many_series_on_one_unit_leave_exactly_one() -> None:
    manager, room, unit = a_person(), a_room(), a_unit(a_type())
    shoots = [first_with(unit, manager, room, number) for number in range(3)]
    answers = at_once([lambda s=s, n=n: repeated(s, rule_of(n), manager) for n, s in enumerate(shoots)])
    assert Counter(answers) == {"booked": 1, "refused": 2}
    assert Series.objects.count() == 1
    assert faults() == []


def test_two_nights_at_once_book_each_day_once() -> None:
    manager, unit = a_person(), a_unit(a_type())
    series = a_weekly(unit, by=manager, rule=Rule("month"))
    before, later = len(shoots_of(series)), timezone.now() + relativedelta(months=3)
    booked = at_once([lambda: extend_all(later) for _ in range(4)])
    assert sum(booked) == 3
    assert len(shoots_of(series)) == before + 3
    assert Allocation.objects.filter(unit=unit, active=True).count() == before + 3


def test_a_change_of_all_and_a_move_of_one_end_one_after_the_other() -> None:
    manager, unit = a_person(), a_unit(a_type())
    series = a_weekly(unit, by=manager, count=5)
    first, *_, last = shoots_of(series)
    answers = at_once(
        [
            lambda: done(
                lambda: edit_series(
                    first, Changes(starts=wall(0, "10:00"), ends=wall(0, "14:00")), manager, "all"
                )
            ),
            lambda: done(
                lambda: services.edit_shoot(
                    last, Changes(starts=wall(4, "17:00"), ends=wall(4, "18:00")), manager
                )
            ),
        ]
    )
    assert set(answers) == {"booked"}
    assert faults() == []
    assert [s.booking.starts_wall[11:] for s in shoots_of(series)][:4] == ["10:00"] * 4


def repeated(shoot: Shoot, rule: Rule, manager: object) -> str:
    return done(lambda: repeat_shoot(shoot, rule, manager))


def done(act: object) -> str:
    try:
        act()  # type: ignore[operator]
    except Conflict:
        return "refused"
    return "booked"
