"""Facts about zones and their targets: inside by their tolerance, in stops."""

from __future__ import annotations

import pytest

from recipes.checks.placement import check
from tests.recipes.checks.setups import a_look, a_plan, a_prediction, a_setting, a_setup, a_zone


def told(placement, **zone):
    (finding,) = check(a_setup(), a_prediction(zones=(a_zone(placement=placement, **zone),)))
    return finding


@pytest.mark.parametrize(
    ("placement", "target", "margin", "status"),
    # A third of a stop each way; the figures are sure to a tenth.
    [
        (1.0, 1.0, 0.3, "ok"),
        (0.9, 1.0, 0.2, "ok"),
        (0.75, 1.0, 0.05, "tight"),
        (0.7, 1.0, 0.0, "tight"),
        (0.6995, 1.0, -0.0005, "gap"),
        (-1.0, -1.0, 0.3, "ok"),
        (-1.4, -1.0, -0.1, "gap"),
        (-0.6, -1.0, -0.1, "gap"),
    ],
)
def test_a_zone_is_inside_its_target_by_what_it_is_nearer_than_its_tolerance(
    placement, target, margin, status
):
    finding = told(placement, target=target)
    assert (finding.status, finding.margin) == (status, pytest.approx(margin))
    assert (finding.value, finding.limit) == (placement, target)


def test_a_silhouette_is_inside_however_dark_it_is():
    assert told(-5.0, target=-3.0, stays_dark=True).margin == pytest.approx(2.3)
    assert told(-2.5, target=-3.0, stays_dark=True).status == "gap"


@pytest.mark.parametrize(
    ("ambient", "words"), [(0.55, "Mostly ambient"), (0.5, "Mostly Rim"), (0.45, "Mostly Rim")]
)
def test_what_lights_most_of_a_zone_is_what_moves_it(ambient, words):
    shares = (("Key", 0.1), ("Rim", 0.9 - ambient))
    finding = told(0.8, ambient_share=ambient, light_shares=shares)
    assert finding.remedies[0].sentence.startswith(words)


def test_a_tight_zone_is_told_what_moves_it_and_a_good_one_is_not():
    assert len(told(0.25).remedies) == 1
    assert told(0.0).remedies == ()


@pytest.mark.parametrize(
    ("off", "words"), [(0.04, "It lies where"), (-0.04, "It lies where"), (0.06, "Mostly")]
)
def test_what_lies_where_it_is_wanted_and_is_unsure_is_read_and_not_moved(off, words):
    # Half of the finest step on a head, a tenth of a stop: common practice, no source.
    finding = told(off, spread_stops=0.5, light_shares=(("Key", 1.0),))
    assert finding.status == "tight"
    (remedy,) = finding.remedies
    assert remedy.sentence.startswith(words)
    assert "0.0" not in remedy.sentence


def test_every_zone_is_asked():
    look = a_look(a_plan())
    zones = (a_zone("unread", placement=None), a_zone("face", placement=0.0))
    found = list(check(a_setup(look), a_prediction(a_setting(), zones=zones)))
    assert [(one.about, one.status) for one in found] == [("unread", "unknown"), ("face", "ok")]


def test_a_zone_that_nobody_can_place_still_tells_its_target():
    assert (told(None, target=1.0).status, told(None, target=1.0).limit) == ("unknown", 1.0)
