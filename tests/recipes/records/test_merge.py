"""Two people change the same recipe: what is taken, what is a conflict, what is never lost."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

import pytest
from hypothesis import given, settings

from recipes.look import Look, LookError, parse_look
from recipes.records.merge import merge
from recipes.records.tree import MISSING, as_document, as_tree, leaves
from tests.builders import LOOK
from tests.recipes.looks import looks


def look_with(change: Any = None) -> Look:
    document = deepcopy(LOOK)
    if change:
        change(document)
    return parse_look(document)


def set_(*path: Any, to: Any) -> Any:
    def change(document: Any) -> None:
        *parents, last = path
        for part in parents:
            document = document[part]
        document[last] = to

    return change


BASE = look_with()
FILL = {"name": "Fill", "role": "fill", "bearing_deg": 320, "distance_m": 2.0, "height_m": 1.8}


def test_changes_to_different_things_are_both_in_the_document() -> None:
    theirs = look_with(set_("camera", "aperture", to="f/4.5"))
    mine = look_with(set_("lights", 0, "distance_m", to=2.0))
    merged = merge(BASE, theirs, mine)
    both = parse_look(merged.document)
    assert merged.conflicts == ()
    assert (both.camera.aperture, both.lights[0].distance_m) == ("f/4.5", 2.0)


def test_parts_are_matched_by_name_when_somebody_inserts_one_before() -> None:
    theirs = look_with(lambda d: d["lights"].insert(0, FILL))
    mine = look_with(set_("lights", 0, "height_m", to=2.4))
    both = parse_look(merge(BASE, theirs, mine).document)
    assert [(light.name, light.height_m) for light in both.lights] == [("Fill", 1.8), ("Key", 2.4)]


def test_the_same_change_by_both_is_no_conflict() -> None:
    changed = look_with(set_("camera", "iso", to="200"))
    merged = merge(BASE, changed, changed)
    assert merged.conflicts == ()
    assert parse_look(merged.document) == changed


def test_different_changes_to_one_field_are_a_conflict_and_theirs_stands_until_somebody_decides() -> None:
    theirs = look_with(set_("camera", "aperture", to="f/4.5"))
    mine = look_with(set_("camera", "aperture", to="f/8"))
    merged = merge(BASE, theirs, mine)
    (conflict,) = merged.undecided
    assert conflict.key == "camera/aperture"
    assert (conflict.base, conflict.theirs, conflict.mine) == ("f/5.6", "f/4.5", "f/8")
    assert parse_look(merged.document).camera.aperture == "f/4.5"


@pytest.mark.parametrize(("choice", "aperture"), [("theirs", "f/4.5"), ("mine", "f/8")])
def test_a_choice_decides_its_conflict(choice: Any, aperture: str) -> None:
    theirs = look_with(set_("camera", "aperture", to="f/4.5"))
    mine = look_with(set_("camera", "aperture", to="f/8"))
    merged = merge(BASE, theirs, mine, {"camera/aperture": choice})
    assert merged.undecided == ()
    assert parse_look(merged.document).camera.aperture == aperture


def test_a_light_that_one_removed_and_the_other_moved_is_one_conflict_about_the_light() -> None:
    theirs = look_with(set_("lights", to=[]))
    mine = look_with(set_("lights", 0, "distance_m", to=2.0))
    (conflict,) = merge(BASE, theirs, mine).conflicts
    assert conflict.key == "lights/Key"
    assert conflict.theirs is MISSING
    kept = parse_look(merge(BASE, theirs, mine, {"lights/Key": "mine"}).document)
    assert kept.lights[0].distance_m == 2.0


def test_two_forms_of_a_reading_are_never_mixed() -> None:
    theirs = look_with(set_("ambient", 0, to={"zone": "face", "lux": 1000}))
    mine = look_with(set_("ambient", 0, to={"zone": "face", "ev100": 10}))
    merged = merge(BASE, theirs, mine)
    assert [conflict.key for conflict in merged.conflicts] == ["ambient/face/value"]
    assert parse_look(merged.document).ambient[0].lux == 1000


def test_lights_of_the_same_name_added_by_both_conflict_field_by_field() -> None:
    theirs = look_with(lambda d: d["lights"].append(FILL))
    mine = look_with(lambda d: d["lights"].append({**FILL, "bearing_deg": 300}))
    merged = merge(BASE, theirs, mine)
    assert [conflict.key for conflict in merged.conflicts] == ["lights/Fill/bearing_deg"]


def test_lights_added_by_each_are_both_there() -> None:
    theirs = look_with(lambda d: d["lights"].append(FILL))
    mine = look_with(lambda d: d["lights"].append({**FILL, "name": "Rim", "role": "rim"}))
    both = parse_look(merge(BASE, theirs, mine).document)
    assert {light.name for light in both.lights} == {"Key", "Fill", "Rim"}


def test_an_order_that_only_mine_changed_is_kept() -> None:
    mine = look_with(lambda d: d["zones"].reverse())
    theirs = look_with(set_("title", to="Another title"))
    both = parse_look(merge(BASE, theirs, mine).document)
    assert [zone.name for zone in both.zones] == ["window", "face"]
    assert both.title == "Another title"


def test_a_name_with_a_slash_is_still_one_part() -> None:
    one, two = (
        look_with(lambda d, h=height: d["lights"].append({**FILL, "name": "L/1", "height_m": h}))
        for height in (1.0, 3.0)
    )
    (conflict,) = merge(BASE, one, two).conflicts
    assert conflict.key == "lights/L~11/height_m"


@settings(max_examples=50, deadline=None)
@given(looks())
def test_a_document_survives_the_way_through_its_tree(look: Look) -> None:
    assert parse_look(as_document(as_tree(look))) == look


@settings(max_examples=50, deadline=None)
@given(looks(), looks())
def test_when_only_one_changed_that_one_is_the_merge(base: Look, changed: Look) -> None:
    for merged in (merge(base, changed, base), merge(base, base, changed)):
        assert merged.conflicts == ()
        assert parse_look(merged.document) == changed


@settings(max_examples=60, deadline=None)
@given(looks(), looks(), looks())
def test_every_field_of_the_merge_is_one_that_somebody_wrote(base: Look, theirs: Look, mine: Look) -> None:
    written = {(path, repr(value)) for look in (base, theirs, mine) for path, value in leaves(as_tree(look))}
    conflicts = merge(base, theirs, mine).conflicts
    for choice in ("theirs", "mine"):
        decided = merge(base, theirs, mine, {conflict.key: choice for conflict in conflicts})
        assert decided.undecided == ()
        if is_look(decided.document):
            assert {(p, repr(v)) for p, v in leaves(as_tree(parse_look(decided.document)))} <= written


def is_look(document: dict[str, Any]) -> bool:
    """Two changes may contradict each other: a light for a zone that the other removed."""
    try:
        parse_look(document)
    except LookError:
        return False
    return True
