"""What can be done with kits; each is one transaction."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from gear.booking.locks import locked
from gear.booking.returns import return_units
from gear.booking.rules import now
from gear.booking.transactions import in_one_transaction
from gear.errors import Gone
from gear.kits.models import KitPromise
from gear.kits.promising import promise_kit, release_kit, take_over_contents
from gear.kits.saving import remove_kit, save_kit

__all__ = [
    "promise_kit",
    "release_kit",
    "remove_kit",
    "save_kit",
    "take_back_parts",
    "take_over_contents",
]


@in_one_transaction
def take_back_parts(promise: KitPromise, tags: Collection[str], by: Any) -> None:
    """These units of a kit are back: each is free after its own turnaround; the kit is whole again when all are.

    Raises `Gone` for a tag that the kit did not bring.
    """
    booking = locked(promise.booking)
    wanted = {tag.strip().upper() for tag in tags}
    taken = {t.unit.tag: t for t in promise.taken.select_related("unit") if t.unit}
    strange = sorted(wanted - set(taken))
    if strange:
        raise Gone(f"{strange[0][:20]} did not leave with {promise.name}. Look at the label again.")
    at = now()
    return_units(booking, [taken[tag].unit_id for tag in wanted], at)
    for tag in wanted:
        if taken[tag].back_at is None:
            taken[tag].back_at = at
            taken[tag].save(update_fields=["back_at"])
