"""How do numbers and arrays of numbers come into a pure function, and how do they leave it?

Every physical function takes one number or an array of them, refuses what cannot be with a sentence, and
answers a plain ``float`` when it was given plain numbers.

`N` types such a function: floats in, float out; anything with an array in it, `Numbers` out. A type checker
that is given a bare array beside a bare float wants the array declared as `Numbers`.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

__all__ = [
    "Array",
    "N",
    "Numbers",
    "above_zero",
    "at_least_zero",
    "finite",
    "part",
    "plain",
    "round_down",
    "round_up",
    "share",
    "whole",
    "within",
]

Array = NDArray[np.float64]
Numbers = float | NDArray[np.float64]
N = TypeVar("N", float, float | NDArray[np.float64])

# Wide enough for the dust of a dozen multiplications, far below one flash in a battery. Dust grows with the number, so
# beyond a thousand it is a part of it; a part any larger would lift a thousand million above itself.
ROUNDING_DUST = 1e-9
RELATIVE_DUST = 1e-12


def _checked(name: str, value: Numbers, good: Callable[[Array], NDArray[np.bool_]], wanted: str) -> Array:
    if isinstance(value, float) and good(value):  # type: ignore[arg-type]
        # Nearly all that is asked for is one number, and an array of one takes ten times as long to judge.
        return np.asarray(value, dtype=np.float64)
    numbers = np.asarray(value, dtype=np.float64)
    fine = np.asarray(good(numbers))
    if not fine.all():
        first_bad = float(np.atleast_1d(numbers)[~np.atleast_1d(fine)][0])
        raise ValueError(f"{name} is {first_bad:g}; give {wanted}.")
    return numbers


def finite(name: str, value: Numbers) -> Array:
    """The value as an array; raises ValueError when it is not a finite number."""
    return _checked(name, value, lambda x: abs(x) < np.inf, "a finite number")


def above_zero(name: str, value: Numbers) -> Array:
    """The value as an array; raises ValueError unless it is finite and above 0."""
    return _checked(name, value, lambda x: (x > 0) & (x < np.inf), "a number above 0")


def at_least_zero(name: str, value: Numbers) -> Array:
    """The value as an array; raises ValueError unless it is finite and 0 or more."""
    return _checked(name, value, lambda x: (x >= 0) & (x < np.inf), "0 or a number above it")


def share(name: str, value: Numbers) -> Array:
    """A share that something keeps: above 0, at most 1. Raises ValueError otherwise."""
    return _checked(name, value, lambda x: (x > 0) & (x <= 1), "a share above 0 and at most 1 (0.8 for 80 %)")


def part(name: str, value: Numbers) -> Array:
    """A part of a whole, none and all included: 0 to 1. Raises ValueError otherwise."""
    return _checked(name, value, lambda x: (x >= 0) & (x <= 1), "a part from 0 to 1 (0.1 for 10 %)")


def within(name: str, value: Numbers, low: float, high: float) -> Array:
    """The value as an array; raises ValueError unless it lies in ``[low, high]``."""
    return _checked(name, value, lambda x: (x >= low) & (x <= high), f"a number from {low:g} to {high:g}")


def whole(name: str, value: int, at_least: int = 0) -> int:
    """A count of things. Raises ValueError when it is not whole or below ``at_least``."""
    if isinstance(value, bool) or not float(value).is_integer() or value < at_least:
        raise ValueError(f"{name} is {value}; give a whole number, {at_least} or more.")
    return int(value)


def plain(values: Array | np.float64) -> N:  # type: ignore[type-var]
    """A float for a single number, the array itself for an array."""
    array = np.asarray(values)
    return float(array) if array.ndim == 0 else array  # type: ignore[return-value]


def round_down(values: Array | np.float64 | float) -> Array:
    """The whole number below, with floating-point dust swept first: 575.9999999999 counts as 576."""
    dust = np.maximum(ROUNDING_DUST, RELATIVE_DUST * np.abs(values))
    return np.asarray(np.floor(values + dust))


def round_up(values: Array | np.float64 | float) -> Array:
    """The whole number above, with floating-point dust swept first: 3.0000000000001 counts as 3."""
    return np.asarray(-round_down(-values))
