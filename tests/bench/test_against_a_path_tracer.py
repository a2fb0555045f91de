"""How much longer does a path tracer take to be as near to the truth as the calculation?

mitsuba 3.9 (W. Jakob et al.), variant scalar_rgb, as in tests/reference. The truth is its converged value. Its error
falls with the root of the samples, so the count at which its error equals the calculation's follows from the spread of
its runs; both are then timed in this run. Building the renderer's scene is not counted, lighting ours is.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import mitsuba
import numpy as np
import pytest

from recipes.light.scene import RoomBox, Scene, Source, illuminate
from tests.bench.test_calculation import LONG, best_of
from tests.reference.test_renderer import RUNS, a_direction, a_face, described_for, direction, rectangle, unit

RECEIVERS = 12 if LONG else 3
SAMPLES = 4096 if LONG else 512


def straight(chance: np.random.Generator) -> tuple[Scene, np.ndarray, np.ndarray, int]:
    lamp = Source("a", "flash", a_face(chance, np.zeros(3), np.array([0.0, 1.0, 0.0]), 1.2), 1000.0)
    points = np.stack(
        [
            chance.uniform(-1, 1, RECEIVERS),
            chance.uniform(0.5, 3, RECEIVERS),
            chance.uniform(-1, 1, RECEIVERS),
        ],
        axis=1,
    )
    return Scene((lamp,)), points, unit(-points + 0.3 * chance.normal(size=points.shape)), 0


def in_a_room(chance: np.random.Generator) -> tuple[Scene, np.ndarray, np.ndarray, int]:
    room = RoomBox(6.0, 8.0, 3.0, (3.0, 4.0), 0.2, 0.7, (0.5, 0.5, 0.5, 0.5))
    lamp_at = np.array([1.5, 2.0, 2.2])
    lamp = Source("a", "flash", rectangle(lamp_at, direction(lamp_at, [0.0, 0.0, 1.5]), 0.6, 0.9), 1000.0)
    points = np.stack(
        [chance.uniform(-1, 1, RECEIVERS), chance.uniform(-1, 1, RECEIVERS), np.full(RECEIVERS, 1.5)], axis=1
    )
    normals = unit([a_direction(chance) * [1, 1, 0.3] for _ in range(RECEIVERS)])
    return Scene((lamp,), room=room), points, normals, 40


@pytest.mark.parametrize("kind", [straight, in_a_room])
def test_a_path_tracer_at_the_same_error(kind: Callable, capsys):
    scene, points, normals, bounces = kind(np.random.default_rng(7))
    loaded = [
        mitsuba.load_dict(described_for(scene, point, normal, bounces, SAMPLES))
        for point, normal in zip(points, normals, strict=True)
    ]
    runs = np.array([[math.pi * traced(one, seed) for seed in range(RUNS)] for one in loaded])
    converged, core = runs.mean(axis=1), illuminate(scene, points, normals).flash_lxs
    lit = converged > 0.02 * converged.max()
    own_error = rms(core[lit] / converged[lit] - 1.0)
    noise_of_truth = rms(runs[lit].std(axis=1, ddof=1) / converged[lit]) / math.sqrt(RUNS)
    spread_of_a_sample = rms(runs[lit].std(axis=1, ddof=1) / converged[lit]) * math.sqrt(SAMPLES)
    # What the truth itself is unsure of is not the calculation's error.
    error = math.sqrt(max(own_error**2 - noise_of_truth**2, noise_of_truth**2))
    samples = math.ceil((spread_of_a_sample / error) ** 2)
    core_s = best_of(5, lambda: illuminate(scene, points, normals))
    tracer_s = best_of(1, lambda: [traced(one, 0) for one in loaded]) * samples / SAMPLES
    assert np.all(core[lit] > 0)
    with capsys.disabled():
        print(
            f"\n  {kind.__name__}, {lit.sum()} receivers: error {error:.4f} (truth known to {noise_of_truth:.4f}); "
            f"the tracer needs {samples} samples for it and {tracer_s / core_s:.1f} times the time"
        )


def rms(values: np.ndarray) -> float:
    return float(np.sqrt(np.mean(np.square(values))))


def traced(loaded: object, seed: int) -> float:
    return float(np.array(mitsuba.render(loaded, seed=seed))[0, 0, 0])
