"""People are told of a gap by mail: once, those whom it concerns, and only when it is news."""

from __future__ import annotations

import smtplib
from typing import Any

import pytest
from django.utils import timezone

from gear.booking.wall_time import say_period
from gear.inventory.models import Unit
from studio.outbox.models import Message
from studio.outbox.services import deliver, put
from studio.outbox.tasks import relay
from studio.people.models import Person
from studio.readiness.services import check_shoots
from studio.readiness.tasks import sweep
from studio.shoots.models import Shoot
from studio.shoots.services import confirm_shoot
from tests.builders import a_person
from tests.gear.booking.times import at
from tests.studio.readiness.plans import a_checked_shoot, a_head

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def committed_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """A mail leaves after the commit, which a test does not come to: it is delivered as soon as it is written."""
    monkeypatch.setattr("studio.readiness.services.put", lambda topic, body: deliver(put(topic, body)))


@pytest.fixture
def manager() -> Person:
    return a_person(email="runa@tram-depot.example")


@pytest.fixture
def shoot(manager: Person, mailoutbox: list[Any]) -> Shoot:
    shoot = a_checked_shoot(by=manager, title="Lookbook")
    mailoutbox.clear()
    return shoot


def break_down(*tags: str) -> None:
    Unit.objects.filter(tag__in=tags).update(condition="repair", condition_note="hums")


def test_a_new_gap_is_told_with_what_is_missing_where_and_when(shoot: Shoot, mailoutbox: list[Any]) -> None:
    break_down("K-01")
    check_shoots([shoot])
    (letter,) = mailoutbox
    assert letter.subject == "Gap in Lookbook"
    for word in (
        "K-01",
        "hums",
        "Hall",
        say_period(shoot.booking.starts_at, shoot.booking.ends_at, "Europe/Paris"),
    ):
        assert word in letter.body


def test_the_same_gap_is_not_told_twice(shoot: Shoot, mailoutbox: list[Any]) -> None:
    break_down("K-01")
    for _ in range(3):
        check_shoots([shoot])
    assert len(mailoutbox) == 1


def test_the_same_gap_with_other_figures_is_not_told_again(shoot: Shoot, mailoutbox: list[Any]) -> None:
    break_down("K-01")
    check_shoots([shoot])
    Unit.objects.filter(tag="K-01").update(condition_note="hums and smells")
    check_shoots([shoot])
    assert len(mailoutbox) == 1


def test_one_more_gap_is_told(shoot: Shoot, mailoutbox: list[Any]) -> None:
    a_head("K-02")
    shoot.booking.allocations.create(unit=Unit.objects.get(tag="K-02"), **_as_promised(shoot))
    check_shoots([shoot])
    break_down("K-01")
    check_shoots([shoot])
    break_down("K-02")
    check_shoots([shoot])
    assert len(mailoutbox) == 2


def test_one_gap_less_is_no_news(shoot: Shoot, mailoutbox: list[Any]) -> None:
    a_head("K-02")
    shoot.booking.allocations.create(unit=Unit.objects.get(tag="K-02"), **_as_promised(shoot))
    break_down("K-01", "K-02")
    check_shoots([shoot])
    Unit.objects.filter(tag="K-02").update(condition="ready")
    check_shoots([shoot])
    assert len(mailoutbox) == 1


def test_a_gap_that_was_mended_and_opens_again_is_told_again(shoot: Shoot, mailoutbox: list[Any]) -> None:
    for condition in ("repair", "ready", "repair"):
        Unit.objects.filter(tag="K-01").update(condition=condition)
        check_shoots([shoot])
    assert len(mailoutbox) == 2


def test_a_shoot_that_is_only_planned_is_nobodys_alarm(manager: Person, mailoutbox: list[Any]) -> None:
    shoot = a_checked_shoot(by=manager, state="hold")
    break_down("K-01")
    check_shoots([shoot])
    assert mailoutbox == []


def test_confirming_a_shoot_with_a_gap_tells_of_it(
    manager: Person, mailoutbox: list[Any], django_capture_on_commit_callbacks: Any
) -> None:
    shoot = a_checked_shoot(by=manager, state="hold")
    break_down("K-01")
    check_shoots([shoot])
    with django_capture_on_commit_callbacks(execute=True):
        confirm_shoot(shoot, manager)
    assert len(mailoutbox) == 1


def test_managers_and_the_photographer_of_the_shoot_are_told(manager: Person, mailoutbox: list[Any]) -> None:
    photographer = a_person("photographer", email="ilo@tram-depot.example")
    a_person("photographer", email="somebody@else.example")
    a_person("assistant", email="teo@tram-depot.example")
    a_person(email="")
    a_person(email="gone@tram-depot.example", is_active=False)
    shoot = a_checked_shoot(by=manager, photographer=photographer)
    mailoutbox.clear()
    break_down("K-01")
    check_shoots([shoot])
    assert mailoutbox[0].to == ["ilo@tram-depot.example", "runa@tram-depot.example"]


def test_without_an_address_nobody_is_told_and_nothing_breaks(mailoutbox: list[Any]) -> None:
    shoot = a_checked_shoot()
    break_down("K-01")
    assert check_shoots([shoot])
    assert mailoutbox == []


def test_a_mail_that_cannot_leave_is_tried_again_by_the_relay(
    shoot: Shoot, mailoutbox: list[Any], monkeypatch: Any
) -> None:
    def refuse(*args: Any, **more: Any) -> None:
        raise smtplib.SMTPServerDisconnected("the post office is closed")

    break_down("K-01")
    with monkeypatch.context() as patch:
        patch.setattr("django.core.mail.EmailMessage.send", refuse)
        check_shoots([shoot])
    assert mailoutbox == []
    sweep()
    assert mailoutbox == [], "it is written down already, and not written again"
    Message.objects.update(due_at=timezone.now())
    relay()
    assert len(mailoutbox) == 1


def test_a_worker_that_died_before_it_told_anybody_is_made_good_by_the_sweep(
    shoot: Shoot, mailoutbox: list[Any], monkeypatch: Any
) -> None:
    break_down("K-01")
    with monkeypatch.context() as patch:
        patch.setattr("studio.readiness.services._tell", lambda shoot_id: None)
        check_shoots([shoot])
    sweep()
    assert len(mailoutbox) == 1


def _as_promised(shoot: Shoot) -> dict[str, Any]:
    there = shoot.booking.allocations.first()
    return {"use": there.use, "blocked": there.blocked}


def test_a_shoot_that_is_over_is_nobodys_alarm(shoot: Shoot, mailoutbox: list[Any]) -> None:
    type(shoot.booking).objects.filter(pk=shoot.booking_id).update(
        starts_at=at(-40 * 24), ends_at=at(-40 * 24 + 4)
    )
    break_down("K-01")
    check_shoots([shoot])
    assert mailoutbox == []
