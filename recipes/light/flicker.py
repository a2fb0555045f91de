"""Does a light that flickers show in the picture?

A light on the mains pulses at twice the line frequency; a dimmed lamp may be switched on and off (pulse width). A
shutter that is open for a whole number of periods takes the same light in every frame; any other takes more or less
by the luck of the moment, and a rolling readout shows it as bands. What counts is the true shutter time: an engraved
1/60 may be 1/64.

Equations: for ``1 + m sin(2 pi f t)`` the mean over T varies by ``r = m |sinc(f T)|``; the frame-to-frame range is
``log2((1 + r) / (1 - r))``. A pulse that is short against its period swings further up than down, so among steady
lights the darkest and the brightest frame count each by themselves. Derivations, held to quadrature in the tests.
"""

from __future__ import annotations

import math

import numpy as np

from recipes.quantity import N, above_zero, at_least_zero, part, plain, share

__all__ = [
    "bands_across_frame",
    "flicker_free_times_s",
    "mains_flicker_hz",
    "nearest_flicker_free_time_s",
    "peak_to_peak_stops",
    "pulse_width_extremes",
    "pulse_width_range_stops",
    "range_among_steady_stops",
    "sine_range_stops",
    "sine_residual",
]


def mains_flicker_hz(line_hz: N) -> N:
    """The frequency at which a lamp on the mains pulses: twice the line's (100 Hz on 50, 120 on 60)."""
    return plain(2 * above_zero("line_hz", line_hz))


def sine_residual(flicker_hz: N, shutter_s: N, modulation: N = 1.0) -> N:
    """By which part the light of a frame may lie above or below the mean, 0 to ``modulation``.

    Parameters: frequency of the light itself, true shutter time, modulation ``m`` of ``1 + m sin`` (1 goes to dark).
    """
    turns = above_zero("flicker_hz", flicker_hz) * above_zero("shutter_s", shutter_s)
    return plain(part("modulation", modulation) * np.abs(np.sinc(turns)))


def peak_to_peak_stops(residual: N) -> N:
    """Darkest to brightest frame in stops, from the residual: ``log2((1 + r) / (1 - r))``; infinite at 1."""
    r = part("residual", residual)
    with np.errstate(divide="ignore"):
        return plain(np.log2(1 + r) - np.log2(1 - r))


def sine_range_stops(flicker_hz: N, shutter_s: N, modulation: N = 1.0) -> N:
    """Darkest to brightest frame in stops under a light that pulses like a sine."""
    return plain(np.asarray(peak_to_peak_stops(sine_residual(flicker_hz, shutter_s, modulation))))


def pulse_width_range_stops(flicker_hz: N, shutter_s: N, duty: N, off_level: N = 0.0) -> N:
    """Darkest to brightest frame in stops under a light that is switched on and off.

    Parameters: switching frequency, true shutter time, ``duty`` the part of a period that it is on, ``off_level``
    what remains when off, as a part of the full light. Infinite when a frame may fall wholly into the dark.
    Equation: of ``f T = k + r`` periods, k always hold one pulse each; the rest holds between
    ``max(0, r - (1 - D))`` and ``min(r, D)`` of one.
    """
    least, most = pulse_width_extremes(flicker_hz, shutter_s, duty, off_level)
    with np.errstate(divide="ignore"):
        return plain(np.log2(np.asarray(most)) - np.log2(np.asarray(least)))


def pulse_width_extremes(flicker_hz: N, shutter_s: N, duty: N, off_level: N = 0.0) -> tuple[N, N]:
    """Darkest and brightest frame of the same light, each over the mean one."""
    turns = above_zero("flicker_hz", flicker_hz) * above_zero("shutter_s", shutter_s)
    on, off = share("duty", duty), part("off_level", off_level)
    whole_turns = np.floor(turns)
    rest = turns - whole_turns
    most = whole_turns * on + np.minimum(rest, on)
    least = whole_turns * on + np.maximum(0.0, rest - (1 - on))
    mean = off * turns + (1 - off) * on * turns
    return (
        plain((off * turns + (1 - off) * least) / mean),
        plain((off * turns + (1 - off) * most) / mean),
    )


def range_among_steady_stops(least: N, most: N, share_of_light: N) -> N:
    """Darkest to brightest frame in stops where a light that swings from ``least`` to ``most`` of its mean gives this
    share of the mean light and the rest is steady; infinite where a frame may be wholly dark.

    Equation: ``log2((1 + s (most - 1)) / (1 + s (least - 1)))``.
    """
    of_all = part("share_of_light", share_of_light)
    darkest = 1 + of_all * (part("least", least) - 1)
    with np.errstate(divide="ignore"):
        return plain(np.log2(1 + of_all * (above_zero("most", most) - 1)) - np.log2(darkest))


def flicker_free_times_s(
    flicker_hz: float, shortest_s: float = 0.0, longest_s: float = 1.0
) -> tuple[float, ...]:
    """The shutter times of a whole number of periods in a range, shortest first; for a sine and a pulse alike."""
    frequency = float(above_zero("flicker_hz", flicker_hz))
    first = max(1, math.ceil(float(at_least_zero("shortest_s", shortest_s)) * frequency - 1e-9))
    last = math.floor(float(above_zero("longest_s", longest_s)) * frequency + 1e-9)
    return tuple(periods / frequency for periods in range(first, last + 1))


def nearest_flicker_free_time_s(flicker_hz: float, shutter_s: float) -> float:
    """The shutter time of a whole number of periods, at least one, nearest in stops to the one given."""
    turns = float(above_zero("flicker_hz", flicker_hz) * above_zero("shutter_s", shutter_s))
    fewer = max(1, math.floor(turns))
    more = fewer + 1
    nearest = fewer if turns <= math.sqrt(fewer * more) else more
    return nearest / flicker_hz


def bands_across_frame(flicker_hz: N, readout_s: N) -> N:
    """How many bright bands a rolling readout shows from top to bottom: ``f * T_readout``.

    They are as strong as the frame-to-frame range at the same shutter time.
    """
    return plain(above_zero("flicker_hz", flicker_hz) * at_least_zero("readout_s", readout_s))
