"""Pictures of damage: what counts as one, and how it is kept."""

from __future__ import annotations

from gear.errors import FieldProblem, Gone, Invalid
from gear.inventory.models import CareEntry, CarePhoto

__all__ = ["LARGEST", "keep_photo", "kind_of_picture", "photo_of", "with_photo_ids"]

LARGEST = 5 * 2**20


def kind_of_picture(data: bytes) -> str:
    """The media type by the first bytes: JPEG (ISO/IEC 10918-1: FF D8 FF), PNG (ISO/IEC 15948: its signature), WebP
    (RFC 9649: RIFF....WEBP). Raises `Invalid` for anything else, for nothing, and for more than `LARGEST` bytes."""
    if len(data) > LARGEST:
        raise Invalid(
            f"The picture has {len(data) / 2**20:.1f} MB; take a smaller one.",
            (FieldProblem("photo", f"at most {LARGEST // 2**20} MB"),),
        )
    if data.startswith(b"\xff\xd8\xff"):
        return "image/jpeg"
    if data.startswith(b"\x89PNG\r\n\x1a\n"):
        return "image/png"
    if data[:4] == b"RIFF" and data[8:12] == b"WEBP":
        return "image/webp"
    raise Invalid(
        "This is no picture that can be kept.", (FieldProblem("photo", "a JPEG, PNG or WebP picture"),)
    )


def keep_photo(entry: CareEntry, data: bytes) -> CarePhoto:
    """Keep a picture with a line. Raises `Invalid`."""
    return CarePhoto.objects.create(entry=entry, kind=kind_of_picture(data), data=data)


def photo_of(tag: str, pk: int) -> CarePhoto:
    """One picture of this unit. Raises `Gone`."""
    found = CarePhoto.objects.filter(pk=pk, entry__unit__tag=tag).first()
    if found is None:
        raise Gone("There is no such picture.")
    return found


def with_photo_ids(entries: list[CareEntry]) -> list[CareEntry]:
    """The entries, each with ``photo_ids``; the pictures themselves are not read."""
    found: dict[int, list[int]] = {}
    for entry_id, pk in CarePhoto.objects.filter(entry__in=entries).values_list("entry_id", "pk"):
        found.setdefault(entry_id, []).append(pk)
    for entry in entries:
        entry.photo_ids = found.get(entry.pk, [])  # type: ignore[attr-defined]
    return entries
