"""Glass: what must hold at any angle."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recipes.light.glass import Glass, relative_to_normal

angles = st.floats(0, 90)


@settings(deadline=None)
@given(angles, angles)
def test_slanting_light_never_gets_through_better(one, other):
    straight, slanting = sorted((one, other))
    assert relative_to_normal(slanting) <= relative_to_normal(straight) + 1e-12


@settings(deadline=None)
@given(st.floats(0.01, 1), st.floats(0.01, 1), st.floats(0.01, 1), angles)
def test_a_window_never_adds_light(normal, frame, dirt, angle):
    assert 0 <= Glass(normal, frame, dirt).transmittance(angle) <= normal * frame * dirt + 1e-12


def test_glass_that_nobody_describes_is_double():
    assert Glass().panes == 2
    assert relative_to_normal(70.0) == relative_to_normal(70.0, 2)


def test_a_single_pane_is_glass_too():
    assert Glass(panes=1).transmittance(60.0) == pytest.approx(0.8 * relative_to_normal(60.0, 1))


def test_arrays_keep_their_shape():
    assert Glass().transmittance(np.zeros((3, 2))).shape == (3, 2)


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        pytest.param(lambda: Glass(0.0), "normal_transmittance is 0", id="opaque"),
        pytest.param(lambda: Glass(80), "normal_transmittance is 80", id="per cent"),
        pytest.param(lambda: Glass(frame_factor=1.2), "frame_factor is 1.2", id="frame"),
        pytest.param(lambda: Glass(dirt_factor=0), "dirt_factor is 0", id="dirt"),
        pytest.param(lambda: Glass(panes=0), "panes is 0", id="no pane"),
        pytest.param(lambda: relative_to_normal(0.0, 0), "panes is 0", id="no pane by itself"),
        pytest.param(lambda: Glass().transmittance(91.0), "incidence_deg is 91", id="from behind"),
        pytest.param(
            lambda: Glass(bare=True).transmittance(90.5), "incidence_deg is 90.5", id="open, from behind"
        ),
        pytest.param(
            lambda: Glass(bare=True).transmittance(-1.0), "incidence_deg is -1", id="negative angle"
        ),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(call, sentence):
    with pytest.raises(ValueError, match=sentence):
        call()
