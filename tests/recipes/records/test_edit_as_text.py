"""A recipe as text: edited, imported, exported, with its published schema."""

from __future__ import annotations

import json
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from recipes.look import dump_look, look_schema
from recipes.records.models import Draft, Recipe
from tests.builders import LOOK, a_look, a_recipe
from tests.recipes.records.pages import send

pytestmark = pytest.mark.django_db


def test_the_text_is_saved_as_a_new_revision(signed_in: Any) -> None:
    client = signed_in("photographer")
    recipe = a_recipe(client.person)
    url = f"/recipes/{recipe.pk}/edit/text"
    assert "&quot;aperture&quot;: &quot;f/5.6&quot;" in client.get(url).content.decode()
    text = dump_look(a_look(notes="as text"))
    assert client.post(url, {"text": text, "note": "typed", "based_on": "1", "do": "save"}).status_code == 302
    recipe.refresh_from_db()
    assert (recipe.head.number, recipe.head.look.notes, recipe.head.note) == (2, "as text", "typed")


def test_a_wrong_text_is_kept_and_its_errors_are_listed_by_field(signed_in: Any) -> None:
    client = signed_in("photographer")
    recipe = a_recipe(client.person)
    url = f"/recipes/{recipe.pk}/edit/text"
    text = dump_look(a_look()).replace('"f/5.6"', '"f/5.7"')
    answer = client.post(url, {"text": text, "based_on": "1", "do": "save"})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "<code>camera.aperture</code> (Camera: aperture)" in page
    assert "f/5.7" in client.get(url).content.decode()
    assert "unfinished and kept" in client.get(f"/recipes/{recipe.pk}/edit/camera").content.decode()
    assert recipe.revisions.count() == 1


def test_the_text_shows_what_was_typed_in_the_steps(signed_in: Any) -> None:
    client = signed_in("photographer")
    recipe = a_recipe(client.person)
    send(client, f"/recipes/{recipe.pk}/edit/camera", **{"camera-iso": "101"})
    assert (
        "&quot;iso&quot;: &quot;101&quot;" in client.get(f"/recipes/{recipe.pk}/edit/text").content.decode()
    )


def test_checked_text_goes_to_the_last_step_and_is_not_saved(signed_in: Any) -> None:
    client = signed_in("photographer")
    text = dump_look(a_look(title="By hand"))
    answer = client.post("/recipes/new/text", {"text": text, "do": "check"})
    assert answer.url == "/recipes/new/save"
    assert "By hand" in client.get("/recipes/new/save").content.decode()
    assert not Recipe.objects.exists()


def test_a_file_is_imported_as_a_new_recipe(signed_in: Any) -> None:
    client = signed_in("photographer")
    file = SimpleUploadedFile("look.json", dump_look(a_look()).encode())
    answer = client.post("/recipes/import", {"file": file, "note": "from the old studio"})
    recipe = Recipe.objects.get()
    assert answer.url == f"/recipes/{recipe.pk}"
    assert (recipe.owner, recipe.head.look, recipe.head.note) == (
        client.person,
        a_look(),
        "from the old studio",
    )


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "not JSON"),
        (b"\xff\x00\xfe", "not text in UTF-8"),
        (b"[" * 50_000, "nested far deeper"),
        (b'{"title": "a"}', "this field is required"),
        (b"x" * 3_000_000, "million characters"),
        (b'{"title": "a\\u0000"}', "one line of text"),
    ],
    ids=range(6),
)
def test_a_file_that_is_no_recipe_is_refused_whole(content: bytes, words: str, signed_in: Any) -> None:
    client = signed_in("photographer")
    answer = client.post("/recipes/import", {"file": SimpleUploadedFile("look.json", content)})
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert not Recipe.objects.exists()


def test_text_that_the_database_cannot_hold_is_kept_without_a_crash(signed_in: Any) -> None:
    client = signed_in("photographer")
    recipe = a_recipe(client.person)
    answer = client.post(f"/recipes/{recipe.pk}/edit/text", {"text": '{"title": "\x00"', "based_on": "1"})
    assert answer.status_code == 422
    assert Draft.objects.get().text == '{"title": "\ufffd"'


def test_what_is_exported_is_imported_as_the_same_look(signed_in: Any) -> None:
    client = signed_in("photographer")
    recipe = a_recipe(client.person)
    answer = client.get(f"/recipes/{recipe.pk}/export")
    assert answer["Content-Disposition"] == 'attachment; filename="portrait-at-the-big-window-r1.json"'
    client.post("/recipes/import", {"file": SimpleUploadedFile("look.json", answer.content)})
    assert Recipe.objects.latest("id").head.look == recipe.head.look


def test_the_schema_is_published_to_everyone(client: Any) -> None:
    answer = client.get("/recipes/schema.json")
    assert answer.status_code == 200
    assert answer["Content-Type"] == "application/schema+json"
    published = json.loads(answer.content)
    assert published.pop("$id") == "http://testserver/recipes/schema.json"
    assert published == look_schema()


def test_an_assistant_may_not_import_but_may_export(signed_in: Any) -> None:
    client = signed_in("assistant")
    assert client.get("/recipes/import").status_code == 403
    assert client.post("/recipes/import", {"text": json.dumps(LOOK)}).status_code == 403
    assert client.get(f"/recipes/{a_recipe().pk}/export").status_code == 200
