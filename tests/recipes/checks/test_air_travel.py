"""Facts about batteries in the air: 100 and 160 Wh, inclusive (IATA DGR table 2.3.A, as the leaflet of 2018 has it)."""

from __future__ import annotations

import pytest

from recipes.checks.air_travel import check
from tests.recipes.checks.setups import a_battery, a_prediction, a_setup, packed


def flying(*in_heads, spares=(), travellers=1):
    return a_setup(
        units={"batteries": tuple(in_heads)},
        packed=packed(*(battery.unit for battery in spares)),
        travels_by_air=True,
        travellers=travellers,
    )


def spares(count, wh):
    return tuple(a_battery(f"BA-{number}", capacity_wh=wh) for number in range(count))


def only(findings):
    (finding,) = findings
    return finding


def test_a_battery_of_100_wh_in_its_head_is_allowed():
    finding = only(check(flying(a_battery(capacity_wh=100.0)), a_prediction()))
    assert (finding.status, finding.about, finding.margin) == ("ok", "up to 100 Wh, in equipment", 14.0)
    assert "Lithium" in finding.caution


def test_the_second_battery_of_a_head_is_a_spare():
    found = list(check(flying(a_battery("BA-1"), a_battery("BA-2")), a_prediction()))
    assert [finding.about for finding in found] == ["up to 100 Wh, in equipment", "up to 100 Wh, spare"]


def test_over_100_wh_the_operator_must_approve():
    finding = only(check(flying(a_battery(capacity_wh=160.0)), a_prediction()))
    assert (finding.status, finding.margin) == ("tight", None)
    assert "the operator must approve" in finding.sentence


@pytest.mark.parametrize(("travellers", "status", "margin"), [(1, "gap", -1.0), (2, "tight", 1.0)])
def test_two_large_spares_a_person(travellers, status, margin):
    found = list(check(flying(spares=spares(3, 150.0), travellers=travellers), a_prediction()))
    large = next(finding for finding in found if finding.about == "over 100 to 160 Wh, spare")
    assert (large.status, large.margin) == (status, margin)


@pytest.mark.parametrize(
    ("count", "wh", "about", "status"),
    [(2, 150.0, "over 100 to 160 Wh, spare", "tight"), (20, 90.0, "up to 100 Wh, spare", "ok")],
)
def test_just_as_many_as_are_allowed_are_not_too_many(count, wh, about, status):
    found = list(check(flying(spares=spares(count, wh)), a_prediction()))
    full = next(finding for finding in found if finding.about == about)
    assert (full.status, full.margin) == (status, 0.0)
    assert "are the most" not in full.sentence


def test_over_160_wh_is_no_baggage():
    finding = only(check(flying(spares=spares(1, 160.5)), a_prediction()))
    assert (finding.status, finding.unit, finding.margin) == ("gap", "Wh", pytest.approx(-0.5))


def test_another_chemistry_is_unknown():
    lead = a_battery(chemistry="lead-acid")
    finding = only(check(flying(spares=(lead,)), a_prediction()))
    assert (finding.status, finding.missing) == ("unknown", "the operator's rule for lead-acid batteries")


def test_on_the_road_there_is_no_question():
    assert list(check(a_setup(units={"batteries": (a_battery(),)}), a_prediction())) == []
