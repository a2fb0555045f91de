"""Put a changed module in the place of the one that is loaded, without loading anything again.

Everybody who has imported a function holds the function itself, so its code is exchanged inside it. Constants are set
wherever the same object stands under the same name.
"""

from __future__ import annotations

import sys
from functools import cached_property
from types import FunctionType, ModuleType

import numpy as np

__all__ = ["put_in_place"]


def put_in_place(module: ModuleType, source: str) -> None:
    """Raises whatever the changed module raises when it is loaded, and ValueError where code cannot be exchanged."""
    changed: dict[str, object] = {
        "__name__": module.__name__,
        "__file__": module.__file__,
        "__builtins__": __builtins__,
    }
    # A dataclass looks its module up by name.
    exec(compile(source, str(module.__file__), "exec"), changed)
    for name, new in changed.items():
        old = vars(module).get(name)
        if name.startswith("__") or old is None:
            continue
        if isinstance(old, type) and isinstance(new, type):
            if old.__module__ == module.__name__:
                _exchange_class(old, new)
        elif _function_in(old) is not None:
            if getattr(old, "__module__", module.__name__) == module.__name__:
                _exchange(old, new)
        elif isinstance(old, np.ndarray) and isinstance(new, np.ndarray) and old.shape == new.shape:
            old[...] = new
        elif not isinstance(new, ModuleType):
            for other in list(sys.modules.values()):
                if getattr(other, "__dict__", {}).get(name) is old:
                    setattr(other, name, new)


def _exchange_class(old: type, new: type) -> None:
    for name, value in list(vars(new).items()):
        before = vars(old).get(name)
        if _function_in(before) is not None:
            _exchange(before, value)
        elif isinstance(value, (int, float, str, tuple)) and not name.startswith("__"):
            setattr(old, name, value)


def _function_in(thing: object) -> FunctionType | None:
    """The function itself, or that of a property, a class method, or one that keeps its answers."""
    if isinstance(thing, property):
        thing = thing.fget
    if isinstance(thing, cached_property):
        thing = thing.func
    thing = getattr(thing, "__func__", thing)
    thing = getattr(thing, "__wrapped__", thing)
    return thing if isinstance(thing, FunctionType) else None


def _exchange(old: object, new: object) -> None:
    mine, other = _function_in(old), _function_in(new)
    if mine is None or other is None:
        return
    mine.__code__ = other.__code__
    mine.__defaults__, mine.__kwdefaults__ = other.__defaults__, other.__kwdefaults__
