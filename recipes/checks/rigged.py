"""What hangs on each stand, and how heavy is it?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

from gear.specs import BoomSpec, SpecSheet, StandSpec, WeightSpec
from recipes.checks.setup import AssignedLight, Setup, Unit
from recipes.rig.boom import level_moment_kg_m

__all__ = ["Rig", "counterbalance", "front_moment_kg_m", "rear_m", "rigs"]

_MOST_WEIGHTS_TO_TRY = 12


@dataclass(frozen=True)
class Rig:
    """One stand with what hangs on it.

    ``load`` is what hangs at its top (boom excluded), as (tag, mass in kg); ``missing`` names the things whose mass
    nobody has entered. ``height_m`` is that of the head, or of the middle of the board. ``weights`` are the bags and
    counterweights assigned to it.
    """

    light: AssignedLight
    stand: Unit[StandSpec]
    boom: Unit[BoomSpec] | None
    load: tuple[tuple[str, float], ...]
    weights: tuple[Unit[WeightSpec], ...]
    height_m: float
    holds_board: bool
    missing: tuple[str, ...]

    @property
    def name(self) -> str:
        """How to speak of it: the light, or the board of the light."""
        return f"board of {self.light.plan.name}" if self.holds_board else self.light.plan.name

    @property
    def load_kg(self) -> float:
        """Mass at the top, boom excluded."""
        return sum(mass for _, mass in self.load)

    @property
    def stand_kg(self) -> float:
        """Mass of the stand itself; 0 when nobody has entered it, which is on the cautious side for tipping."""
        return self.stand.spec.mass_kg or 0.0

    @property
    def weights_kg(self) -> float:
        """Mass of all bags and counterweights."""
        return sum(weight.spec.mass_kg for weight in self.weights)


def rigs(setup: Setup) -> Iterator[Rig]:
    """Every stand with its load: that of each light, then that of its board."""
    for light in setup.lights:
        if light.stand is not None:
            things: list[Unit[SpecSheet] | None] = [
                *light.heads,
                light.modifier,
                light.adapter,
                light.receiver,
                *(battery.unit for battery in light.batteries[: len(light.heads)]),
            ]
            load, missing = _weighed(things)
            yield Rig(
                light,
                light.stand,
                light.boom,
                load,
                light.weights,
                light.plan.height_m,
                holds_board=False,
                missing=missing,
            )
        if light.board is not None and light.board_stand is not None:
            load, missing = _weighed([light.board])
            height_m = light.plan.bounce.height_m if light.plan.bounce else light.plan.height_m
            yield Rig(light, light.board_stand, None, load, (), height_m, holds_board=True, missing=missing)


def _weighed(things: list[Unit[SpecSheet] | None]) -> tuple[tuple[tuple[str, float], ...], tuple[str, ...]]:
    load, missing = [], []
    for thing in things:
        if thing is None:
            continue
        if thing.spec.mass_kg is None:
            missing.append(f"{thing.tag} ({thing.type_name})")
        else:
            load.append((thing.tag, thing.spec.mass_kg))
    return tuple(load), tuple(missing)


def rear_m(boom: BoomSpec, reach_m: float) -> float:
    """How much of the boom is behind its pivot when the head hangs ``reach_m`` out."""
    return max(0.0, boom.length_m - reach_m)


def front_moment_kg_m(head_kg: float, boom: BoomSpec, reach_m: float) -> float:
    """Moment of head and boom about the pivot, level, in kg·m."""
    return level_moment_kg_m(head_kg, reach_m, boom.mass_kg or 0.0, boom.length_m, rear_m(boom, reach_m))


def counterbalance(
    weights: tuple[Unit[WeightSpec], ...], needed_kg: float
) -> tuple[tuple[Unit[WeightSpec], ...], tuple[Unit[WeightSpec], ...]]:
    """Which weights go on the boom's rear end, so that they come nearest to ``needed_kg``; the others are bags."""
    heaviest = sorted(weights, key=lambda weight: -weight.spec.mass_kg)[:_MOST_WEIGHTS_TO_TRY]
    choices = [choice for count in range(len(heaviest) + 1) for choice in combinations(heaviest, count)]
    best = min(
        choices,
        key=lambda choice: (abs(sum(weight.spec.mass_kg for weight in choice) - needed_kg), len(choice)),
    )
    rest = tuple(weight for weight in weights if weight not in best)
    return best, rest
