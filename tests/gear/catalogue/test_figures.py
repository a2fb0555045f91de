"""How figures read, and how typed ones come back."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gear.catalogue.figures import label_of, number_typed, setting_text, typed_back, unit_of, value_text
from gear.specs import KINDS


@pytest.mark.parametrize(
    ("field", "label", "unit"),
    [
        ("energy_ws", "Energy", "Ws"),
        ("t01_s", "t0.1", "s"),
        ("mass_kg", "Mass", "kg"),
        ("flux_lm", "Flux", "lm"),
        ("lowest_setting_stops", "Lowest setting", "stops"),
        ("cct_k", "Colour temperature", "K"),
        ("peak_va", "Peak while charging", "VA"),
        ("flicker_hz", "Flicker", "Hz"),
        ("section_mm2", "Section", "mm²"),
        ("efficacy_lm_per_w", "Efficacy", "lm/W"),
        ("mired_shift", "Mired shift", ""),
        ("stops", "Density", "stops"),
    ],
)
def test_the_label_and_unit_come_from_the_name_of_the_field(field, label, unit):
    assert (label_of(field), unit_of(field)) == (label, unit)


def test_every_field_of_every_kind_has_a_label_for_people():
    labels = {label_of(field) for _, model in KINDS.values() for field in model.model_fields}
    assert all(label and "_" not in label for label in labels)


@pytest.mark.parametrize(
    ("field", "value", "text"),
    [
        ("t01_s", 1 / 400, "1/400"),
        ("sync_speed_s", 0.005, "1/200"),
        ("ready_s", 0.1, "0.1"),
        ("energy_ws", 500.0, "500"),
        ("mired_shift", -26.0, "−26"),
        ("radio", ("northlight", "quay"), "northlight, quay"),
        ("sync_socket", True, "yes"),
    ],
)
def test_a_value_reads_as_the_trade_writes_it(field, value, text):
    assert value_text(field, value) == text


def test_a_whole_stop_of_a_setting_shows_its_fraction_of_full_power():
    assert setting_text(-6) == "−6 (1/64)"
    assert setting_text(-0.5) == "−0.5"
    assert setting_text(0) == "0 (full)"


@pytest.mark.parametrize(
    ("typed", "number"), [("1/400", 0.0025), ("2,5", 2.5), ("−1", -1.0), (" 3 ", 3.0), ("1 / 8", 0.125)]
)
def test_a_fraction_a_decimal_comma_and_a_true_minus_are_numbers(typed, number):
    assert float(number_typed(typed)) == number


def test_what_is_no_number_comes_back_for_the_sheet_to_judge():
    assert number_typed("about two") == "about two"
    assert number_typed("1/0") == "1/0"


@given(st.sampled_from(["t01_s", "energy_ws"]), st.floats(min_value=1e-6, max_value=1e6))
def test_a_stored_number_typed_back_in_is_exactly_the_same(field, value):
    assert float(number_typed(typed_back(field, value))) == value
