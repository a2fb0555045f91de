"""What the published schema says of the key."""

from __future__ import annotations

from typing import Any

from studio.once.asked import LONGEST_KEY

__all__ = ["with_the_key"]

_CHANGING = {"post", "put", "patch", "delete"}
_KEY = {
    "in": "header",
    "name": "Idempotency-Key",
    "required": False,
    "schema": {"type": "string", "minLength": 1, "maxLength": LONGEST_KEY},
    "description": (
        "A text of your own, new for every change. The same request with the same key is done once and answered "
        "alike, for 90 days; another request with it is refused (422), and so is one while the first is being worked "
        "on (409)."
    ),
}


def with_the_key(result: dict[str, Any], **_: Any) -> dict[str, Any]:
    """Postprocessing hook of drf-spectacular: the header at every operation that changes something."""
    for operations in result["paths"].values():
        for method, operation in operations.items():
            if method in _CHANGING:
                operation.setdefault("parameters", []).append(_KEY)
    return result
