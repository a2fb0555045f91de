"""Which other camera setting brings every zone into its target with the heads that are there?

Flash follows aperture and speed; ambient follows them and the shutter time. So a setting that is stronger by ``g``
stops in aperture or speed, and shorter by ``s`` stops in time, moves flash by ``g`` and ambient by ``g − s``. All pairs
within two stops are tried; the fewest steps win.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import product

from recipes.checks.lighting import Lighting, light_up
from recipes.checks.prediction import Prediction, predict_under
from recipes.checks.setup import Setup
from recipes.checks.verdict import ROUNDING_STOPS
from recipes.light.series import nearest_aperture, nearest_iso, nearest_shutter
from recipes.look import CameraPlan

__all__ = ["CameraChange", "camera_changes"]

PER_STOP = {"full": 1, "half": 2, "third": 3}
_DUST = 1e-6


@dataclass(frozen=True)
class CameraChange:
    """A camera setting under which every zone is inside its target and every head inside its range.

    ``gain_stops`` is what flash and ambient gain by aperture or speed, ``by`` says which of the two; ``shorter_stops``
    what the ambient loses by time.
    """

    camera: CameraPlan
    gain_stops: float
    shorter_stops: float
    by: str

    @property
    def changed(self) -> tuple[tuple[str, str], ...]:
        """Field and new engraving of what differs, as (name, text) pairs."""
        return (
            ("aperture", self.camera.aperture),
            ("shutter", self.camera.shutter),
            ("iso", self.camera.iso),
        )


def camera_changes(setup: Setup, lighting: Lighting | None = None) -> tuple[CameraChange, ...]:
    """The nearest such setting by aperture, and the nearest by speed; none where no setting within two stops does it.

    The setup's own setting is not among them. The shutter never becomes shorter than the camera's marked sync time.
    """
    lighting = lighting or light_up(setup)
    per_stop = PER_STOP[setup.look.camera.series]
    steps = range(-2 * per_stop, 2 * per_stop + 1)
    pairs = sorted(
        ((g, s) for g, s in product(steps, steps) if (g, s) != (0, 0)),
        key=lambda pair: (abs(pair[0]) + abs(pair[1]), abs(pair[1]), pair),
    )
    found: dict[str, CameraChange] = {}
    for g, s in pairs:
        if len(found) == 2:
            break
        gain, shorter = g / per_stop, s / per_stop
        if not _holds(predict_under(_shifted(lighting, gain, shorter))):
            continue
        for change in _realised(setup, gain, shorter):
            found.setdefault(change.by, change)
    return tuple(found.values())


def _shifted(lighting: Lighting, gain: float, shorter: float) -> Lighting:
    """The same terms under another camera setting."""
    flash, steady = 2.0**gain, 2.0 ** (gain - shorter)
    return replace(
        lighting,
        zones=tuple(
            replace(zone, ambient=None if zone.ambient is None else zone.ambient * steady)
            for zone in lighting.zones
        ),
        lights=tuple(
            replace(
                light,
                at_full={
                    zone: amount * (flash if light.plan.source == "strobe" else steady)
                    for zone, amount in light.at_full.items()
                },
            )
            for light in lighting.lights
        ),
    )


def _holds(prediction: Prediction) -> bool:
    for zone in prediction.zones:
        if zone.placement is None:
            return False
        off = zone.placement - zone.target
        if (off if zone.stays_dark else abs(off)) > zone.tolerance + _DUST:
            return False
    return all(
        light.wanted_stops is not None
        and light.lowest_stops - ROUNDING_STOPS <= light.wanted_stops <= ROUNDING_STOPS
        for light in prediction.lights
    )


def _realised(setup: Setup, gain: float, shorter: float) -> Iterator[CameraChange]:
    """The pair on the dials: by aperture, and by speed, where camera and lens have it."""
    camera = setup.look.camera
    body = setup.camera.spec if setup.camera else None
    lens = setup.lens.spec if setup.lens else None
    time = nearest_shutter(camera.time_s * 2.0**-shorter, camera.series)
    if body and shorter > 0 and time.value < body.sync_speed_s * 0.95 and _has_flash(setup):
        return
    opened = nearest_aperture(camera.f_number * 2.0 ** (-gain / 2), camera.series)
    if lens is None or lens.widest_f_number * 0.97 <= opened.value <= lens.narrowest_f_number * 1.03:
        yield CameraChange(
            camera.model_copy(update={"aperture": f"f/{opened.engraved}", "shutter": time.engraved}),
            gain,
            shorter,
            "aperture",
        )
    speed = nearest_iso(camera.iso_exact * 2.0**gain, camera.series)
    if body is None or body.iso_min * 0.97 <= speed.value <= body.iso_max * 1.03:
        yield CameraChange(
            camera.model_copy(update={"iso": speed.engraved, "shutter": time.engraved}),
            gain,
            shorter,
            "speed",
        )


def _has_flash(setup: Setup) -> bool:
    return (
        any(light.plan.source == "strobe" for light in setup.lights) and not setup.look.camera.high_speed_sync
    )
