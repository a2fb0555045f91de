"""How a figure of a spec sheet reads to people: its label and unit from the field's name, its value as text, and back.

Field names carry their unit as a suffix (``energy_ws``), so that no second list of labels can drift from the sheets.
Pure: no Django.
"""

from __future__ import annotations

import re

__all__ = ["label_of", "number_typed", "setting_text", "typed_back", "unit_of", "value_text"]

_UNITS = {
    "_lm_per_w": "lm/W",
    "_ws": "Ws",
    "_wh": "Wh",
    "_mm2": "mm²",
    "_mm": "mm",
    "_m": "m",
    "_s": "s",
    "_kg": "kg",
    "_lm": "lm",
    "_stops": "stops",
    "_k": "K",
    "_va": "VA",
    "_w": "W",
    "_v": "V",
    "_a": "A",
    "_hz": "Hz",
    "_deg": "°",
    "_hours": "h",
    "_minutes": "min",
}

_LABELS = {
    "t01_s": "t0.1",
    "t05_s": "t0.5",
    "cct_k": "Colour temperature",
    "cct_min_k": "Lowest colour temperature",
    "cct_max_k": "Highest colour temperature",
    "duv": "Duv",
    "f_number_iso100": "F-number at ISO 100",
    "iso_min": "Lowest ISO",
    "iso_max": "Highest ISO",
    "iso_base": "Base ISO",
    "c_incident": "Constant C, incident",
    "k_reflected": "Constant K, reflected",
    "ready_s": "To the ready lamp",
    "full_s": "To full charge",
    "pwm_duty": "PWM duty",
    "peak_va": "Peak while charging",
    "idle_va": "Standing ready",
    "mains": "From the socket",
    "fit": "Battery fit",
    "fits": "Battery fits",
    "radio": "Radio systems",
    "stops": "Density",
}

_WHOLE_UNIT = {"stops": "stops"}

_ENGRAVED_TIMES = {"t01_s", "t05_s", "sync_speed_s", "shortest_time_s"}
"""Times that the trade writes as a fraction of a second."""

_FRACTION = re.compile(r"^\s*(\d+(?:[.,]\d+)?)\s*/\s*(\d+(?:[.,]\d+)?)\s*$")


def unit_of(field: str) -> str:
    """The unit that a field's name carries, as it is written after a number; empty for a bare number."""
    if field in _WHOLE_UNIT:
        return _WHOLE_UNIT[field]
    for suffix, unit in _UNITS.items():
        if field.endswith(suffix):
            return unit
    return ""


def label_of(field: str) -> str:
    """The words of a field's name without its unit: ``lowest_setting_stops`` reads "Lowest setting"."""
    if field in _LABELS:
        return _LABELS[field]
    for suffix in _UNITS:
        if field.endswith(suffix):
            field = field.removesuffix(suffix)
            break
    words = field.replace("_", " ")
    return words[:1].upper() + words[1:]


def setting_text(setting_stops: float) -> str:
    """A strobe's setting in stops from full, with the engraved fraction where it is a whole stop: "−6 (1/64)"."""
    if setting_stops == 0:
        return "0 (full)"
    text = _number(setting_stops)
    if setting_stops == int(setting_stops):
        text += f" (1/{2 ** int(-setting_stops)})"
    return text


def value_text(field: str, value: object) -> str:
    """A value as it reads on a sheet, without its unit: short times as 1/400, lists with commas, yes and no."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (list, tuple)):
        return ", ".join(str(part) for part in value)
    if field == "setting_stops" and isinstance(value, (int, float)):
        return setting_text(value)
    if isinstance(value, (int, float)):
        if field in _ENGRAVED_TIMES and 0 < value < 0.3:
            return f"1/{_number(1 / value, digits=4)}"
        return _number(value)
    return str(value)


def typed_back(field: str, value: object) -> str:
    """A stored value as a person would type it; typed in again it gives exactly the same value."""
    if isinstance(value, (list, tuple)):
        return ", ".join(str(part) for part in value)
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return str(value)
    if value == int(value):
        return str(int(value))
    if field in _ENGRAVED_TIMES and 0 < value < 0.3:
        below = round(1 / value)
        if 1 / below == value:
            return f"1/{below}"
    return repr(value)


def number_typed(text: str) -> str | float:
    """What a person typed for a number, ready for the sheet to judge: "1/400" and "2,5" are understood.

    Anything else comes back as typed; the sheet then says what it expects.
    """
    fraction = _FRACTION.match(text)
    if fraction:
        above, below = (float(part.replace(",", ".")) for part in fraction.groups())
        if below:
            return above / below
    plain = text.strip().replace("−", "-")
    if plain.count(",") == 1 and "." not in plain:
        plain = plain.replace(",", ".")
    return plain


def _number(value: float, digits: int = 6) -> str:
    rounded = float(f"{value:.{digits}g}")
    text = f"{rounded:.0f}" if rounded == int(rounded) and abs(rounded) < 1e15 else f"{rounded:.10g}"
    return text.replace("-", "−")
