"""The lock of one unit: whoever changes a unit holds it until the transaction ends."""

from __future__ import annotations

from gear.errors import Gone
from gear.inventory.models import Unit
from gear.inventory.rules import tag_to_find

__all__ = ["locked_unit"]


def locked_unit(tag: str) -> Unit:
    """The unit with this tag as it stands now, with its gear type and case. Raises `Gone`."""
    units = Unit.objects.select_related("gear_type", "case").select_for_update(of=("self",), no_key=True)
    unit = units.filter(tag=tag_to_find(tag)).first()
    if unit is None:
        raise Gone(f"There is no unit {tag[:20]}.")
    return unit
