"""What hangs on each stand, and how heavy is it?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

from gear.specs import BoardSpec, BoomSpec, ScrimSpec, SpecSheet, StandSpec, WeightSpec
from recipes.checks.setup import Setup, Unit
from recipes.rig.boom import level_moment_kg_m

__all__ = ["Rig", "Sail", "counterbalance", "front_moment_kg_m", "rear_m", "rigs"]

_MOST_WEIGHTS_TO_TRY = 12


@dataclass(frozen=True)
class Sail:
    """What catches the wind on a stand: its area and its drag coefficient."""

    area_m2: float
    drag: float


@dataclass(frozen=True)
class Rig:
    """One stand with what hangs on it.

    ``name`` is how to speak of it: the light, the board of the light, or the panel; ``of`` is the light or panel whose
    jobs it belongs to. ``load`` is what hangs at its top (boom excluded), as (tag, mass in kg); ``missing`` names the
    things whose mass nobody has entered. ``height_m`` is that of the head, or of the middle of the board. ``weights``
    are the bags and counterweights assigned to it, ``sail`` what catches the wind.
    """

    name: str
    of: str
    stand: Unit[StandSpec]
    boom: Unit[BoomSpec] | None
    load: tuple[tuple[str, float], ...]
    weights: tuple[Unit[WeightSpec], ...]
    height_m: float
    sail: Sail | None
    missing: tuple[str, ...]

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
    """Every stand with its load: that of each light and of its board, then those of the panels."""
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
            face = light.modifier.spec if light.modifier else None
            yield Rig(
                name=light.plan.name,
                of=light.plan.name,
                stand=light.stand,
                boom=light.boom,
                load=load,
                weights=light.weights,
                height_m=light.plan.height_m,
                sail=Sail(face.area_m2, face.drag_coefficient) if face else None,
                missing=missing,
            )
        if light.board is not None and light.board_stand is not None:
            load, missing = _weighed([light.board])
            height_m = light.plan.bounce.height_m if light.plan.bounce else light.plan.height_m
            yield Rig(
                name=f"board of {light.plan.name}",
                of=light.plan.name,
                stand=light.board_stand,
                boom=None,
                load=load,
                weights=(),
                height_m=height_m,
                sail=_sail(light.board.spec),
                missing=missing,
            )
    for panel in setup.panels:
        if panel.stand is not None:
            load, missing = _weighed([panel.unit])
            yield Rig(
                name=panel.plan.name,
                of=panel.plan.name,
                stand=panel.stand,
                boom=None,
                load=load,
                weights=panel.weights,
                height_m=panel.plan.height_m,
                sail=_sail(panel.unit.spec) if panel.unit else None,
                missing=missing,
            )


def _sail(flat: BoardSpec | ScrimSpec) -> Sail:
    return Sail(flat.width_m * flat.height_m, flat.drag_coefficient)


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
