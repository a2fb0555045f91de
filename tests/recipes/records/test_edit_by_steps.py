"""Writing a recipe step by step, without script: nothing typed is lost, errors stand beside their fields."""

from __future__ import annotations

from typing import Any

import pytest
from django.conf import settings

from recipes.records.models import Draft, Recipe
from recipes.records.step_forms import forms_of
from recipes.records.steps import step_of
from recipes.records.typed import typed_of
from tests.builders import LOOK, a_look, a_person, a_recipe
from tests.recipes.records.pages import fields_of, send

pytestmark = pytest.mark.django_db

STEPS = ["camera", "zones", "ambient", "lights", "panels", "subject", "save"]


def step(recipe: Recipe | None, slug: str) -> str:
    return f"/recipes/{recipe.pk}/edit/{slug}" if recipe else f"/recipes/new/{slug}"


def test_a_new_recipe_is_written_from_the_first_step_to_the_last(signed_in: Any) -> None:
    client = signed_in("photographer")
    about = {"about-title": "Dancer in the air", "camera-aperture": "f/8", "camera-shutter": "1/160"}
    assert send(client, step(None, "camera"), **about).url == step(None, "zones")
    assert send(client, step(None, "zones"), **{"zones-0-name": "dancer"}).url == step(None, "ambient")
    reading = {"ambient-0-form": "ev100", "ambient-0-value": "6,5"}
    assert send(client, step(None, "ambient"), **reading).url == step(None, "lights")
    light = {
        "lights-0-bearing_deg": "45",
        "lights-0-distance_m": "2.5",
        "lights-0-height_m": "2",
        "lights-0-aim": "dancer",
    }
    assert send(client, step(None, "lights"), **light).url == step(None, "panels")
    send(client, step(None, "panels"), "add-panel")
    board = {"panels-0-name": "Fill board", "panels-0-bearing_deg": "270"}
    board |= {"panels-0-kind": "board", "panels-0-distance_m": "1,2", "panels-0-height_m": "1.5"}
    board |= {"panels-0-width_m": "1", "panels-0-height_of_panel_m": "2", "panels-0-surface": "silver"}
    assert send(client, step(None, "panels"), **board).url == step(None, "subject")
    assert send(client, step(None, "subject"), **{"subject-movement_m_per_s": "6"}).url == step(None, "save")
    assert send(client, step(None, "save"), "save", note="first try").status_code == 302
    recipe = Recipe.objects.get()
    look = recipe.head.look
    assert (look.title, look.camera.aperture, look.ambient[0].ev100) == ("Dancer in the air", "f/8", 6.5)
    assert (look.lights[0].aim, look.subject.movement_m_per_s) == ("dancer", 6.0)
    panel = look.panels[0]
    assert (panel.name, panel.kind, panel.surface, panel.distance_m) == ("Fill board", "board", "silver", 1.2)
    assert (recipe.owner, recipe.head.note) == (client.person, "first try")
    assert not Draft.objects.exists()


def test_a_recipe_is_changed_and_saved_as_a_new_revision(signed_in: Any) -> None:
    client = signed_in("photographer")
    recipe = a_recipe(client.person)
    send(client, step(recipe, "camera"), **{"camera-aperture": "f/4.5"})
    shown = client.get(step(recipe, "save")).content.decode()
    assert "+2/3 stop for everything" in shown
    send(client, step(recipe, "save"), "save")
    recipe.refresh_from_db()
    assert (recipe.head.number, recipe.head.look.camera.aperture) == (2, "f/4.5")


@pytest.mark.parametrize("slug", STEPS[:-1])
def test_going_through_a_step_without_typing_keeps_no_draft(slug: str, signed_in: Any) -> None:
    client = signed_in("photographer")
    bounce = {"bearing_deg": 90, "distance_m": 2, "width_m": 1, "height_of_board_m": 2}
    light = {
        **LOOK["lights"][0],
        "bounce": bounce,
        "gels": [{"mired_shift": 20.5}],
        "lifts": [{"zone": "face", "lift_stops": 1}],
    }
    panels = [
        {
            "name": "Silk",
            "kind": "scrim",
            "bearing_deg": 40,
            "distance_m": 1,
            "width_m": 1.2,
            "transmittance": 0.45,
        }
        | {"height_of_panel_m": 1.2, "direct_share": 0.1},
        {
            "name": "Flag",
            "kind": "flag",
            "bearing_deg": 90,
            "distance_m": 1,
            "width_m": 1,
            "height_of_panel_m": 1,
        },
    ]
    look = a_look(lights=[light], panels=panels, extras=["meter", "chart"], notes="one\ntwo")
    recipe = a_recipe(client.person, look)
    assert send(client, step(recipe, slug)).status_code == 302
    assert not Draft.objects.exists()


def test_an_error_stands_beside_its_field_and_everything_typed_is_kept(signed_in: Any) -> None:
    client = signed_in("photographer")
    recipe = a_recipe(client.person)
    typed = {"camera-aperture": "f/5.7", "camera-distance_m": "three", "about-notes": "keep <me>"}
    answer = send(client, step(recipe, "camera"), **typed)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "the nearest are f/5.6 and f/6.3" in page
    assert "a number (got &#x27;three&#x27;)" in page
    assert fields_of(page).items() >= typed.items()
    assert fields_of(client.get(step(recipe, "camera")).content.decode()).items() >= typed.items()


def test_what_was_typed_survives_a_crash_between_two_steps(signed_in: Any) -> None:
    client = signed_in("photographer")
    recipe = a_recipe(client.person)
    send(client, step(recipe, "zones"), "go-lights", **{"zones-0-target__placement_stops": "-1 1/3"})
    client.cookies.clear()
    client.force_login(client.person)
    assert (
        fields_of(client.get(step(recipe, "zones")).content.decode())["zones-0-target__placement_stops"]
        == "-1 1/3"
    )
    assert "Unsaved draft" in client.get(f"/recipes/{recipe.pk}").content.decode()


def test_nobody_else_sees_a_draft(signed_in: Any) -> None:
    client = signed_in("photographer")
    recipe = a_recipe(client.person)
    send(client, step(recipe, "camera"), **{"about-title": "Mine alone"})
    page = signed_in("manager").get(f"/recipes/{recipe.pk}").content.decode()
    assert "Unsaved draft" not in page
    assert "Mine alone" not in page


def test_a_discarded_draft_is_gone_and_the_recipe_is_as_it_was(signed_in: Any) -> None:
    client = signed_in("photographer")
    recipe = a_recipe(client.person)
    send(client, step(recipe, "camera"), **{"about-title": "Other"})
    client.post(f"/recipes/{recipe.pk}/edit/discard")
    assert fields_of(client.get(step(recipe, "camera")).content.decode())["about-title"] == recipe.title
    assert not Draft.objects.exists()


def test_rows_are_added_and_removed_by_buttons(signed_in: Any) -> None:
    client = signed_in("photographer")
    recipe = a_recipe(client.person)
    lights = step(recipe, "lights")
    assert send(client, lights, "add-light").url == f"{lights}#lights-1"
    assert send(client, lights, "add-lift-1", **{"lights-1-name": "Rim"}).url == f"{lights}#lights-1-lifts-0"
    send(client, lights, "add-gel-1", **{"lights-1-lifts-0-zone": "face", "lights-1-lifts-0-value": "1"})
    fields = fields_of(client.get(lights).content.decode())
    assert (fields["lights-count"], fields["lights-1-lifts-count"], fields["lights-1-gels-count"]) == (
        "2",
        "1",
        "1",
    )
    assert (fields["lights-1-name"], fields["lights-1-lifts-0-value"]) == ("Rim", "1")
    send(client, lights, "remove-lift-1-0")
    send(client, lights, "remove-light-0")
    fields = fields_of(client.get(lights).content.decode())
    assert (fields["lights-count"], fields["lights-0-name"]) == ("1", "Rim")


def test_a_copied_light_has_everything_of_the_first_but_its_name(signed_in: Any) -> None:
    client = signed_in("photographer")
    recipe = a_recipe(client.person)
    send(client, step(recipe, "lights"), "copy-light-0")
    fields = fields_of(client.get(step(recipe, "lights")).content.decode())
    assert (fields["lights-1-name"], fields["lights-1-modifier__width_m"]) == ("Key 2", "0.6")


@pytest.mark.parametrize(
    "do", ["remove-light-9", "remove-zone-1", "add-gel-7", "remove-gel-0-0", "copy-light-x", "go-moon", ""]
)
def test_an_order_that_names_nothing_changes_nothing(do: str, signed_in: Any) -> None:
    client = signed_in("photographer")
    recipe = a_recipe(client.person)
    before = fields_of(client.get(step(recipe, "lights")).content.decode())
    assert send(client, step(recipe, "lights"), do).status_code == 302
    if do != "remove-zone-1":
        assert fields_of(client.get(step(recipe, "lights")).content.decode()) == before


def test_a_zone_renamed_is_renamed_everywhere(signed_in: Any) -> None:
    client = signed_in("photographer")
    recipe = a_recipe(client.person)
    send(client, step(recipe, "zones"), **{"zones-0-name": "lit cheek"})
    send(client, step(recipe, "save"), "save")
    recipe.refresh_from_db()
    look = recipe.head.look
    assert (look.zones[0].name, look.ambient[0].zone, look.lights[0].aim) == ("lit cheek",) * 3


def test_two_zones_that_swap_names_swap_everywhere(signed_in: Any) -> None:
    client = signed_in("photographer")
    recipe = a_recipe(client.person, a_look(ambient=[{"zone": "face", "ev100": 9.0}]))
    send(client, step(recipe, "zones"), **{"zones-0-name": "window", "zones-1-name": "face"})
    send(client, step(recipe, "save"), "save")
    recipe.refresh_from_db()
    assert recipe.head.look.ambient[0].zone == "window"


def test_a_removed_zone_leaves_a_light_that_says_what_it_misses(signed_in: Any) -> None:
    client = signed_in("photographer")
    recipe = a_recipe(client.person)
    send(client, step(recipe, "zones"), "remove-zone-0")
    answer = send(client, step(recipe, "lights"))
    assert answer.status_code == 422
    assert "there is no zone &#x27;face&#x27;" in answer.content.decode()
    shown = client.get(step(recipe, "save")).content.decode()
    assert "Light Key: aim" in shown
    assert 'value="save">Save' not in shown


def test_a_save_with_errors_saves_nothing_and_lists_them(signed_in: Any) -> None:
    client = signed_in("photographer")
    recipe = a_recipe(client.person)
    send(client, step(recipe, "camera"), "go-save", **{"camera-iso": "101"})
    answer = client.post(step(recipe, "save"), {"do": "save", "note": "my note", "based_on": "1"})
    assert answer.status_code == 422
    assert "Camera: ISO" in answer.content.decode()
    assert recipe.revisions.count() == 1


def test_saving_without_a_change_says_so(signed_in: Any) -> None:
    client = signed_in("photographer")
    recipe = a_recipe(client.person)
    answer = send(client, step(recipe, "save"), "save")
    assert answer.status_code == 422
    assert "nothing to save" in answer.content.decode()


def test_a_second_press_on_save_makes_no_second_recipe(signed_in: Any) -> None:
    client = signed_in("photographer")
    recipe = a_recipe(client.person)
    send(client, step(recipe, "camera"), **{"camera-iso": "200"})
    for _ in range(2):
        client.post(step(recipe, "save"), {"do": "save", "based_on": "1"})
    assert recipe.revisions.count() == 2


def test_a_note_is_kept_when_the_save_is_refused(signed_in: Any) -> None:
    client = signed_in("photographer")
    recipe = a_recipe(client.person)
    send(client, step(recipe, "camera"), **{"camera-iso": "200"})
    answer = send(client, step(recipe, "save"), "save", note="x" * 400)
    assert answer.status_code == 422
    assert "x" * 300 in answer.content.decode()


@pytest.mark.parametrize(("role", "status"), [("manager", 200), ("photographer", 403), ("assistant", 403)])
def test_only_the_owner_and_the_manager_may_edit(role: str, status: int, signed_in: Any) -> None:
    recipe = a_recipe(a_person("photographer"))
    client = signed_in(role)
    for slug in STEPS:
        assert client.get(step(recipe, slug)).status_code == status
        if status == 403:
            assert client.post(step(recipe, slug), {"do": "next"}).status_code == 403


@pytest.mark.parametrize(("role", "status"), [("manager", 200), ("photographer", 200), ("assistant", 403)])
def test_photographers_and_the_manager_write_new_ones(role: str, status: int, signed_in: Any) -> None:
    assert signed_in(role).get("/recipes/new").status_code == status


def test_a_step_that_does_not_exist_is_not_found(signed_in: Any) -> None:
    assert signed_in().get("/recipes/new/moon").status_code == 404
    assert signed_in().get("/recipes/99999/edit").status_code == 404


def test_nonsense_in_a_post_is_no_crash(signed_in: Any) -> None:
    client = signed_in("photographer")
    recipe = a_recipe(client.person)
    for post in (
        {},
        {"lights-count": "99999999999", "do": "next"},
        {"lights-count": "-1", "lights-0-name": "\x00"},
        {"lights-count": "2", "lights-1-lifts-count": "1000", "do": "add-light", "based_on": "x" * 50},
        {
            "lights-count": "1",
            "lights-0-name": "\x00\ufffe",
            "lights-0-aim": "x" * 5000,
            "do": "remove-light-" + "9" * 50,
        },
    ):
        assert client.post(step(recipe, "lights"), post).status_code in (302, 422)


def test_the_largest_recipe_fits_into_one_form() -> None:
    """Django refuses a form of more fields than DATA_UPLOAD_MAX_NUMBER_FIELDS."""
    zones = [{"name": f"zone {n}", "target": {"placement_stops": 0}} for n in range(40)]
    lifts = [{"zone": zone["name"], "lift_stops": 1} for zone in zones]
    light = {**LOOK["lights"][0], "aim": "zone 1", "lifts": lifts, "gels": [{"mired_shift": 10}] * 12}
    lights = [{**light, "name": f"L{n}"} for n in range(24)]
    typed = typed_of(a_look(zones=zones, ambient=[], lights=lights))
    for one in STEPS[:-1]:
        found = forms_of(step_of(one), typed)
        forms = [*found.singles.values(), *found.zones, *(block.form for block in found.readings)]
        for block in found.lights:
            forms += [block.form, *block.gels, *block.lifts]
        counts = 3 + 2 * len(found.lights)
        assert counts + sum(len(form.fields) for form in forms) < settings.DATA_UPLOAD_MAX_NUMBER_FIELDS
