"""The worked example as the studio keeps it: two revisions of one recipe on two shoots, with their stored readiness.

The sums are those of `tests.recipes.checks.test_worked_example`: f/5.6 to f/4.5 is 2/3 stop for everything (ISO
2720, Av = 2 log2 N); half a stop less on the strobe leaves the face 1/6 above where it was; 1/200 to 1/100 is one stop
for the windows and nothing for the flash (common practice, no source).
"""

from __future__ import annotations

from typing import Any

import pytest

from recipes.look import Look, parse_look
from recipes.records.services import save_revision
from studio.readiness.models import Readiness
from studio.readiness.services import check_shoots
from studio.shoots.models import Shoot
from studio.shoots.services import update_recipe
from tests.builders import LOOK, a_person, a_recipe
from tests.studio.readiness.plans import a_checked_shoot, a_look_light
from tests.studio.shoots.plans import the_recipe

pytestmark = pytest.mark.django_db

# The builders' strobe is metered at f/45 and, six stops lower, at f/5.6 as engraved: 2 log2(45 / 5.6) is 6.013, so
# half a stop on its dial is 0.501 of light.
ROUNDING_STOPS = 0.002


def the_look(aperture: str = "f/5.6", shutter: str = "1/200", setting_stops: float = -2.0) -> Look:
    """A face by flash alone against the windows, the strobe where the recipe says."""
    return parse_look(
        {
            **LOOK,
            "camera": {**LOOK["camera"], "aperture": aperture, "shutter": shutter},
            "ambient": [{"zone": "face", "lux": 0.0}, {"zone": "window", "ev100": 13.6}],
            "lights": [{**a_look_light(), "setting_stops": setting_stops}],
        }
    )


def kept(shoot: Shoot) -> dict[str, float]:
    """Where each zone lies, by the stored findings."""
    row = Readiness.objects.get(shoot_recipe=the_recipe(shoot))
    return {f["about"]: f["value"] for f in row.findings if f["check"] == "placement"}


@pytest.fixture
def moved() -> Any:
    """``moved(aperture="f/4.5")`` is by how much each zone moves when the shoot takes over that revision."""

    def move(**changes: Any) -> dict[str, float]:
        manager = a_person()
        recipe = a_recipe(manager, the_look())
        shoot = a_checked_shoot(recipe=recipe, by=manager)
        before = kept(shoot)
        later = save_revision(recipe, the_look(**changes), recipe.head, manager, "on set")
        update_recipe(the_recipe(shoot), later, manager)
        check_shoots([shoot])
        after = kept(shoot)
        return {zone: after[zone] - before[zone] for zone in before}

    return move


def test_a_wider_aperture_lifts_windows_and_face_by_two_thirds(moved: Any) -> None:
    assert moved(aperture="f/4.5") == pytest.approx({"face": 2 / 3, "window": 2 / 3}, abs=1e-9)


def test_half_a_stop_less_on_the_strobe_leaves_the_face_a_sixth_above(moved: Any) -> None:
    by = moved(aperture="f/4.5", setting_stops=-2.5)
    assert by["face"] == pytest.approx(1 / 6, abs=ROUNDING_STOPS)
    assert by["window"] == pytest.approx(2 / 3, abs=1e-9)


def test_twice_the_time_lifts_the_windows_by_a_stop_and_leaves_the_flash(moved: Any) -> None:
    assert moved(shutter="1/100") == pytest.approx({"face": 0.0, "window": 1.0}, abs=1e-9)


def test_the_stored_prediction_says_the_same_as_the_stored_findings() -> None:
    manager = a_person()
    shoot = a_checked_shoot(recipe=a_recipe(manager, the_look()), by=manager)
    row = Readiness.objects.get(shoot_recipe=the_recipe(shoot))
    assert {zone["zone"]: zone["placement"] for zone in row.prediction["zones"]} == kept(shoot)
