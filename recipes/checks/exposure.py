"""What do the recipe's camera, lens and meter make of light, and what does high-speed sync take away from flash?"""

from __future__ import annotations

from typing import Any

from gear.specs import MeterSpec, StrobeSpec
from recipes.checks.high_speed import asks_high_speed
from recipes.checks.optics import optics_of
from recipes.checks.setup import AssignedLight, Setup, Unit
from recipes.light.apex import C_DOME_RANGE, Exposure, MeterProfile, Receptor
from recipes.light.lens_loss import (
    extension_loss_stops,
    loss_beyond_nominal_stops,
    unknown_extension_stops,
)
from recipes.light.sync import high_speed_sync_loss_stops

__all__ = [
    "exposure_of",
    "flash_loss_stops",
    "lens_loss_stops",
    "meter_of",
    "meter_unit",
    "receptor_of",
    "slit_loss_stops",
    "unseen_by_meter_stops",
]


def exposure_of(setup: Setup) -> Exposure:
    """The recipe's camera in exact values; what the lens takes counts in the f-number."""
    camera = setup.look.camera
    lens_loss, _ = lens_loss_stops(setup)
    return Exposure(
        camera.f_number * 2.0 ** (lens_loss / 2.0), camera.time_s, camera.iso_exact, camera.nd_stops
    )


def lens_loss_stops(setup: Setup) -> tuple[float, float]:
    """What the assigned lens takes at the mark's distance beyond what meters and speeds allow for, in stops, and one
    standard deviation of that. A transmittance that nobody has stated counts as the usual one; a lens of which nobody
    says that it moves out takes nothing close up, give or take."""
    if setup.lens is None:
        return 0.0, 0.0
    spec, optics = setup.lens.spec, optics_of(setup)
    glass = float(loss_beyond_nominal_stops(spec.transmittance)) if spec.transmittance < 1.0 else 0.0
    if optics.missing:
        return glass, 0.0
    if spec.moves_out:
        return glass + float(extension_loss_stops(optics.magnification)), 0.0
    return glass, float(unknown_extension_stops(optics.magnification))


def unseen_by_meter_stops(setup: Setup) -> float:
    """How much more than the placement a hand meter shows, set as the camera is: what the lens takes beyond what meters
    allow for, and neutral density on it."""
    lens_loss, _ = lens_loss_stops(setup)
    return lens_loss + setup.look.camera.nd_stops


def meter_unit(setup: Setup) -> Unit[MeterSpec] | None:
    """The meter that will be used: the assigned one, else the finest on the list, if there is one."""
    if setup.meter is not None:
        return setup.meter
    besides: list[Unit[Any]] = [unit for unit in setup.units if isinstance(unit.spec, MeterSpec)]
    return min(besides, key=lambda unit: unit.spec.accuracy_stops, default=None)


def meter_of(setup: Setup) -> MeterProfile:
    """Constants and receptor of the meter that will be used, else the usual ones of a flat receptor."""
    unit = meter_unit(setup)
    if unit is None:
        return MeterProfile()
    spec = unit.spec
    return MeterProfile(spec.c_incident, spec.k_reflected, receptor_of(spec.receptor, spec.c_incident))


def receptor_of(stated: Receptor | None, c_incident: float) -> Receptor:
    """The receptor that a sheet states; where it does not, one whose constant lies in the range of domes is a dome."""
    if stated is not None:
        return stated
    return "dome" if c_incident >= C_DOME_RANGE[0] else "flat"


def flash_loss_stops(light: AssignedLight, setup: Setup) -> float:
    """What high-speed sync costs, when the recipe asks for it and the shutter is shorter than the camera's sync."""
    head = light.heads[0].spec if light.heads else None
    slit = slit_loss_stops(setup)
    if not slit or not isinstance(head, StrobeSpec):
        return 0.0
    return slit + (head.high_speed_sync_loss_stops or 0.0)


def slit_loss_stops(setup: Setup) -> float:
    """How much of the burst of high-speed sync each row of the frame misses, in stops: it burns as long as the slit
    travels, and a row is open for the shutter time. 0 where the recipe asks for none, or nobody says how long it
    travels."""
    camera = setup.camera.spec if setup.camera else None
    if camera is None or camera.curtain_travel_s is None or not asks_high_speed(setup):
        return 0.0
    return float(high_speed_sync_loss_stops(setup.look.camera.time_s, camera.curtain_travel_s))
