"""Pure setups for tests of the prediction: one zone, one head, figures that can be worked by hand."""

from __future__ import annotations

from typing import Any

from gear.specs import BoardSpec, ContinuousSpec, MainsDraw, ModifierSpec, OutputPoint, StrobeSpec
from recipes.checks.setup import AssignedLight, Room, Setup, Unit
from recipes.look import Look, parse_look

METERED = {"basis": "measured", "spread_stops": 0.1}


def a_strobe(**more: Any) -> StrobeSpec:
    """A head that reads f/16 at 1 m bare, a stop a stop down to 1/64, the same all round."""
    return StrobeSpec(
        **{
            "energy_ws": 500,
            "output": tuple(
                OutputPoint(setting_stops=-n, f_number_iso100=16.0 * 2 ** (-n / 2)) for n in range(7)
            ),
            "supply": "battery",
            "battery_fit": "rail-48",
            "mount": "bayonet-four",
            "radio": ("hallcall",),
            "mass_kg": 2.4,
            "sources": {"*": METERED},
            **more,
        }
    )


def a_panel(**more: Any) -> ContinuousSpec:
    """A bare lamp of 4 pi kilolumen, the same all round: 1000 cd in every direction."""
    return ContinuousSpec(
        **{
            "flux_lm": 12566.370614,
            "power_w": 120,
            "mains": MainsDraw(peak_va=130),
            "mount": "bayonet-four",
            "beam_angle_deg": 360.0,
            "sources": {"*": METERED},
            **more,
        }
    )


def a_box(**more: Any) -> ModifierSpec:
    """A softbox of 0.6 by 0.9 m that lets half of the light out."""
    return ModifierSpec(
        **{
            "shape": "rectangle",
            "width_m": 0.6,
            "height_m": 0.9,
            "efficiency": 0.5,
            "mount": "bayonet-four",
            "sources": {"*": METERED},
            **more,
        }
    )


def a_board(**more: Any) -> BoardSpec:
    """A white board, 2 by 2 m."""
    return BoardSpec(**{"width_m": 2.0, "height_m": 2.0, "reflectance": 0.9, **more})


def unit(spec: Any, tag: str = "K-01", **more: Any) -> Unit[Any]:
    """A thing in good order."""
    return Unit(**{"tag": tag, "type_slug": "some-type", "type_name": "Some type", "spec": spec, **more})


def a_zone(name: str = "face", target: float = 0.0, tolerance: float = 0.3, **more: Any) -> dict[str, Any]:
    """A zone 1.5 m above the mark that looks at the camera."""
    return {
        "name": name,
        "height_m": 1.5,
        "target": {"placement_stops": target, "tolerance_stops": tolerance},
        **more,
    }


def a_light(name: str = "Key", **more: Any) -> dict[str, Any]:
    """A bare head two metres before the face, at its height."""
    return {
        "name": name,
        "role": "key",
        "bearing_deg": 0,
        "distance_m": 2.0,
        "height_m": 1.5,
        "aim": "face",
        **more,
    }


def a_look(**more: Any) -> Look:
    """f/8, 1/125, ISO 100; one face in a blacked-out room, one bare head."""
    return parse_look(
        {
            "title": "A face",
            "camera": {"aperture": "f/8", "shutter": "1/125", "iso": "100", "series": "full"},
            "zones": [a_zone()],
            "ambient": [{"zone": "face", "lux": 0}],
            "lights": [a_light()],
            **more,
        }
    )


def a_setup(look: Look | None = None, heads: tuple[Any, ...] | None = None, **more: Any) -> Setup:
    """A setup whose every light has the same heads; no room, so nothing comes back."""
    look = look or a_look()
    of_light = {key: more.pop(key) for key in ("modifier", "board", "gels", "scrim") if key in more}
    return Setup(
        look=look,
        lights=tuple(
            AssignedLight(plan, heads=(unit(a_strobe()),) if heads is None else heads, **of_light)
            for plan in look.lights
        ),
        **more,
    )


def a_hall(**more: Any) -> Room:
    """A hall of ten by ten metres with black walls."""
    return Room(
        **{
            "name": "Hall",
            "width_m": 10.0,
            "depth_m": 10.0,
            "height_m": 5.0,
            "mark_m": (5.0, 5.0),
            "wall_reflectance": 0.0,
            "floor_reflectance": 0.0,
            "ceiling_reflectance": 0.0,
            **more,
        }
    )
