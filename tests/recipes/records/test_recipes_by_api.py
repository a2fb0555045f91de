"""Recipes for other programs."""

from __future__ import annotations

import json
from typing import Any

import pytest

from recipes.look import parse_look
from recipes.records.models import Recipe
from recipes.records.services import save_revision
from tests.builders import LOOK, a_look, a_person, a_recipe

pytestmark = pytest.mark.django_db

WIDER = {**LOOK, "camera": {**LOOK["camera"], "aperture": "f/4.5"}}
FASTER = {**LOOK, "camera": {**LOOK["camera"], "iso": "200"}}


def post(client: Any, path: str, body: Any) -> Any:
    return client.post(path, json.dumps(body), content_type="application/json")


def test_a_recipe_is_written_and_read_again(signed_in: Any) -> None:
    client = signed_in("photographer")
    answer = post(client, "/api/recipes/", {"document": LOOK, "note": "by program"})
    assert answer.status_code == 201
    read = client.get(answer["Location"]).json()
    assert (read["title"], read["head"], read["owner"]) == (LOOK["title"], 1, str(client.person))
    assert parse_look(read["document"]) == parse_look(LOOK)
    assert read["schema"].endswith("/recipes/schema.json")


def test_the_list_has_no_documents_and_can_be_searched(signed_in: Any) -> None:
    a_recipe(look=a_look(title="Dancer"))
    a_recipe()
    body = signed_in("assistant").get("/api/recipes/?search=dancer").json()
    assert [row["title"] for row in body["results"]] == ["Dancer"]
    assert "document" not in body["results"][0]


def test_a_revision_is_saved_and_listed(signed_in: Any) -> None:
    client = signed_in("photographer")
    recipe = a_recipe(client.person)
    path = f"/api/recipes/{recipe.pk}/revisions/"
    answer = post(client, path, {"document": WIDER, "based_on": 1, "note": "wider"})
    assert (answer.status_code, answer.json()["number"], answer.json()["based_on"]) == (201, 2, 1)
    assert [row["number"] for row in client.get(path).json()["results"]] == [2, 1]
    assert client.get(answer["Location"]).json()["document"]["camera"]["aperture"] == "f/4.5"


def test_a_save_on_an_older_revision_gets_both_changes_and_can_be_repeated_on_the_head(
    signed_in: Any,
) -> None:
    client = signed_in("photographer")
    recipe = a_recipe(client.person)
    save_revision(recipe, parse_look(WIDER), 1, a_person("manager", username="jo"))
    path = f"/api/recipes/{recipe.pk}/revisions/"
    answer = post(client, path, {"document": FASTER, "based_on": 1})
    body = answer.json()
    assert (answer.status_code, body["code"], body["head"], body["conflicts"]) == (412, "merge", 2, [])
    assert "jo saved revision 2" in body["sentence"]
    assert body["theirs"][0]["effect"] == "+2/3 stop for everything"
    again = post(client, path, {"document": body["merged"], "based_on": body["head"]})
    assert again.status_code == 201
    camera = again.json()["document"]["camera"]
    assert (camera["aperture"], camera["iso"]) == ("f/4.5", "200")


def test_conflicts_are_named_with_all_three_values(signed_in: Any) -> None:
    client = signed_in("photographer")
    recipe = a_recipe(client.person)
    save_revision(recipe, parse_look(WIDER), 1, client.person)
    other = {**LOOK, "camera": {**LOOK["camera"], "aperture": "f/8"}}
    body = post(client, f"/api/recipes/{recipe.pk}/revisions/", {"document": other, "based_on": 1}).json()
    assert body["conflicts"] == [
        {
            "path": "camera/aperture",
            "where": "Camera: aperture",
            "base": "f/5.6",
            "theirs": "f/4.5",
            "mine": "f/8",
        }
    ]
    assert recipe.revisions.count() == 2


def test_two_revisions_are_compared_in_stops(signed_in: Any) -> None:
    client = signed_in("assistant")
    recipe = a_recipe()
    save_revision(recipe, a_look(camera={**LOOK["camera"], "shutter": "1/100"}), 1, recipe.owner)
    body = client.get(f"/api/recipes/{recipe.pk}/compare?from=1&to=2").json()
    assert (body["ambient_stops"], body["flash_stops"]) == (pytest.approx(1.0), pytest.approx(0.0))
    assert body["differences"][0]["path"] == "camera/shutter"


@pytest.mark.parametrize(
    ("body", "where"),
    [
        ({}, "document"),
        ({"document": {**LOOK, "title": ""}}, "title"),
        ({"document": []}, "document"),
        ({"document": LOOK, "note": "x" * 301}, "note"),
        ({"document": {**LOOK, "notes": "a\x00"}}, "notes"),
        ({"document": {**LOOK, "title": "\ud800"}}, "title"),
    ],
    ids=range(6),
)
def test_a_refusal_names_the_field(body: Any, where: str, signed_in: Any) -> None:
    answer = post(signed_in("photographer"), "/api/recipes/", body)
    assert answer.status_code == 422
    assert where in [problem["where"] for problem in answer.json()["problems"]]
    assert not Recipe.objects.exists()


@pytest.mark.parametrize(
    ("body", "status"),
    [
        ('{"document": ' + "[" * 50_000, 422),
        ('{"document": NaN}', 400),
        ('{"document": {"title": "' + "x" * 3_000_000 + '"}}', 422),
        ("{", 400),
        ("[1]", 422),
        ('"look"', 422),
    ],
    ids=range(6),
)
def test_nonsense_is_refused_and_never_a_crash(body: str, status: int, signed_in: Any) -> None:
    client = signed_in("photographer")
    answer = client.post("/api/recipes/", body, content_type="application/json")
    assert answer.status_code == status


def test_rights_are_the_same_as_on_the_pages(signed_in: Any, client: Any) -> None:
    recipe = a_recipe(a_person("photographer"))
    path = f"/api/recipes/{recipe.pk}/revisions/"
    assert client.get(path).status_code in (401, 403)
    assert post(signed_in("assistant"), path, {"document": WIDER, "based_on": 1}).status_code == 403
    refused = post(signed_in("photographer"), path, {"document": WIDER, "based_on": 1})
    assert (refused.status_code, refused.json()["code"]) == (403, "not-allowed")
    assert post(signed_in("manager"), path, {"document": WIDER, "based_on": 1}).status_code == 201


def test_what_is_not_there_is_not_found(signed_in: Any) -> None:
    client, recipe = signed_in(), a_recipe()
    for path in ("9999/", "9999/revisions/", f"{recipe.pk}/revisions/7/", f"{recipe.pk}/compare?from=7"):
        answer = client.get(f"/api/recipes/{path}")
        assert (answer.status_code, answer.json()["code"]) == (404, "not-found")


def test_a_list_of_fifty_asks_the_database_a_few_times(
    signed_in: Any, django_assert_max_num_queries: Any
) -> None:
    owner = a_person("photographer")
    for number in range(50):
        a_recipe(owner, a_look(title=f"Recipe {number}"))
    client = signed_in()
    with django_assert_max_num_queries(6):
        assert len(client.get("/api/recipes/").json()["results"]) == 50
