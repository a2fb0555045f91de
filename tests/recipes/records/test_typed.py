"""What is typed is kept as typed, and read as a document."""

from __future__ import annotations

import pytest
from hypothesis import given, settings

from recipes.look import Look
from recipes.records.typed import blank_look, document_of, read, read_number, typed_of
from tests.builders import a_look
from tests.recipes.looks import looks


@settings(max_examples=60, deadline=None)
@given(looks())
def test_a_look_typed_and_read_is_the_same_look(look: Look) -> None:
    assert read(typed_of(look)) == (look, ())


@pytest.mark.parametrize(
    ("text", "figure"),
    [
        ("1.5", 1.5),
        ("1,5", 1.5),
        ("−0.3", -0.3),
        ("3", 3),
        ("+2/3", 2 / 3),
        ("-1 1/3", -4 / 3),
        (" 2 ", 2),
        (".5", 0.5),
    ],
)
def test_figures_are_read_as_people_type_them(text: str, figure: float) -> None:
    assert read_number(text) == pytest.approx(figure)


@pytest.mark.parametrize("text", ["abc", "1/0", "nan", "inf", "1e999", "1.2.3", "٣", "", "9" * 400])
def test_what_is_no_figure_stays_as_typed(text: str) -> None:
    assert read_number(text) == text


def test_an_empty_field_takes_its_usual_value() -> None:
    typed = typed_of(a_look())
    typed["zones"][0]["height_m"] = ""
    look, _ = read(typed)
    assert look is not None
    assert look.zones[0].height_m == 1.55


def test_a_width_makes_a_modifier_and_none_leaves_the_head_bare() -> None:
    typed = typed_of(a_look())
    typed["lights"][0]["modifier"] |= {"width_m": "", "height_m": "", "shape": "disc", "grid": False}
    assert "modifier" not in document_of(typed)["lights"][0]
    typed["lights"][0]["modifier"]["width_m"] = "1.2"
    assert document_of(typed)["lights"][0]["modifier"] == {"shape": "disc", "width_m": 1.2, "grid": False}


def test_a_half_typed_bounce_is_not_lost_but_asked_for() -> None:
    typed = typed_of(a_look())
    typed["lights"][0]["bounce"]["width_m"] = "1.5"
    _, problems = read(typed)
    assert {problem.field for problem in problems} == {
        "lights.0.bounce.bearing_deg",
        "lights.0.bounce.distance_m",
        "lights.0.bounce.height_of_board_m",
    }


def test_a_new_recipe_asks_for_what_only_a_person_knows() -> None:
    _, problems = read(blank_look())
    assert {problem.field for problem in problems} == {
        "title",
        "camera.aperture",
        "camera.shutter",
        "lights.0.bearing_deg",
        "lights.0.distance_m",
        "lights.0.height_m",
    }
