"""The light over the floor plan: the same numbers as the placement at the mark, and sentences for nonsense."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from django.urls import reverse

from gear.errors import Invalid
from recipes.checks.prediction import predict
from studio.drawings.plan_scene import PlanScene
from studio.readiness.light_maps import MapAsked, map_of, with_contours
from tests.builders import a_recipe, a_shoot
from tests.recipes.stages import a_hall, a_light, a_look, a_setup


def a_lit_hall(**more):
    return a_setup(room=a_hall(), **more)


def test_at_the_mark_the_map_says_what_the_placement_says():
    setup = a_lit_hall()
    seen = map_of(setup, MapAsked(spacing_m=0.1))
    assert seen.light.at(0.0, 0.0) == pytest.approx(predict(setup).zone("face").placement, abs=0.02)


def test_the_map_has_the_ambient_too():
    read = {"zone": "face", "triple": {"aperture": "f/8", "shutter": "1/125", "iso": "100", "series": "full"}}
    setup = a_lit_hall(look=a_look(ambient=[read], lights=[a_light(setting_stops=0.0)]))
    assert map_of(setup, MapAsked(spacing_m=0.1)).light.at(0.0, 0.0) == pytest.approx(1.0, abs=0.02)


def test_a_light_without_a_head_leaves_the_ambient_alone():
    read = {"zone": "face", "triple": {"aperture": "f/8", "shutter": "1/125", "iso": "100", "series": "full"}}
    setup = a_lit_hall(look=a_look(ambient=[read]), heads=())
    assert map_of(setup, MapAsked()).light.stops == pytest.approx(0.0, abs=1e-9)


def test_room_to_move_follows_the_inverse_square_along_the_beam():
    # A bare head 2 m before the face, black walls: +-1/2 stop is 2 m divided or multiplied by 2**(1/4),
    # so from 1.68 to 2.38 m of the head: 0.32 m forwards and 0.38 m back (inverse-square law).
    seen = map_of(a_lit_hall(), MapAsked(spacing_m=0.05, tolerance_stops=0.5))
    assert min(y for x, y in seen.outline_m if abs(x) < 0.03) == pytest.approx(2 - 2 * 2**0.25, abs=0.03)
    # What is too bright before the lamp is a hole in the area.
    (hole,) = seen.holes_m
    assert min(y for x, y in hole if abs(x) < 0.03) == pytest.approx(2 - 2 / 2**0.25, abs=0.03)
    assert not seen.edge


def test_a_wider_tolerance_gives_more_room():
    areas = [map_of(a_lit_hall(), MapAsked(tolerance_stops=stops)).area_m2 for stops in (0.2, 0.4, 0.8)]
    assert areas == sorted(areas)
    assert areas[0] > 0


def test_outdoors_the_map_reaches_three_metres():
    seen = map_of(a_setup(), MapAsked(spacing_m=0.5))
    assert (seen.light.x_m[0], seen.light.y_m[-1]) == (-3.0, 3.0)


@pytest.mark.parametrize(
    ("asked", "field"),
    [
        (MapAsked(height_m=-1), "height"),
        (MapAsked(height_m=7), "height"),
        (MapAsked(spacing_m=0.001), "spacing"),
        (MapAsked(tolerance_stops=0), "tolerance"),
    ],
)
def test_nonsense_is_refused_by_its_field(asked, field):
    with pytest.raises(Invalid) as refused:
        map_of(a_lit_hall(), asked)
    assert [problem.where for problem in refused.value.problems] == [field]


def test_a_map_of_too_many_points_is_refused():
    big = replace(a_hall(), width_m=30.0, depth_m=30.0, mark_m=(15.0, 15.0))
    with pytest.raises(Invalid, match="more than"):
        map_of(a_setup(room=big), MapAsked(spacing_m=0.05))


def test_a_light_that_cannot_be_drawn_is_left_out_and_named():
    seen = map_of(a_lit_hall(look=a_look(lights=[a_light(distance_m=30, setting_stops=0.0)])), MapAsked())
    assert len(seen.left_out) == 1
    assert "outside the room" in seen.left_out[0]
    assert map_of(a_lit_hall(), MapAsked()).left_out == ()


def test_a_mark_in_the_corner_of_the_room_is_inside_the_plan():
    corner = replace(a_hall(), mark_m=(0.0, 0.0))
    assert map_of(a_setup(look=a_look(lights=[]), room=corner), MapAsked()).light.x_m[-1] == 0.0


def test_the_drawing_gets_a_line_for_every_whole_stop_up_to_seven():
    scene = with_contours(PlanScene(), map_of(a_lit_hall(), MapAsked()))
    levels = [area.placement_stops for area in scene.light_areas]
    assert levels == [float(level) for level in range(int(levels[0]), int(levels[-1]) + 1)]
    assert 3 <= len(levels) <= 7
    assert scene.tolerance_area_m


def test_a_dark_room_has_no_lines():
    seen = map_of(a_lit_hall(heads=()), MapAsked())
    assert not np.isfinite(seen.light.stops).any()
    assert with_contours(PlanScene(), seen).light_areas == ()


@pytest.mark.django_db
def test_the_page_and_the_route_show_it(signed_in):
    shoot = a_shoot(a_recipe())
    client = signed_in("photographer")
    page = client.get(reverse("readiness:light-map", args=[shoot.pk, 1]), {"height": "1.2"})
    assert page.status_code == 200
    assert "1.20 m above the floor" in page.content.decode()
    answer = client.get(f"/api/shoots/{shoot.pk}/readiness/1/light", {"spacing": "0.5"}).json()
    assert len(answer["placement_stops"]) == len(answer["y_m"])
    assert len(answer["placement_stops"][0]) == len(answer["x_m"])


@pytest.mark.django_db
def test_a_recipe_that_is_not_there_is_said(signed_in):
    shoot = a_shoot(a_recipe())
    answer = signed_in("manager").get(f"/api/shoots/{shoot.pk}/readiness/7/light")
    assert (answer.status_code, answer.json()["code"]) == (404, "not-found")


@pytest.mark.django_db
def test_nonsense_on_the_page_is_said_beside_the_form(signed_in):
    shoot = a_shoot(a_recipe())
    page = signed_in("manager").get(reverse("readiness:light-map", args=[shoot.pk, 1]), {"height": "high"})
    assert "Enter a number" in page.content.decode()
    # A page that only shows has nothing to save.
    assert "Nothing was saved" not in page.content.decode()
