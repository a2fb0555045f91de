"""Facts about height under a roof of 3 m. A softbox of 0.9 m stands 0.45 m over its head."""

from __future__ import annotations

import pytest

from recipes.checks.ceiling import check
from recipes.checks.setup import AssignedPanel
from tests.recipes.checks.setups import (
    a_board,
    a_look,
    a_modifier,
    a_panel,
    a_plan,
    a_prediction,
    a_room,
    a_setup,
)


def only(findings):
    (finding,) = findings
    return finding


def at(height_m, room=None, **units):
    setup = a_setup(a_look(a_plan(height_m=height_m)), units=units, room=room or a_room())
    return only(check(setup, a_prediction()))


@pytest.mark.parametrize(("height_m", "status"), [(2.0, "ok"), (2.5, "tight"), (2.7, "gap")])
def test_half_the_face_stands_over_the_head(height_m, status):
    finding = at(height_m, modifier=a_modifier())
    assert (finding.status, finding.value, finding.limit) == (status, pytest.approx(height_m + 0.45), 3.0)


def test_a_disc_stands_over_by_half_its_width():
    disc = a_modifier(shape="disc", width_m=1.0, height_m=None)
    assert at(2.0, modifier=disc).value == pytest.approx(2.5)


def test_a_bare_head_stands_over_a_little():
    # 0.15 m: common practice, no source.
    assert at(2.0).value == pytest.approx(2.15)


@pytest.mark.parametrize(("face_height_m", "top"), [(1.2, 2.6), (None, 2.15)])
def test_a_panel_has_a_face_of_its_own(face_height_m, top):
    panel = a_panel(face_width_m=0.3, face_height_m=face_height_m)
    setup = a_setup(a_look(a_plan(source="continuous")), heads=(panel,), room=a_room())
    assert only(check(setup, a_prediction())).value == pytest.approx(top)


def test_between_beam_and_ceiling_it_is_tight():
    finding = at(2.0, a_room(beam_height_m=2.4), modifier=a_modifier())
    assert finding.status == "tight"
    assert "with beams at 2.40 m: keep it out" in finding.sentence
    # Half of the face and a hand's breadth under the beam.
    assert finding.remedies[0].sentence == "Set Key at 1.85 m or lower."


def test_less_than_a_hands_breadth_under_a_beam_is_tight():
    # The top is at 2.45 m, and 0.1 m is to be left: common practice, no source.
    assert at(2.0, a_room(beam_height_m=2.5), modifier=a_modifier()).status == "tight"


@pytest.mark.parametrize("beam_m", [2.9, 2.55])
def test_a_beam_high_enough_changes_nothing(beam_m):
    assert at(2.0, a_room(beam_height_m=beam_m), modifier=a_modifier()).status == "ok"


def bounced(surface, **units):
    bounce = {
        "bearing_deg": 200,
        "distance_m": 1,
        "height_m": 1.5,
        "width_m": 1,
        "height_of_board_m": 1,
        "surface": surface,
    }
    setup = a_setup(a_look(a_plan(bounce=bounce)), heads=(), units=units, room=a_room())
    return [finding.value for finding in check(setup, a_prediction())]


def test_a_board_stands_over_by_half_its_height():
    assert bounced("white") == [2.0]
    assert bounced("white", board=a_board()) == [2.5]


def test_a_scrim_that_stands_by_itself_is_asked_too():
    silk = {
        "name": "Silk",
        "kind": "scrim",
        "bearing_deg": 0,
        "distance_m": 1,
        "height_m": 2.4,
        "width_m": 1.2,
    }
    look = a_look(panels=[{**silk, "height_of_panel_m": 1.4, "transmittance": 0.45}])
    setup = a_setup(look, heads=(), panels=(AssignedPanel(look.panels[0]),), room=a_room())
    (finding,) = check(setup, a_prediction())
    assert (finding.about, finding.value, finding.status) == ("Silk", pytest.approx(3.1), "gap")


def test_ceiling_and_wall_are_no_boards():
    assert bounced("ceiling") == bounced("wall") == []


def test_outdoors_and_without_a_room_there_is_no_question():
    assert list(check(a_setup(room=a_room(outdoors=True)), a_prediction())) == []
    assert list(check(a_setup(), a_prediction())) == []


def test_only_what_touches_the_ceiling_is_warned_of_its_heat():
    low, high = at(2.0, a_room(), modifier=a_modifier()), at(2.95, a_room(), modifier=a_modifier())
    assert (low.status, bool(low.caution)) == ("ok", False)
    assert (high.status, bool(high.caution)) == ("gap", True)
