"""Does the recipe ask for high-speed sync, and does its shutter time need it?"""

from __future__ import annotations

from gear.specs import CameraSpec
from recipes.checks.setup import Setup

__all__ = ["MARKED_TIME_SLACK", "asks_high_speed", "beyond_marked_sync"]

MARKED_TIME_SLACK = 2.0**-0.1
"""Engraved times are rounded by up to a tenth of a stop: a marked 1/60 is 1/64, and still within a sync of 1/60."""


def beyond_marked_sync(shutter_s: float, camera: CameraSpec) -> bool:
    """Whether a shutter time is shorter than the camera's marked sync time."""
    return shutter_s < camera.sync_speed_s * MARKED_TIME_SLACK


def asks_high_speed(setup: Setup) -> bool:
    """Whether the recipe asks for high-speed sync at a time that needs it, on a body with curtains.

    Then every strobe burns while the slit passes, and acts like a light that burns all the time.
    """
    camera = setup.camera.spec if setup.camera else None
    plan = setup.look.camera
    return (
        plan.high_speed_sync
        and camera is not None
        and camera.shutter == "focal-plane"
        and beyond_marked_sync(plan.time_s, camera)
    )
