"""Which strobes fire, at which setting, and how: with one short flash, or with a long burst of high-speed sync?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from gear.specs import StrobeSpec
from recipes.checks.prediction import Prediction
from recipes.checks.setup import AssignedLight, Setup
from recipes.light.pulse import T01Estimate
from recipes.light.strobe_tables import t01_at

__all__ = ["FiredStrobe", "fired_strobes"]


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
    def t01(self) -> T01Estimate | None:
        """How long it burns at its setting; None where the setting or a duration there is not known."""
        if self.setting_stops is None:
            return None
        return t01_at(self.spec.durations, self.setting_stops, self.spec.flash_is_cut)

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
