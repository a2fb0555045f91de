"""Facts about the marked sync time and the times that are marked on a dial."""

from __future__ import annotations

import pytest

from recipes.checks.high_speed import beyond_marked_sync
from tests.recipes.checks.setups import a_camera


def test_a_marked_sixtieth_is_within_a_sync_time_of_a_sixtieth():
    # ISO 516: an engraved 1/60 is 1/64, 0.093 stop shorter.
    assert not beyond_marked_sync(1 / 64, a_camera(sync_speed_s=1 / 60).spec)


@pytest.mark.parametrize(("shorter_stops", "beyond"), [(0.09, False), (0.11, True)])
def test_a_tenth_of_a_stop_of_rounding_is_forgiven_and_no_more(shorter_stops, beyond):
    # Common practice, no source.
    camera = a_camera(sync_speed_s=1 / 128).spec
    assert beyond_marked_sync(2**-shorter_stops / 128, camera) is beyond
