"""A gear type's page shows the sheet with units and sources, and does not pass an estimate for a measurement."""

import pytest
from django.urls import reverse

from gear.catalogue.sheet_reading import readable_sheet
from gear.specs import parse_spec
from tests.builders import STROBE, a_gear_type, a_unit

SOURCES = {
    "energy_ws": {"basis": "maker", "note": "sheet of 2024"},
    "output": {"basis": "measured", "on": "2026-02-01", "spread_stops": 0.1},
    "mass_kg": {"basis": "estimated"},
}


def sheet(**more):
    return readable_sheet(parse_spec({**STROBE, **more}))


def figure(read, field):
    return next(
        f for f in (read.headline, *read.figures, *read.properties, *read.assumed) if f.field == field
    )


def test_a_figure_carries_its_unit_and_where_it_comes_from():
    energy = figure(sheet(sources=SOURCES), "energy_ws")
    assert (energy.value, energy.unit) == ("500", "Ws")
    assert energy.source.words == "maker's sheet, sheet of 2024"


def test_an_estimated_figure_is_marked_and_a_stated_one_is_not():
    read = sheet(sources=SOURCES)
    assert figure(read, "mass_kg").approximate
    assert not figure(read, "energy_ws").approximate


def test_a_figure_nobody_gave_a_source_for_is_marked_too():
    assert figure(sheet(), "energy_ws").source.basis == "source not stated"
    assert figure(sheet(), "energy_ws").approximate


def test_what_the_sheet_does_not_say_is_shown_as_assumed_and_never_under_the_makers_name():
    read = sheet(sources={"*": {"basis": "maker"}})
    assert figure(read, "charge_efficiency").source.basis == "assumed"
    assert "Efficacy" in read.missing


def test_points_stand_in_a_table_from_full_power_down_with_one_source():
    table = next(t for t in sheet(sources=SOURCES).tables if t.field == "output")
    assert [row[0] for row in table.rows] == ["0 (full)", "−6 (1/64)"]
    assert ("Distance", "m") in table.columns
    assert table.source.words == "measured 2026-02-01, ±0.1 stop"


def test_a_figure_of_a_group_that_nobody_stated_is_assumed_even_when_its_neighbour_is_measured():
    read = sheet(mains={"peak_va": 900}, sources={"mains": {"basis": "measured"}})
    table = next(t for t in read.tables if t.field == "mains")
    assert (table.columns, table.rows) == ((("Peak while charging", "VA"),), (("900",),))
    assert figure(read, "power_factor").source.basis == "assumed"


def test_the_page_shows_sheet_sources_and_units(signed_in):
    gear_type = a_gear_type(spec={"sources": SOURCES})
    a_unit(gear_type, tag="K-31", condition="quarantine")
    page = signed_in("assistant").get(reverse("catalogue:type", args=[gear_type.slug])).content.decode()
    assert "≈" in page
    assert "estimated" in page
    assert "K-31" in page
    assert "Quarantine" in page


def test_a_stranger_is_sent_to_sign_in(client, db):
    gear_type = a_gear_type()
    answer = client.get(reverse("catalogue:type", args=[gear_type.slug]))
    assert answer.status_code == 302


def test_a_type_that_is_not_there_is_said_so(signed_in):
    answer = signed_in().get(reverse("catalogue:type", args=["nothing"]))
    assert answer.status_code == 404
    assert "There is no gear type" in answer.content.decode()


@pytest.mark.django_db
def test_a_page_with_fifty_units_needs_few_queries(signed_in, django_assert_max_num_queries):
    gear_type = a_gear_type()
    for _ in range(50):
        a_unit(gear_type)
    client = signed_in()
    with django_assert_max_num_queries(15):
        client.get(reverse("catalogue:type", args=[gear_type.slug]))
