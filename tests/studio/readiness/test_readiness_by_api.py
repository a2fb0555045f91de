"""Readiness over the API: the same findings, as a document with a fixed shape."""

from __future__ import annotations

from typing import Any

import pytest

from gear.inventory.models import Unit
from tests.builders import a_recipe, a_shoot
from tests.studio.readiness.plans import WEAK, a_checked_shoot, a_head

pytestmark = pytest.mark.django_db

RECIPE = {
    "position": int,
    "recipe": int,
    "revision": int,
    "title": str,
    "status": str,
    "stale": bool,
    "computed_at": str,
    "fingerprint": str,
    "findings": list,
    "prediction": dict,
}
FINDING = {
    "check": str,
    "status": str,
    "about": str,
    "sentence": str,
    "value": float | None,
    "limit": float | None,
    "margin": float | None,
    "unit": str,
    "spread": float | None,
    "estimated": bool,
    "missing": str,
    "remedies": list,
    "workings": list,
    "caution": str,
    "follows": str,
}


def has_shape(document: dict[str, Any], shape: dict[str, Any]) -> bool:
    return set(document) == set(shape) and all(isinstance(document[key], shape[key]) for key in shape)


def asked(client: Any, shoot: Any, method: str = "get") -> Any:
    return getattr(client, method)(f"/api/shoots/{shoot.pk}/readiness")


def test_it_has_the_recipes_of_the_shoot_in_order(signed_in: Any) -> None:
    shoot = a_shoot(a_recipe(), a_recipe())
    document = asked(signed_in("assistant"), shoot).json()
    assert document["shoot"] == shoot.pk
    assert [one["position"] for one in document["recipes"]] == [1, 2]


def test_a_recipe_has_its_shape(signed_in: Any) -> None:
    (one,) = asked(signed_in("manager"), a_checked_shoot()).json()["recipes"]
    assert has_shape(one, RECIPE)


def test_every_finding_has_its_shape(signed_in: Any) -> None:
    (one,) = asked(signed_in("manager"), a_checked_shoot(a_head("K-01", WEAK))).json()["recipes"]
    assert one["findings"]
    assert all(has_shape(finding, FINDING) for finding in one["findings"])


def test_a_remedy_says_what_it_would_do_with_what(signed_in: Any) -> None:
    a_head("K-05")
    (one,) = asked(signed_in("manager"), a_checked_shoot(a_head("K-01", WEAK))).json()["recipes"]
    remedies = [remedy for finding in one["findings"] for remedy in finding["remedies"]]
    swap = next(remedy for remedy in remedies if remedy["action"] == "swap_unit")
    assert ["unit", "K-05"] in swap["arguments"]


def test_one_that_was_never_computed_is_stale_and_empty(signed_in: Any) -> None:
    (one,) = asked(signed_in("manager"), a_shoot(a_recipe())).json()["recipes"]
    assert (one["status"], one["stale"], one["computed_at"], one["findings"]) == ("stale", True, None, [])


def test_posting_computes_it_again(signed_in: Any) -> None:
    shoot = a_checked_shoot()
    Unit.objects.update(condition="repair")
    answer = asked(signed_in("photographer"), shoot, "post")
    (one,) = answer.json()["recipes"]
    assert (answer.status_code, one["stale"], one["status"]) == (200, False, "gap")


def test_an_assistant_reads_and_does_not_compute(signed_in: Any) -> None:
    shoot = a_checked_shoot()
    client = signed_in("assistant")
    assert (asked(client, shoot).status_code, asked(client, shoot, "post").status_code) == (200, 403)


def test_a_shoot_that_does_not_exist_gets_a_sentence(signed_in: Any) -> None:
    answer = signed_in("manager").get("/api/shoots/404/readiness")
    assert answer.status_code == 404
    assert answer.json()["sentence"]
