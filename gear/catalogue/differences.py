"""What stands differently in two states of the same thing, and the refusal of an edit that started from an old one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from gear.errors import StaleEdit

__all__ = ["ChangedMeanwhile", "Difference", "differences"]


@dataclass(frozen=True)
class Difference:
    """One field whose saved value is not the one typed."""

    field: str
    saved: str
    typed: str


class ChangedMeanwhile(StaleEdit):
    """Somebody saved in between. ``differences`` compare what is saved now with what was typed; ``version`` is the
    saved one, so that saving again overwrites knowingly.
    """

    def __init__(self, what: str, found: tuple[Difference, ...], version: int) -> None:
        self.differences = found
        self.version = version
        listed = "; ".join(
            f"{d.field} is now {d.saved or 'empty'}, yours is {d.typed or 'empty'}" for d in found
        )
        super().__init__(
            f"Somebody else saved {what} after you opened it, so nothing was overwritten. "
            + (f"It differs from yours in: {listed}." if found else "What they saved is what you typed."),
            ways_out=("Take over from the saved state what you want to keep, then save again.",),
        )


def differences(saved: Mapping[str, object], typed: Mapping[str, object]) -> tuple[Difference, ...]:
    """Field by field, by name, those of ``typed`` whose saved value is another; nested mappings by dotted path."""
    found: list[Difference] = []
    for field in dict.fromkeys([*saved, *typed]):
        before, after = saved.get(field), typed.get(field)
        if before == after or (before in (None, "") and after in (None, "")):
            continue
        if isinstance(before, Mapping) and isinstance(after, Mapping):
            found += [
                Difference(f"{field}.{inner.field}", inner.saved, inner.typed)
                for inner in differences(before, after)
            ]
        else:
            found.append(Difference(field, _short(before), _short(after)))
    return tuple(found)


def _short(value: object) -> str:
    text = "" if value is None else str(value)
    return text if len(text) <= 80 else text[:79] + "…"
