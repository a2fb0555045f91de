"""What differs between two versions of a recipe, in words, and what does it do to the light in stops?"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from recipes.look import Look
from recipes.records.tree import MISSING, OneOf, Path, as_tree, pointer
from recipes.records.words import stops, value_in_words, values_in_words, where_in_words

__all__ = ["Difference", "compare", "exposure_change", "summary"]

_EXPOSURE = ("aperture", "shutter", "iso")


@dataclass(frozen=True)
class Difference:
    """One thing that is not the same: where, what it was, what it is, and what that does (empty: nothing to say)."""

    key: str
    where: str
    before: str
    after: str
    effect: str = ""


def compare(before: Look, after: Look) -> tuple[Difference, ...]:
    """Every difference in the order of the document; none when both say the same."""
    return tuple(_differences((), as_tree(before), as_tree(after), before, after))


def exposure_change(before: Look, after: Look) -> tuple[float, float]:
    """How much brighter the camera now records ``(ambient, flash)``, in stops, by its settings alone.

    Aperture, ISO and neutral density act on everything; the shutter on ambient only, as long as it stays within sync.
    ``2·log2(N1/N2) + log2(S2/S1) - (nd2 - nd1)``, and ``log2(t2/t1)`` more for ambient.
    """
    old, new = before.camera, after.camera
    everything = (
        2 * math.log2(old.f_number / new.f_number)
        + math.log2(new.iso_exact / old.iso_exact)
        - (new.nd_stops - old.nd_stops)
    )
    return everything + math.log2(new.time_s / old.time_s), everything


def _differences(path: Path, old: Any, new: Any, before: Look, after: Look) -> Iterator[Difference]:
    if path == ("camera",):
        yield from _exposure(before, after)
    if isinstance(old, dict) and isinstance(new, dict):
        shared = [key for key in old if key in new]
        for key in [*old, *(key for key in new if key not in old)]:
            if not (path == ("camera",) and key in (*_EXPOSURE, "series")):
                child_old, child_new = old.get(key, MISSING), new.get(key, MISSING)
                yield from _differences((*path, key), child_old, child_new, before, after)
        if (
            path
            and path[-1] in ("zones", "lights", "panels")
            and shared != [key for key in new if key in old]
        ):
            yield Difference(
                pointer(path), f"Order of {path[-1]}", ", ".join(old), ", ".join(new), "changes no light"
            )
    elif old != new:
        was, is_now = values_in_words(path, old, new)
        yield Difference(
            pointer(path),
            where_in_words(path),
            was,
            is_now,
            _effect(path, old, new, before, after),
        )


def _exposure(before: Look, after: Look) -> Iterator[Difference]:
    old, new = before.camera, after.camera
    another_series = old.series != new.series
    changes = {
        "aperture": 2 * math.log2(old.f_number / new.f_number),
        "shutter": math.log2(new.time_s / old.time_s),
        "iso": math.log2(new.iso_exact / old.iso_exact),
    }
    for field in _EXPOSURE:
        text_old, text_new = getattr(old, field), getattr(new, field)
        if text_old != text_new or abs(changes[field]) > 1e-9:
            path = ("camera", field)
            yield Difference(
                pointer(path),
                where_in_words(path),
                _engraved(field, text_old, old.series if another_series else ""),
                _engraved(field, text_new, new.series if another_series else ""),
                _reach(field, changes[field], after),
            )
    if another_series and all(abs(change) < 1e-9 for change in changes.values()):
        path = ("camera", "series")
        yield Difference(
            pointer(path),
            where_in_words(path),
            value_in_words(path, old.series),
            value_in_words(path, new.series),
            "the same exposure",
        )


def _engraved(field: str, text: str, series: str) -> str:
    said = f"{text.removesuffix('s')} s" if field == "shutter" else text
    return f"{said} ({series} stops)" if series else said


def _reach(field: str, change: float, after: Look) -> str:
    if abs(change) < 1e-9:
        return "the same exposure"
    if field != "shutter":
        return f"{stops(change)} stop for everything"
    if after.camera.high_speed_sync:
        return f"{stops(change)} stop for ambient, and for flash in high-speed sync"
    return f"{stops(change)} stop for ambient only"


def _effect(path: Path, old: Any, new: Any, before: Look, after: Look) -> str:
    field = path[-1]
    if not (_is_figure(old) and _is_figure(new)):
        return _effect_on_reading(old, new)
    if path == ("camera", "nd_stops"):
        return f"{stops(old - new)} stop for everything"
    if field in ("placement_stops", "setting_stops"):
        return f"{stops(new - old)} stop"
    if field == "scrim_transmittance":
        return f"{stops(math.log2(new / old))} stop from this light"
    if len(path) == 3 and path[0] == "lights" and field == "distance_m" and min(old, new) > 0:
        if _bounces(path[1], before) or _bounces(path[1], after):
            return ""
        return f"about {stops(2 * math.log2(old / new))} stop from this light, by distance alone"
    return ""


def _effect_on_reading(old: Any, new: Any) -> str:
    if (
        not (isinstance(old, OneOf) and isinstance(new, OneOf))
        or old.form != new.form
        or old.form == "triple"
    ):
        return ""
    if old.form in ("lux", "cd_m2"):
        if min(old.value, new.value) <= 0:
            return ""
        return f"{stops(math.log2(new.value / old.value))} stop"
    return f"{stops(new.value - old.value)} stop"


def _bounces(name: str, look: Look) -> bool:
    return any(light.name == name and light.bounce is not None for light in look.lights)


def _is_figure(value: Any) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def summary(before: Look, after: Look) -> str:
    """What the camera's changes come to together, in one sentence; empty when they leave the exposure alone."""
    ambient, flash = exposure_change(before, after)
    if abs(ambient) < 0.005 and abs(flash) < 0.005:
        return ""
    if abs(ambient - flash) < 0.005:
        return f"The camera records everything {stops(ambient)} stop."
    return f"The camera records ambient light {stops(ambient)} stop and flash {stops(flash)} stop."
