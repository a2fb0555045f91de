"""Finding and reading recipes."""

from __future__ import annotations

from typing import Any

import pytest

from recipes.records.services import archive, save_revision
from tests.builders import LOOK, a_look, a_person, a_recipe

pytestmark = pytest.mark.django_db


def test_the_page_says_the_look_in_plain_words(signed_in: Any) -> None:
    light = {
        **LOOK["lights"][0],
        "bounce": {
            "bearing_deg": 90,
            "distance_m": 2,
            "width_m": 2,
            "height_of_board_m": 2,
            "surface": "silver",
        },
        "lifts": [{"zone": "face", "lift_stops": 1.5}],
    }
    recipe = a_recipe(look=a_look(lights=[light]))
    page = signed_in("assistant").get(f"/recipes/{recipe.pk}").content.decode()
    for words in (
        "f/5.6 · 1/200\u00a0s · ISO\u00a0100",
        "85 mm, 3 m from the mark",
        "+1.0 ±0.7",
        "+0.3 to +1.7",
        "EV 13.6 at ISO 100",
        "camera left",
        "bounced off silver board, 2 × 2 m",
        "0.6 × 0.9 m",
        "face +1.5 above the ambient",
        "stands still",
    ):
        assert words in page
    assert 'class="plan-drawing"' in page


def test_titles_and_notes_are_escaped(signed_in: Any) -> None:
    recipe = a_recipe(look=a_look(title="<b>bold</b>", notes="<script>x</script>"))
    page = signed_in().get(f"/recipes/{recipe.pk}").content.decode()
    assert "<b>bold</b>" not in page
    assert "<script>x" not in page


def test_a_revision_shows_what_it_changed(signed_in: Any) -> None:
    recipe = a_recipe()
    save_revision(recipe, a_look(camera={**LOOK["camera"], "shutter": "1/100"}), 1, recipe.owner, "slower")
    page = signed_in().get(f"/recipes/{recipe.pk}/revisions/2").content.decode()
    assert "+1 stop for ambient only" in page
    assert "slower" in page
    assert "1/200\u00a0s" in signed_in().get(f"/recipes/{recipe.pk}/revisions/1").content.decode()


def test_two_revisions_are_compared_either_way(signed_in: Any) -> None:
    recipe = a_recipe()
    save_revision(recipe, a_look(camera={**LOOK["camera"], "aperture": "f/4.5"}), 1, recipe.owner)
    client = signed_in()
    assert "+2/3 stop for everything" in client.get(f"/recipes/{recipe.pk}/compare").content.decode()
    backwards = client.get(f"/recipes/{recipe.pk}/compare?from=2&to=1").content.decode()
    assert "−2/3 stop for everything" in backwards


@pytest.mark.parametrize("query", ["from=9", "from=x", "to=-1", "to=99999999999999999999"])
def test_a_revision_that_is_not_there_is_not_found(query: str, signed_in: Any) -> None:
    recipe = a_recipe()
    assert signed_in().get(f"/recipes/{recipe.pk}/compare?{query}").status_code == 404


def test_the_list_finds_by_title_notes_and_owner(signed_in: Any) -> None:
    ana = a_person("photographer", username="ana-reis")
    a_recipe(ana, a_look(title="Face at the window"))
    a_recipe(look=a_look(title="Dancer", notes="needs the long hall"))
    client = signed_in()
    for words, found in [("window face", "Face at"), ("long hall", "Dancer"), ("ana-reis", "Face at")]:
        page = client.get("/recipes/", {"search": words}).content.decode()
        assert found in page
    page = client.get("/recipes/", {"search": "hall"}).content.decode()
    assert "Face at" not in page
    assert "No recipe answers" in client.get("/recipes/", {"search": "100%_\\ '\""}).content.decode()


def test_the_list_shows_mine_or_all_and_archived_apart(signed_in: Any) -> None:
    client = signed_in("photographer")
    a_recipe(client.person, a_look(title="Mine"))
    a_recipe(look=a_look(title="Theirs"))
    archive(a_recipe(client.person, a_look(title="Put away")), client.person)

    def titles(**query: str) -> set[str]:
        page = client.get("/recipes/", query).content.decode()
        return {title for title in ("Mine", "Theirs", "Put away") if f">{title}</a>" in page}

    assert titles() == {"Mine", "Theirs"}
    assert titles(whose="mine") == {"Mine"}
    assert titles(state="archived") == {"Put away"}


def test_a_recipe_is_copied_handed_over_and_archived_from_its_page(signed_in: Any) -> None:
    client = signed_in("photographer")
    recipe, other = a_recipe(client.person), a_person("photographer")
    assert "/edit" in client.post(f"/recipes/{recipe.pk}/copy", {"title": "Moodier"}).url
    client.post(f"/recipes/{recipe.pk}/archive")
    recipe.refresh_from_db()
    assert recipe.archived
    client.post(f"/recipes/{recipe.pk}/archive", {"undo": "1"})
    client.post(f"/recipes/{recipe.pk}/owner", {"owner": other.pk})
    recipe.refresh_from_db()
    assert (recipe.archived, recipe.owner) == (False, other)
    assert client.post(f"/recipes/{recipe.pk}/archive").status_code == 403


def test_a_page_of_fifty_recipes_asks_the_database_a_few_times(
    signed_in: Any, django_assert_max_num_queries: Any
) -> None:
    owner = a_person("photographer")
    for number in range(50):
        a_recipe(owner, a_look(title=f"Recipe {number}"))
    client = signed_in()
    with django_assert_max_num_queries(8):
        assert client.get("/recipes/").status_code == 200


def test_a_recipe_of_fifty_revisions_asks_the_database_a_few_times(
    signed_in: Any, django_assert_max_num_queries: Any
) -> None:
    recipe = a_recipe()
    for number in range(1, 50):
        save_revision(recipe, a_look(notes=f"take {number}"), number, recipe.owner)
    client = signed_in()
    with django_assert_max_num_queries(10):
        assert client.get(f"/recipes/{recipe.pk}").status_code == 200


def test_people_who_are_not_signed_in_are_asked_to(client: Any) -> None:
    recipe = a_recipe()
    for path in ("/recipes/", f"/recipes/{recipe.pk}", f"/recipes/{recipe.pk}/edit", "/recipes/import"):
        assert client.get(path).status_code == 302
