"""What is borrowed. Nothing here writes."""

from __future__ import annotations

from django.db.models import QuerySet

from gear.errors import Gone
from gear.subhire.models import SubHire

__all__ = ["open_sub_hires", "sub_hire_numbered", "sub_hires_of_type"]


def open_sub_hires() -> QuerySet[SubHire]:
    """What is lent to us or will be, by the day it must be back."""
    return (
        SubHire.objects.filter(ended_at=None)
        .select_related("unit__gear_type", "agreed_by")
        .order_by("back_by", "id")
    )


def sub_hire_numbered(pk: int) -> SubHire:
    """One agreement. Raises `Gone`."""
    found = SubHire.objects.select_related("unit__gear_type", "agreed_by").filter(pk=pk).first()
    if found is None:
        raise Gone(f"There is no sub-hire {pk}. Look for it under Gear, Sub-hire.")
    return found


def sub_hires_of_type(gear_type_id: int) -> QuerySet[SubHire]:
    """Earlier and present agreements for one gear type, the latest first: whom to ask, and what it cost."""
    return SubHire.objects.filter(unit__gear_type=gear_type_id).order_by("-agreed_at")
