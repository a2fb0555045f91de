"""What else makes the same light, and what does it cost?

For a light whose head is too weak, too strong, unfit or taken: put each candidate in its place, leave everything
else as it is, and read what the checks of power say. Candidates of one gear type differ only in their tag, so each
type is computed once.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from gear.specs import ContinuousSpec, StrobeSpec
from recipes.checks.exposure import meter_of
from recipes.checks.heads import Missing, head_output
from recipes.checks.lighting import Lighting, light_up
from recipes.checks.prediction import LightSetting, predict, predict_under
from recipes.checks.setup import AssignedLight, Setup, Unit
from recipes.checks.verdict import ROUNDING_STOPS

__all__ = ["Substitute", "substitutes", "with_heads"]

COMFORT_STOPS = 0.5
"""What one likes to have to spare: less is tight, much more is carried for nothing. Common practice, no source."""

Head = Unit[StrobeSpec] | Unit[ContinuousSpec]


@dataclass(frozen=True)
class Substitute:
    """One candidate in the place of a light's heads.

    ``margin_stops`` is the smaller of what is left above and below the wanted setting; ``gain_stops`` how much more
    light it can give than what is assigned now, None when nothing is assigned; ``mass_kg`` the added mass, None when
    a sheet does not say.
    """

    unit: Head
    wanted_stops: float
    margin_stops: float
    gain_stops: float | None
    mass_kg: float | None
    estimated: bool


def substitutes(setup: Setup, light: str, candidates: Iterable[Head]) -> tuple[Substitute, ...]:
    """Candidates that can be set to what the light needs, the nearest with something to spare first; one a gear type.

    Raises KeyError for a light that the recipe does not have.
    """
    now = predict(setup).light(light)
    current = _assigned(setup, light).heads
    trial = _Trial(setup, light)
    found: dict[str, Substitute] = {}
    for unit in candidates:
        if unit.type_slug in found or not unit.fit_for_use:
            continue
        setting = trial.setting((unit,) * max(len(current), 1))
        if setting.wanted_stops is None:
            continue
        margin = min(-setting.wanted_stops, setting.wanted_stops - setting.lowest_stops)
        found[unit.type_slug] = Substitute(
            unit=unit,
            wanted_stops=setting.wanted_stops,
            margin_stops=margin,
            gain_stops=None if now.wanted_stops is None else now.wanted_stops - setting.wanted_stops,
            mass_kg=_added_mass(unit, current),
            estimated=setting.estimated,
        )
    fitting = [one for one in found.values() if one.margin_stops >= -ROUNDING_STOPS]
    return tuple(
        sorted(
            fitting, key=lambda one: (one.margin_stops < COMFORT_STOPS, abs(one.margin_stops - COMFORT_STOPS))
        )
    )


def with_heads(setup: Setup, light: str, heads: tuple[Head, ...]) -> Setup:
    """The same setup with other heads on one light. Raises KeyError."""
    _assigned(setup, light)
    return replace(
        setup,
        lights=tuple(replace(one, heads=heads) if one.plan.name == light else one for one in setup.lights),
    )


class _Trial:
    """Tries heads on one light. Behind one modifier all of them light the same face, so only the flux differs and the
    room need not be lit again."""

    def __init__(self, setup: Setup, light: str) -> None:
        self.setup, self.light, self.meter = setup, light, meter_of(setup)
        self.lit: tuple[Lighting, float] | None = None

    def setting(self, heads: tuple[Head, ...]) -> LightSetting:
        """How the light would be set with these heads."""
        setup = with_heads(self.setup, self.light, heads)
        assigned = _assigned(setup, self.light)
        try:
            output = head_output(assigned, self.meter)
        except Missing:
            return predict(setup).light(self.light)
        if self.lit is None or assigned.modifier is None:
            self.lit = light_up(setup), output.full_flux
        lighting, flux = self.lit
        lighting = lighting.with_output(self.light, output, output.full_flux / flux)
        return predict_under(lighting).light(self.light)


def _assigned(setup: Setup, light: str) -> AssignedLight:
    return {one.plan.name: one for one in setup.lights}[light]


def _added_mass(unit: Head, current: tuple[Head, ...]) -> float | None:
    masses = [head.spec.mass_kg for head in current]
    if unit.spec.mass_kg is None or not masses or None in masses:
        return None
    return unit.spec.mass_kg * len(masses) - sum(mass for mass in masses if mass is not None)
