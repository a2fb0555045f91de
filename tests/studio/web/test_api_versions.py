"""Over the API a change says which version it starts from: nobody overwrites what somebody else saved in between."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from tests.builders import a_gear_type, a_person, a_recipe, a_room, a_unit
from tests.studio.shoots.plans import planned

pytestmark = pytest.mark.django_db


def a_case() -> Any:
    return a_unit(a_gear_type("case", {"mass_kg": 3.0}), tag="C-01")


THINGS: dict[str, tuple[Callable[[], str], str, dict[str, Any]]] = {
    "unit": (
        lambda: f"/api/units/{a_unit(tag='K-03', shelf='A1', case=a_case()).tag}",
        "put",
        {"shelf": "A2"},
    ),
    "unit, in part": (lambda: f"/api/units/{a_unit(tag='K-03').tag}", "patch", {"shelf": "A2"}),
    "gear type": (lambda: f"/api/gear-types/{a_gear_type(notes='new').slug}", "put", {"notes": "loud"}),
    "shoot": (lambda: f"/api/shoots/{planned().pk}/", "patch", {"notes": "bring tape"}),
    "room": (lambda: f"/api/rooms/{a_room(wind_m_per_s=1.5).pk}/", "put", {"height_m": 4.5}),
    "recipe": (lambda: f"/api/recipes/{a_recipe().pk}/", "put", {"note": "brighter"}),
}


@pytest.fixture
def api(signed_in: Callable[..., Client]) -> Client:
    return signed_in()


def change(api: Client, method: str, address: str, body: Any, tag: str | None) -> Any:
    headers = {} if tag is None else {"If-Match": tag}
    return getattr(api, method)(address, body, "application/json", headers=headers)


def another(address: str, body: dict[str, Any], news: dict[str, Any]) -> dict[str, Any]:
    """The body with something else in it; a recipe says it in its document."""
    if "document" not in body:
        return body | news
    camera = body["document"]["camera"] | {"aperture": "f/4"}
    return body | {"document": body["document"] | {"camera": camera}}


@pytest.mark.parametrize("thing", THINGS)
def test_what_was_read_may_be_written_back_and_nothing_changes(thing: str, api: Client) -> None:
    make, method, _ = THINGS[thing]
    address = make()
    read = api.get(address)
    written = change(api, method, address, read.json(), read["ETag"])
    assert written.status_code == 200, written.json()
    assert written["ETag"] == read["ETag"]
    again = api.get(address)
    assert (again.json(), again["ETag"]) == (read.json(), read["ETag"])


@pytest.mark.parametrize("thing", THINGS)
def test_a_change_gives_another_tag_and_an_old_one_is_refused(thing: str, api: Client) -> None:
    make, method, news = THINGS[thing]
    address = make()
    read = api.get(address)
    body = another(address, read.json(), news)
    first = change(api, method, address, body, read["ETag"])
    assert first.status_code == 200, first.json()
    assert first["ETag"] != read["ETag"]
    assert first["ETag"] == api.get(address)["ETag"]
    late = change(api, method, address, read.json(), read["ETag"])
    assert late.status_code == 412
    assert late.json()["sentence"]
    assert api.get(address)["ETag"] == first["ETag"]


@pytest.mark.parametrize("thing", THINGS)
def test_a_change_that_does_not_say_its_version_is_refused_with_what_to_do(thing: str, api: Client) -> None:
    make, method, _ = THINGS[thing]
    address = make()
    refused = change(api, method, address, api.get(address).json(), None)
    assert refused.status_code == 428
    assert "If-Match" in refused.json()["sentence"]


@pytest.mark.parametrize("thing", THINGS)
def test_a_weak_tag_or_nonsense_matches_nothing(thing: str, api: Client) -> None:
    make, method, _ = THINGS[thing]
    address = make()
    read = api.get(address)
    body = {name: value for name, value in read.json().items() if name != "version"}
    for tag in (f"W/{read['ETag']}", "nonsense", '"' + "9" * 400 + '"', '"²"'.encode().decode("latin-1")):
        assert change(api, method, address, body, tag).status_code in (412, 422)


def test_one_of_several_tags_is_enough_and_a_star_is_any(api: Client) -> None:
    a_unit(tag="K-03")
    for tag in ('"7", "1"', "*"):
        assert change(api, "patch", "/api/units/K-03", {"shelf": "A2"}, tag).status_code == 200


def test_a_body_of_another_version_than_the_header_is_refused(api: Client) -> None:
    a_unit(tag="K-03")
    refused = change(api, "patch", "/api/units/K-03", {"shelf": "A2", "version": 3}, '"1"')
    assert (refused.status_code, refused.json()["problems"][0]["where"]) == (422, "version")


def test_a_field_that_nobody_writes_is_refused_where_it_says_something_else(api: Client) -> None:
    a_unit(tag="K-03")
    refused = change(api, "patch", "/api/units/K-03", {"condition": "lost"}, '"1"')
    assert (refused.status_code, refused.json()["problems"][0]["where"]) == (422, "condition")


def test_a_put_of_a_recipe_is_a_revision_and_theirs_comes_back_when_somebody_was_faster(api: Client) -> None:
    address = f"/api/recipes/{a_recipe().pk}/"
    read = api.get(address)
    body = another(address, read.json(), {})
    assert change(api, "put", address, body, read["ETag"]).json()["head"] == 2
    mine = read.json() | {"document": read.json()["document"] | {"notes": "with the door open"}}
    late = change(api, "put", address, mine, read["ETag"])
    assert late.status_code == 412
    assert late.json()["merged"]["camera"]["aperture"] == "f/4"
    assert late.json()["merged"]["notes"] == "with the door open"


@pytest.mark.parametrize("role", ["photographer", "assistant"])
def test_who_may_not_change_may_not_write_back_either(role: str, signed_in: Callable[..., Client]) -> None:
    recipe = a_recipe(a_person("photographer"))
    api, address = signed_in(role), f"/api/recipes/{recipe.pk}/"
    read = api.get(address)
    assert change(api, "put", address, read.json(), read["ETag"]).status_code == 403
