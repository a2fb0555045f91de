"""Which strobes fire, at which setting, and how: with one short flash, or with a long burst of high-speed sync?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from gear.specs import CameraSpec, StrobeSpec
from recipes.checks.prediction import Prediction
from recipes.checks.setup import AssignedLight, Setup

__all__ = ["MARKED_TIME_SLACK", "FiredStrobe", "asks_high_speed", "beyond_marked_sync", "fired_strobes"]

MARKED_TIME_SLACK = 2.0**-0.1
"""Engraved times are rounded by up to a tenth of a stop: a marked 1/60 is 1/64, and still within a sync of 1/60."""


@dataclass(frozen=True)
class FiredStrobe:
    """The heads of one type in one light. ``setting_stops`` is None when nobody can say it yet."""

    light: AssignedLight
    spec: StrobeSpec
    type_name: str
    tags: tuple[str, ...]
    setting_stops: float | None

    @property
    def name(self) -> str:
        """The light's name."""
        return self.light.plan.name

    @property
    def who(self) -> str:
        """Light and units, for a sentence."""
        return f"{self.name} ({' + '.join(self.tags)})"


def fired_strobes(setup: Setup, prediction: Prediction) -> Iterator[FiredStrobe]:
    """Every type of strobe in every light, in the order of the lights."""
    for light in setup.lights:
        by_type: dict[str, list[str]] = {}
        sheets: dict[str, tuple[str, StrobeSpec]] = {}
        for head in light.heads:
            if isinstance(head.spec, StrobeSpec):
                by_type.setdefault(head.type_slug, []).append(head.tag)
                sheets[head.type_slug] = (head.type_name, head.spec)
        for slug, tags in by_type.items():
            type_name, spec = sheets[slug]
            setting = prediction.light(light.plan.name).setting_stops
            yield FiredStrobe(light, spec, type_name, tuple(tags), setting)


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
