"""What do body and lens make of the mark: sensor, magnification, circle of confusion?"""

from __future__ import annotations

from dataclasses import dataclass

from gear.specs import CameraSpec
from recipes.checks.setup import Setup
from recipes.light.depth_of_field import circle_of_confusion_mm
from recipes.light.framing import magnification

__all__ = ["Optics", "confusion_mm", "optics_of"]


@dataclass(frozen=True)
class Optics:
    """The picture of the mark. ``missing`` is empty when it can be made, else it names what is lacking."""

    focal_mm: float
    distance_m: float
    camera: CameraSpec | None
    missing: str

    @property
    def magnification(self) -> float:
        """Size on the sensor over size at the mark. Raises ValueError nearer than the focal length."""
        return magnification(self.focal_mm, self.distance_m)


def optics_of(setup: Setup) -> Optics:
    """The recipe's focal length and distance with the assigned body."""
    plan = setup.look.camera
    missing = (
        ""
        if plan.distance_m * 1000.0 > plan.focal_length_mm
        else (f"a camera distance beyond the focal length; the recipe says {plan.distance_m:g} m")
    )
    return Optics(plan.focal_length_mm, plan.distance_m, setup.camera.spec if setup.camera else None, missing)


def confusion_mm(camera: CameraSpec) -> float:
    """The circle of confusion of this sensor, in mm."""
    return circle_of_confusion_mm(camera.sensor_width_mm, camera.sensor_height_mm)
