"""What does a typed or scanned text name: a tag, a short code, what a label holds, or the address of a unit's page?"""

from __future__ import annotations

from urllib.parse import urlsplit

from django.urls import Resolver404, resolve

__all__ = ["SCHEME", "label_text", "mark_in"]

SCHEME = "FULLSTOP"
"""The word before the short code in a label. A name of our own, not a registered scheme."""

_LONGEST = 500


def label_text(code: str) -> str:
    """What the QR code of a label holds: ``FULLSTOP:K7M2PX``.

    Not the address of the page: a label stays on the gear for years, while the name or number under which the studio
    reaches its server changes; and fifteen capitals fit a symbol of 25 by 25 modules, so each module is larger.
    """
    return f"{SCHEME}:{code}"


def mark_in(text: str) -> str:
    """The tag or short code that a text names, in capitals; the text itself where it names neither in another way."""
    text = "".join(text.replace("\x00", "").split())[:_LONGEST]
    word, colon, rest = text.partition(":")
    if colon and word.upper() == SCHEME:
        return rest.upper()
    if "/" in text:
        return _tag_in_address(text) or text
    return text.upper()


def _tag_in_address(address: str) -> str:
    try:
        page = resolve(urlsplit(address).path)
    except (Resolver404, ValueError):
        return ""
    return str(page.kwargs["tag"]) if page.view_name == "inventory:unit" else ""
