"""Boards, scrims and mirrors as a path tracer sees them: mitsuba 3.9 (W. Jakob et al.), variant scalar_rgb."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import mitsuba
import numpy as np

from recipes.light.geometry import Face, rectangle
from recipes.light.source import Source
from tests.reference.test_renderer import PATCH_M, RUNS, matt, shape

__all__ = ["cloth", "matt", "mirror", "rough_mirror", "traced_past"]


def _grey(value: float) -> dict[str, Any]:
    return {"type": "rgb", "value": float(value)}


def cloth(transmittance: float) -> dict[str, Any]:
    """Lets a part through, spread evenly, and throws nothing back (thin principled BSDF, diffuse transmission only)."""
    return {
        "type": "principledthin",
        "base_color": _grey(transmittance),
        "diff_trans": 2.0,
        "spec_trans": 0.0,
        "eta": 1.0001,
        "roughness": 1.0,
    }


def mirror() -> dict[str, Any]:
    """Sends everything back in the mirror's direction."""
    return {"type": "conductor", "material": "none"}


def rough_mirror(half_angle_deg: float) -> dict[str, Any]:
    """Facets of a mirror with Beckmann's slopes, whose reflection at right angles falls to half at that angle."""
    alpha = math.tan(math.radians(half_angle_deg / 2.0)) / math.sqrt(math.log(2.0))
    return {"type": "roughconductor", "material": "none", "alpha": alpha, "distribution": "beckmann"}


def traced_past(
    lamps: Sequence[Source],
    things: Sequence[tuple[Face, dict[str, Any]]],
    point: np.ndarray,
    facing: np.ndarray,
    bounces: int,
    samples: int = 4096,
) -> tuple[float, float]:
    """Illuminance of a receiver by all paths up to so many bounces, and its standard error."""
    described: dict[str, Any] = {
        "type": "scene",
        "integrator": {"type": "path", "max_depth": bounces + 2, "rr_depth": 1000},
        "patch": shape(rectangle(point, facing, PATCH_M, PATCH_M), 1.0),
        "sensor": {
            "type": "radiancemeter",
            "origin": [float(x) for x in point + facing * PATCH_M],
            "direction": [float(-x) for x in facing],
            "film": {"type": "hdrfilm", "width": 1, "height": 1, "rfilter": {"type": "box"}},
            "sampler": {"type": "independent", "sample_count": samples},
        },
    }
    for source in lamps:
        assert isinstance(source.emitter, Face)
        exitance = source.flux_lm / source.emitter.area_m2
        described[f"lamp {source.label}"] = shape(source.emitter, 0.0, exitance / math.pi)
    for number, (face, bsdf) in enumerate(things):
        described[f"thing {number}"] = {**shape(face, 0.0), "bsdf": bsdf}
    loaded = mitsuba.load_dict(described)
    runs = [math.pi * float(np.array(mitsuba.render(loaded, seed=seed))[0, 0, 0]) for seed in range(RUNS)]
    return float(np.mean(runs)), float(np.std(runs, ddof=1) / math.sqrt(RUNS))
