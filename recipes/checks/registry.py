"""Every check, registered in one place, in the order in which a practitioner would ask.

To add a check: write one module here with ``EXPLANATION`` and ``check(setup, prediction)``, and add a line below.
One that needs what another has computed takes ``common`` too and stands in ``SHARING``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from itertools import groupby
from types import ModuleType

from recipes.checks import (
    air_travel,
    ambient_blur,
    batteries,
    boom_balance,
    cable_drop,
    camera_range,
    case_size,
    case_weight,
    ceiling,
    channels,
    charging,
    circuits,
    colour,
    companions,
    daylight,
    depth_of_field,
    distribution,
    flash_rate,
    flicker,
    framing,
    freeze,
    full_figure,
    generator,
    headroom,
    heat,
    lamp_heat,
    lens_fit,
    meter,
    placement,
    power_range,
    recycle,
    room_to_move,
    stand_height,
    stand_load,
    sun_on_mark,
    sync,
    tipping,
    unit_state,
    wind,
)
from recipes.checks.common import Common
from recipes.checks.explanation import Explanation
from recipes.checks.findings import SEVERITY, Finding, Status, worst
from recipes.checks.prediction import Prediction, predict_under
from recipes.checks.setup import Setup

__all__ = ["CHECKS", "Check", "Report", "explanation", "explanations", "run_checks"]


@dataclass(frozen=True)
class Check:
    """A registered check: its explanation, and the function that answers.

    The last argument is what this check has in common with others of the same readiness.
    """

    explanation: Explanation
    answer: Callable[[Setup, Prediction, Common], Iterable[Finding]]


SHARING = (full_figure, daylight, sun_on_mark, room_to_move)
"""The checks that take what they have in common; to the others it is not handed on."""


def _answer(module: ModuleType) -> Callable[[Setup, Prediction, Common], Iterable[Finding]]:
    def alone(setup: Setup, prediction: Prediction, _: Common) -> Iterable[Finding]:
        return module.check(setup, prediction)  # type: ignore[no-any-return]

    return module.check if module in SHARING else alone


CHECKS: tuple[Check, ...] = tuple(
    Check(module.EXPLANATION, _answer(module))
    for module in (
        power_range,
        placement,
        full_figure,
        daylight,
        sun_on_mark,
        headroom,
        camera_range,
        meter,
        sync,
        freeze,
        ambient_blur,
        recycle,
        heat,
        flicker,
        flash_rate,
        framing,
        lens_fit,
        depth_of_field,
        room_to_move,
        colour,
        batteries,
        charging,
        circuits,
        distribution,
        cable_drop,
        generator,
        stand_load,
        stand_height,
        boom_balance,
        tipping,
        ceiling,
        wind,
        lamp_heat,
        channels,
        unit_state,
        companions,
        air_travel,
        case_weight,
        case_size,
    )
)


@dataclass(frozen=True)
class Report:
    """All findings for one setup, most severe first, and the prediction they speak of."""

    findings: tuple[Finding, ...]
    prediction: Prediction

    @property
    def worst(self) -> Status:
        """The status that stands for them all."""
        return worst(self.findings)


def run_checks(setup: Setup) -> Report:
    """Every check's findings; inside one severity they keep the order of the registry."""
    common = Common(setup)
    prediction = predict_under(common.lighting)
    findings = [finding for check in CHECKS for finding in check.answer(setup, prediction, common)]
    return Report(tuple(sorted(findings, key=lambda f: SEVERITY.index(f.status))), prediction)


def explanation(name: str) -> Explanation:
    """How the check of that name works; raises KeyError."""
    return {check.explanation.name: check.explanation for check in CHECKS}[name]


def explanations() -> list[tuple[str, list[Explanation]]]:
    """Every check's explanation by family, in the order of the registry."""
    every = [check.explanation for check in CHECKS]
    return [(family, list(group)) for family, group in groupby(every, key=lambda e: e.family)]
