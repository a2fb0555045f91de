"""What the pages of kits ask."""

from __future__ import annotations

from typing import Any

from django import forms

from gear.kits.entry import KitEntry, read_typed
from gear.kits.models import Kit
from gear.kits.sheet import read_sheet, write_sheet

__all__ = ["KitForm"]


class KitForm(forms.Form):
    """A kit, one part a line."""

    use_required_attribute = False

    name = forms.CharField(max_length=120, help_text="For example Portrait kit, or Grip bag.")
    parts = forms.CharField(
        max_length=10_000,
        widget=forms.Textarea(attrs={"rows": 10, "spellcheck": "false"}),
        help_text="One part a line: K-03, or 8 x Sandbag, or the name of another kit. "
        "One of these: K-03 | K-04. What it is for: Key head: K-03 | K-04.",
    )
    notes = forms.CharField(required=False, max_length=10_000, widget=forms.Textarea(attrs={"rows": 3}))

    def __init__(self, data: Any = None, kit: Kit | None = None) -> None:
        initial = {"name": kit.name, "parts": write_sheet(kit), "notes": kit.notes} if kit else {}
        super().__init__(data, initial=initial)

    def entry(self) -> KitEntry:
        """What was typed, judged. Raises `Invalid`."""
        said = {name: str(self.data.get(name, "")).replace("\x00", "") for name in self.fields}
        return read_typed(KitEntry, {**said, "parts": read_sheet(said["parts"])}, "The kit")
