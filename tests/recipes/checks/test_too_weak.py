"""A head too weak for a zone is one gap: it names what its light goes by, and the zone follows from it."""

from __future__ import annotations

import pytest

from recipes.checks import placement, power_range
from tests.recipes.checks.setups import a_board, a_look, a_plan, a_prediction, a_setting, a_setup, a_zone


@pytest.mark.parametrize(
    ("surface", "board", "says"),
    [
        ("white", True, " off the 1.5 × 1 m board"),
        ("white", False, " off the 2 × 1.2 m board"),
        ("wall", False, " off the wall"),
        ("ceiling", False, " off the ceiling"),
    ],
)
def test_a_turned_light_that_is_too_weak_names_what_it_goes_by(surface: str, board: bool, says: str) -> None:
    bounce = {
        "bearing_deg": 90,
        "distance_m": 2.0,
        "width_m": 2.0,
        "height_of_board_m": 1.2,
        "surface": surface,
    }
    units = {"board": a_board(width_m=1.5, height_m=1.0)} if board else {}
    setup = a_setup(a_look(a_plan(bounce=bounce)), units=units)
    prediction = a_prediction(a_setting(wanted_stops=0.8, unit_tags=("ST-1",)))
    (finding,) = power_range.check(setup, prediction)
    assert finding.sentence.startswith(f"Key (ST-1) is 0.8 stops too weak{says}: face stays short")


def test_a_zone_that_is_dark_for_want_of_power_follows_from_its_light() -> None:
    weak, other = a_setting(wanted_stops=0.8), a_setting("Rim", wanted_stops=0.8, zone="hair")
    dark, bright = (a_zone(placement=off) for off in (-0.8, 0.8))
    told = {}
    for name, setting, zone in (("weak", weak, dark), ("other", other, dark), ("bright", weak, bright)):
        (told[name],) = placement.check(a_setup(), a_prediction(setting, zones=(zone,)))
    assert (
        told["weak"].sentence == "face at −0.8, wanted 0.0 ±0.3: 0.5 stops too dark, since Key is too weak."
    )
    assert {name: finding.follows for name, finding in told.items()} == {
        "weak": "Key",
        "other": "",
        "bright": "",
    }
    assert not told["weak"].remedies
    assert all(told[name].remedies for name in ("other", "bright"))


@pytest.mark.parametrize(("wanted", "follows"), [(0.06, "Key"), (0.04, ""), (-1.0, ""), (None, "")])
def test_a_light_that_has_the_power_is_not_to_blame(wanted: float | None, follows: str) -> None:
    setting = a_setting(wanted_stops=wanted)
    (finding,) = placement.check(a_setup(), a_prediction(setting, zones=(a_zone(placement=-0.8),)))
    assert (finding.status, finding.follows) == ("gap", follows)
