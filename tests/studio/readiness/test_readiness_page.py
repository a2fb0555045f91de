"""The readiness page: what it shows, to whom, and with how many questions to the database."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils.html import escape

from gear.inventory.models import Unit
from studio.readiness.queries import readiness_of, shoots_to_check
from studio.readiness.services import check_shoots
from studio.shoots.models import Shoot
from studio.shoots.services import assign_unit
from tests.builders import a_person, a_recipe, a_shoot
from tests.studio.readiness.plans import WEAK, a_checked_shoot, a_head
from tests.studio.shoots.plans import planned

pytestmark = pytest.mark.django_db


@pytest.fixture
def page(signed_in: Any) -> Callable[..., str]:
    """``page(shoot, "assistant")`` is the text of the page for somebody of that role."""

    def read(shoot: Shoot, role: str = "manager") -> str:
        answer = signed_in(role).get(reverse("readiness:shoot", args=[shoot.pk]))
        assert answer.status_code == 200
        return answer.content.decode()

    return read


def test_a_gap_stands_there_with_its_sentence_and_its_number(page: Any) -> None:
    text = page(a_checked_shoot(a_head("K-01", WEAK)))
    assert "Key (K-01) is" in text
    assert "stops too weak" in text


@pytest.mark.parametrize("role", ["manager", "photographer", "assistant"])
def test_everybody_reads_it(page: Any, role: str) -> None:
    assert "Portrait at the big window" in page(a_checked_shoot(), role)


@pytest.mark.parametrize(("role", "may"), [("manager", True), ("photographer", True), ("assistant", False)])
def test_who_may_have_it_computed(signed_in: Any, role: str, may: bool) -> None:
    shoot = a_shoot(a_recipe())
    answer = signed_in(role).post(reverse("readiness:check-now", args=[shoot.pk]))
    assert answer.status_code == (302 if may else 403)
    assert (readiness_of([shoot])[shoot.pk][0].stored is not None) is may


def test_a_stale_one_says_so_before_its_figures(page: Any) -> None:
    shoot = a_checked_shoot()
    Unit.objects.update(condition="repair")
    assert "Something changed since this was computed" in page(shoot)


def test_one_that_was_never_computed_says_so(page: Any) -> None:
    assert "never computed" in page(a_shoot(a_recipe()))


def test_a_shoot_without_a_recipe_says_what_to_do(page: Any) -> None:
    assert "No recipe is on this shoot yet" in page(a_shoot())


def test_a_shoot_that_does_not_exist_is_no_crash(signed_in: Any) -> None:
    assert signed_in("manager").get(reverse("readiness:shoot", args=[404])).status_code == 404


def test_the_time_of_computing_is_on_the_clock_of_the_place(page: Any) -> None:
    from datetime import UTC, datetime

    from studio.readiness.models import Readiness

    shoot = a_checked_shoot()
    Readiness.objects.update(computed_at=datetime(2026, 7, 1, 12, 0, tzinfo=UTC))
    assert "14:00" in page(shoot)


def test_a_page_with_ten_recipes_takes_few_queries(
    signed_in: Any, django_assert_max_num_queries: Any
) -> None:
    manager = a_person()
    shoot = planned(*[a_recipe(manager) for _ in range(10)], by=manager)
    for number, recipe in enumerate(shoot.recipes.all()):
        assign_unit(recipe, "Key", "head", 1, a_head(f"K-{number + 10}").tag, manager)
    check_shoots([shoot])
    client = signed_in("manager")
    with django_assert_max_num_queries(15):
        client.get(reverse("readiness:shoot", args=[shoot.pk]))


@pytest.mark.parametrize("ask", [readiness_of, lambda shoots: shoots_to_check()])
def test_ten_shoots_take_as_many_queries_as_one(ask: Callable[[list[Shoot]], Any]) -> None:
    shoots = [a_checked_shoot(a_head("K-10"))]
    with CaptureQueriesContext(connection) as one:
        ask(shoots)
    shoots += [a_checked_shoot(a_head(f"K-{number}")) for number in range(11, 20)]
    with CaptureQueriesContext(connection) as ten:
        ask(shoots)
    assert len(ten) == len(one)


def test_every_check_is_explained(signed_in: Any) -> None:
    from recipes.checks.registry import CHECKS

    client = signed_in("assistant")
    text = client.get(reverse("readiness:checks")).content.decode()
    for check in CHECKS:
        assert escape(check.explanation.title) in text
        assert client.get(reverse("readiness:check", args=[check.explanation.name])).status_code == 200


def test_a_check_that_does_not_exist_is_no_crash(signed_in: Any) -> None:
    assert signed_in("manager").get(reverse("readiness:check", args=["telepathy"])).status_code == 404
