"""What a way out of one gap would open elsewhere, each figure worked by hand."""

from __future__ import annotations

from recipes.checks.registry import run_checks
from recipes.solve.consequences import new_gaps, with_camera
from recipes.solve.substitute import with_heads
from tests.recipes.checks.setups import a_look, a_setup, a_stand, a_strobe


def test_nothing_changed_opens_nothing():
    setup = a_setup()
    assert new_gaps(run_checks(setup), setup) == ()


def test_a_shorter_time_cuts_into_the_flash():
    """Without high-speed sync no flash is whole at a quarter of the marked sync time of 1/250 s:
    the frame is never uncovered as a whole."""
    setup = a_setup(heads=(a_strobe(high_speed_sync=False),))
    camera = setup.look.camera.model_copy(update={"shutter": "1/1000"})
    opened = new_gaps(run_checks(setup), with_camera(setup, camera))
    assert ("sync", "Key") in [(finding.check, finding.about) for finding in opened]


def test_what_was_wrong_before_is_not_counted():
    setup = a_setup(a_look(camera={"shutter": "1/1000"}), heads=(a_strobe(high_speed_sync=False),))
    before = run_checks(setup)
    assert "sync" in [finding.check for finding in before.findings if finding.status == "gap"]
    assert "sync" not in [finding.check for finding in new_gaps(before, setup)]


def test_a_heavier_head_is_asked_of_its_stand():
    """The head alone is changed; its stand, rated for 10 kg, is the one it was."""
    setup = a_setup(heads=(a_strobe(),), units={"stand": a_stand()})
    heavy = a_strobe(mass_kg=11.0)
    opened = new_gaps(run_checks(setup), with_heads(setup, "Key", (heavy,)))
    assert "stand-load" in [finding.check for finding in opened]
