"""What exactly was asked under a key, so that a repetition can be told from another request."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass

from django.http import HttpRequest

from gear.errors import FieldProblem, Invalid

__all__ = ["LONGEST_KEY", "Asked", "asked_in"]

LONGEST_KEY = 255


@dataclass(frozen=True)
class Asked:
    """One request under a key; ``asked_hash`` is the same for the same request, however it is spaced."""

    person_id: int
    key: str
    method: str
    path: str
    asked_hash: str


def asked_in(request: HttpRequest, person_id: int) -> Asked:
    """What a request with the header ``Idempotency-Key`` asks. Raises `Invalid` for a key that is none."""
    path = request.get_full_path()
    parts = (
        (request.method or "").encode(),
        path.encode(),
        request.headers.get("If-Match", "").encode(),
        _body(request),
    )
    return Asked(
        person_id=person_id,
        key=_key(request.headers["Idempotency-Key"]),
        method=request.method or "",
        path=path,
        asked_hash=hashlib.sha256(b"\x00".join(parts)).hexdigest(),
    )


def _key(text: str) -> str:
    key = text.strip()
    if len(key) >= 2 and key[0] == key[-1] == '"':
        key = key[1:-1]
    if not key or len(key) > LONGEST_KEY or not key.isascii() or not key.isprintable():
        raise Invalid(
            "The header Idempotency-Key holds no key, and nothing was done. Send a text of your own that is new for "
            "every change, for example a random UUID, and the same one when you repeat that change.",
            (FieldProblem("Idempotency-Key", f"1 to {LONGEST_KEY} printable ASCII characters"),),
        )
    return key


def _body(request: HttpRequest) -> bytes:
    """The body without what may differ between two sendings of the same: spaces and order."""
    if request.content_type == "application/json":
        try:
            return json.dumps(json.loads(request.body), sort_keys=True, separators=(",", ":")).encode()
        except (ValueError, RecursionError):
            pass  # not JSON after all: the view says so
    return request.body
