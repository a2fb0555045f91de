"""Does the modifier go on the head, and the head on the stand, directly or through an adapter that is there?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Generic, Literal, Protocol, TypeVar

__all__ = ["AdapterSides", "MountFit", "mount_fit", "same_mount"]


class AdapterSides(Protocol):
    """Anything that goes on one mount and offers another."""

    @property
    def head_side(self) -> str: ...
    @property
    def modifier_side(self) -> str: ...


A = TypeVar("A", bound=AdapterSides)


def same_mount(one: str, other: str) -> bool:
    """Are two mount names the same, however they were typed? Case, spaces and dashes do not count."""

    def bare(name: str) -> str:
        return "".join(letter for letter in name.casefold() if letter.isalnum())

    return bool(bare(one)) and bare(one) == bare(other)


@dataclass(frozen=True)
class MountFit(Generic[A]):
    """How a thing goes on: directly, through ``adapter``, or not with what is there."""

    how: Literal["directly", "adapter", "not at all"]
    adapter: A | None = None

    @property
    def fits(self) -> bool:
        return self.how != "not at all"


def mount_fit(head_mount: str, modifier_mount: str, adapters: Sequence[A] = ()) -> MountFit[A]:
    """Does the modifier fit the head? One adapter at most: two in a row sag and nobody packs them."""
    if same_mount(head_mount, modifier_mount):
        return MountFit("directly")
    for adapter in adapters:
        if same_mount(adapter.head_side, head_mount) and same_mount(adapter.modifier_side, modifier_mount):
            return MountFit("adapter", adapter)
    return MountFit("not at all")
