"""The demo studio is the same story on any day: next Tuesday's shoot has one head too weak, and a way to mend it."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.core.management import CommandError, call_command
from django.utils import timezone

from gear.inventory.models import Unit
from studio.demo.loading import load_demo
from studio.people.models import Person
from studio.readiness.mending import mend
from studio.readiness.models import Readiness
from studio.readiness.queries import stale_shoots
from studio.readiness.services import check_shoots
from studio.shoots.models import Shoot

pytestmark = pytest.mark.django_db
VIENNA = ZoneInfo("Europe/Vienna")


def on(day: date, monkeypatch: pytest.MonkeyPatch) -> None:
    """Load it as somebody would who starts it at half past seven on that day."""
    at = datetime(day.year, day.month, day.day, 7, 30, tzinfo=VIENNA)
    monkeypatch.setattr(timezone, "now", lambda: at)
    load_demo()
    check_shoots(stale_shoots(), only_stale=True)


def gaps_of(shoot: Shoot) -> list[str]:
    readings = Readiness.objects.filter(shoot_recipe__shoot=shoot).order_by("shoot_recipe__position")
    return [gap["check"] for reading in readings for gap in reading.gaps]


@pytest.mark.parametrize(
    "day",
    [
        pytest.param(date(2026, 11, 30), id="Monday, the shoot is tomorrow"),
        pytest.param(date(2027, 7, 20), id="Tuesday in summer, long after it was written"),
        pytest.param(date(2027, 3, 27), id="Saturday, clocks change in the night"),
    ],
)
def test_next_tuesdays_shoot_has_one_head_too_weak_behind_the_board(day, monkeypatch):
    on(day, monkeypatch)
    shoot = Shoot.objects.get(title="Spring lookbook")
    starts = shoot.booking.starts_at.astimezone(VIENNA)
    assert (starts.weekday(), starts.hour) == (1, 9)
    assert timedelta(0) < starts.date() - day <= timedelta(days=7)
    assert shoot.recipes.count() == 3
    assert gaps_of(shoot) == ["power-range"]
    findings = Readiness.objects.get(shoot_recipe__shoot=shoot, shoot_recipe__position=1).findings
    weak = next(f for f in findings if f["check"] == "power-range")
    assert weak["sentence"].startswith("Key (K-01) is 0.6 stops too weak off the 2 × 2 m board: lit cheek")
    dark = next(f for f in findings if f["check"] == "placement" and f["status"] == "gap")
    assert (dark["about"], dark["follows"], dark["remedies"]) == ("lit cheek", "Key", [])
    assert len([remedy for remedy in weak["remedies"] if remedy["action"]]) >= 2


def test_the_first_way_out_is_one_that_opens_no_other_gap(monkeypatch):
    on(date(2026, 11, 30), monkeypatch)
    shoot = Shoot.objects.get(title="Spring lookbook")
    row = Readiness.objects.get(shoot_recipe__shoot=shoot, shoot_recipe__position=1)
    place, weak = next((n, f) for n, f in enumerate(row.findings) if f["check"] == "power-range")
    heads = [remedy["costs"] for remedy in weak["remedies"] if remedy["action"] == "swap_unit"]
    assert ["but then: S-01 carries" in costs for costs in heads] == [False, True, True]
    mend(shoot, 1, row.fingerprint, str(place), "0", shoot.photographer)
    check_shoots([shoot])
    assert gaps_of(shoot) == []


def test_the_other_shoots_that_are_confirmed_or_held_can_be_made(monkeypatch):
    on(date(2026, 11, 30), monkeypatch)
    for shoot in Shoot.objects.exclude(title__in=["Spring lookbook", "Orchestra headshots"]):
        assert gaps_of(shoot) == [], shoot
    assert gaps_of(Shoot.objects.get(title="Orchestra headshots")), "nobody has chosen its heads yet"


def test_inspections_are_as_far_off_as_ever(monkeypatch):
    on(date(2029, 5, 2), monkeypatch)
    assert Unit.objects.get(tag="M-05").inspection_due == date(2029, 5, 22)


def test_measured_batteries_and_counted_flashes_end_where_the_sheet_says(monkeypatch):
    on(date(2026, 11, 30), monkeypatch)
    assert Unit.objects.get(tag="R-07").health == pytest.approx(0.84)
    assert Unit.objects.get(tag="M-09").flash_count == 6_400


def test_a_studio_that_has_people_is_left_alone(monkeypatch):
    Person.objects.create_user("someone", password="a-long-enough-one-7")
    with pytest.raises(CommandError, match="studio in this database already"):
        call_command("load_demo")
    assert not Shoot.objects.exists()
