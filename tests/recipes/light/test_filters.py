"""Facts about what filters pass, and what lens and extension take."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipes.light import filters, lens_loss

shares = st.floats(1e-4, 1.0)


@given(shares)
def test_transmittance_stops_and_density_say_the_same(transmittance):
    stops = filters.stops_lost(transmittance)
    density = filters.density_of_transmittance(transmittance)
    assert filters.transmittance_of_stops(stops) == pytest.approx(transmittance)
    assert filters.transmittance_of_density(density) == pytest.approx(transmittance)
    assert filters.density_of_stops(stops) == pytest.approx(density, abs=1e-12)
    assert filters.density_stops(density) == pytest.approx(stops, abs=1e-9)


@given(st.lists(shares, max_size=4))
def test_in_a_stack_stops_add(layers):
    together = filters.stacked_transmittance(layers)
    assert filters.stops_lost(max(together, 1e-300)) == pytest.approx(
        sum(map(filters.stops_lost, layers)), abs=1e-9
    )


def test_no_filter_passes_all():
    assert filters.stacked_transmittance([]) == 1.0


@pytest.mark.parametrize("transmittance", [0.0, 1.1, -0.5])
def test_a_filter_passes_something_and_no_more_than_all(transmittance):
    with pytest.raises(ValueError, match="give a share"):
        filters.stacked_transmittance([transmittance])


def test_a_perfect_lens_at_infinity_takes_nothing():
    assert lens_loss.t_number(2.8, 1.0) == 2.8
    assert lens_loss.extension_loss_stops(0.0) == 0.0


def test_arrays_of_filters():
    np.testing.assert_allclose(filters.transmittance_of_stops(np.array([0.0, 1.0, 2.0])), [1, 0.5, 0.25])
