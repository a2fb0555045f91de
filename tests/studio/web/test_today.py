"""The first page shows each person what they need first."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from gear.booking.models import Booking
from recipes.checks.fingerprint import fingerprint
from studio.packing.models import PackingLine
from studio.readiness.models import Readiness
from studio.readiness.setups import setups_for
from studio.shoots.models import Shoot
from studio.web.queries import first_look, gaps_ahead
from tests.builders import a_booking, a_person, a_recipe, a_room, a_shoot, a_unit
from tests.studio.web.samples import FINDINGS

pytestmark = pytest.mark.django_db

SignIn = Callable[[str], Client]


def _page(client: Client) -> str:
    answer = client.get("/")
    assert answer.status_code == 200
    return answer.content.decode()


def _checked(shoot: Shoot, worst: str = "gap", findings: Any = FINDINGS) -> None:
    for recipe in shoot.recipes.all():
        Readiness.objects.create(
            shoot_recipe=recipe,
            fingerprint="f",
            worst=worst,
            findings=[asdict(finding) for finding in findings],
            computed_at=timezone.now(),
        )


def _ended(hours_ago: float) -> Booking:
    return a_booking(starts_at=timezone.now() - timedelta(hours=hours_ago + 4), hours=4)


@pytest.mark.parametrize("role", ["manager", "photographer", "assistant"])
def test_it_works_with_nothing_planned_and_says_what_to_do(signed_in: SignIn, role: str) -> None:
    page = _page(signed_in(role))
    assert "No shoot is planned." in page
    assert "Everything that went out is back." in page


def test_a_visitor_is_asked_to_sign_in() -> None:
    answer = Client().get("/")
    assert answer.status_code == 302
    assert answer.headers["Location"].startswith("/sign-in")


def test_the_first_gap_leads_the_page(signed_in: SignIn) -> None:
    _checked(a_shoot(a_recipe(), booking=a_booking(title="Depot doors")))
    page = _page(signed_in("manager"))
    assert "Window at +2.9, wanted +1.0 ±0.7: 1.2 stops too bright." in page
    assert "and 1 more gap in the shoots ahead" in page
    assert page.index("too bright") < page.index("Next shoots")


def test_a_gap_of_a_shoot_that_is_over_is_no_news(signed_in: SignIn) -> None:
    _checked(a_shoot(a_recipe(), booking=_ended(hours_ago=1)))
    assert "too bright" not in _page(signed_in("manager"))


def test_a_shoot_is_as_good_as_its_worst_recipe() -> None:
    shoot = a_shoot(a_recipe(), a_recipe())
    first, second = shoot.recipes.all()
    setups = setups_for([shoot])
    for recipe, worst in ((first, "ok"), (second, "tight")):
        Readiness.objects.create(
            shoot_recipe=recipe,
            fingerprint=fingerprint(setups[recipe.pk]),
            worst=worst,
            computed_at=timezone.now(),
        )
    assert gaps_ahead([shoot])[shoot.pk].status == "tight"


def test_what_rests_on_other_figures_is_stale_on_the_first_page_too() -> None:
    shoot = a_shoot(a_recipe())
    Readiness.objects.create(
        shoot_recipe=shoot.recipes.get(),
        fingerprint="of other figures",
        worst="ok",
        computed_at=timezone.now(),
    )
    assert gaps_ahead([shoot])[shoot.pk].status == "stale"


def test_a_recipe_that_nobody_checked_is_never_called_ok() -> None:
    shoot = a_shoot(a_recipe(), a_recipe())
    first = shoot.recipes.first()
    Readiness.objects.create(shoot_recipe=first, fingerprint="f", worst="ok", computed_at=timezone.now())
    assert gaps_ahead([shoot])[shoot.pk].status == "stale"


def test_a_shoot_without_a_recipe_has_no_status() -> None:
    shoot = a_shoot()
    assert gaps_ahead([shoot])[shoot.pk].status == ""


def test_cancelled_shoots_are_not_ahead() -> None:
    a_shoot(booking=a_booking(state=Booking.State.CANCELLED))
    assert first_look(a_person()).shoots == ()


def test_a_photographer_sees_their_own_shoots_and_recipes() -> None:
    person = a_person("photographer")
    mine = a_shoot(photographer=person)
    helped = a_shoot(assistant=person)
    a_shoot()
    recipe = a_recipe(person)
    a_recipe()
    look = first_look(person)
    assert [shoot.pk for shoot in look.shoots] == [mine.pk, helped.pk]
    assert look.recipes == (recipe,)
    assert look.promises == ()


def test_an_assistant_sees_the_packing_before_everything_else(signed_in: SignIn) -> None:
    shoot = a_shoot()
    for out_at in (timezone.now(), None, None):
        PackingLine.objects.create(shoot=shoot, unit=a_unit(), out_at=out_at)
    page = _page(signed_in("assistant"))
    assert "<b>1</b> of 3 out" in page
    assert page.index("<b>1</b> of 3 out") < page.index("Next shoots")


def test_what_is_not_wanted_any_more_is_not_counted() -> None:
    shoot = a_shoot()
    PackingLine.objects.create(shoot=shoot, unit=a_unit(), wanted=False)
    PackingLine.objects.create(shoot=shoot, unit=a_unit())
    assert first_look(a_person()).shoots[0].to_pack == 1


def test_what_is_not_back_after_the_shoot_is_overdue() -> None:
    late = a_shoot(booking=_ended(hours_ago=3))
    PackingLine.objects.create(shoot=late, unit=a_unit(), out_at=late.booking.starts_at)
    back = a_shoot(booking=_ended(hours_ago=3))
    PackingLine.objects.create(shoot=back, unit=a_unit(), out_at=back.booking.starts_at, outcome="in")
    (out,) = first_look(a_person()).out
    assert (out.pk, out.count, out.overdue) == (late.pk, 1, "3 h")


def test_what_is_out_with_a_shoot_that_lasts_is_due_and_not_overdue() -> None:
    shoot = a_shoot(booking=a_booking(starts_at=timezone.now() - timedelta(hours=1), hours=4))
    PackingLine.objects.create(shoot=shoot, unit=a_unit(), out_at=timezone.now())
    (out,) = first_look(a_person()).out
    assert out.overdue == ""


def test_units_in_quarantine_are_named_with_the_reason(signed_in: SignIn) -> None:
    a_unit(tag="K-03", condition="quarantine", condition_note="fell from the stand")
    a_unit(tag="K-04")
    page = _page(signed_in("manager"))
    assert "K-03" in page
    assert "quarantine: fell from the stand" in page
    assert "K-04" not in page


def test_many_unfit_units_are_counted() -> None:
    for _ in range(9):
        a_unit(condition="repair")
    unfit = first_look(a_person()).unfit
    assert (unfit.count, len(unfit.units)) == (9, 6)


@pytest.mark.parametrize(
    ("state", "hold_days", "shown"),
    [
        ("enquiry", None, True),
        ("hold", 1, True),
        ("hold", -1, True),
        ("hold", 5, False),
        ("confirmed", None, False),
    ],
)
def test_the_manager_sees_promises_to_settle(state: str, hold_days: int | None, shown: bool) -> None:
    until: datetime | None = None if hold_days is None else timezone.now() + timedelta(days=hold_days)
    a_shoot(booking=a_booking(state=state, hold_until=until))
    assert bool(first_look(a_person("manager")).promises) is shown


def test_a_hold_that_has_ended_says_so() -> None:
    a_shoot(booking=a_booking(state="hold", hold_until=timezone.now() - timedelta(minutes=1)))
    look = first_look(a_person("manager"))
    assert look.promises[0].ended
    assert look.shoots[0].promise == "hold has ended"


@pytest.mark.parametrize("role", ["manager", "photographer", "assistant"])
def test_fifty_of_everything_cost_few_queries(
    signed_in: SignIn, role: str, django_assert_max_num_queries: Callable[[int], Any]
) -> None:
    client = signed_in(role)
    room, recipe = a_room(), a_recipe(client.person)  # type: ignore[attr-defined]
    for number in range(50):
        shoot = a_shoot(recipe, room=room, photographer=client.person)  # type: ignore[attr-defined]
        PackingLine.objects.create(
            shoot=shoot, unit=a_unit(condition="repair"), out_at=timezone.now() if number % 2 else None
        )
        _checked(shoot)
    with django_assert_max_num_queries(15):
        _page(client)
