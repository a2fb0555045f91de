"""What the published schema says of refusals that no view states, because they come before any view."""

from __future__ import annotations

from typing import Any

__all__ = ["with_refusals"]

_SHAPE = {"$ref": "#/components/schemas/Refusal"}
_ALWAYS = {
    "403": "Nobody is signed in, or this person may not.",
    "404": "There is no such thing.",
    "422": "Something of what was asked cannot be read.",
}
_WITH_A_BODY = {
    "400": "The body is no JSON.",
    "413": "The body is too large.",
    "415": "The body is of another kind than application/json.",
}


def with_refusals(result: dict[str, Any], **_: Any) -> dict[str, Any]:
    """Postprocessing hook of drf-spectacular: the refusals of the framework at every operation, in the one shape."""
    for operations in result["paths"].values():
        for operation in operations.values():
            said = operation["responses"]
            for status, words in {**_ALWAYS, **(_WITH_A_BODY if "requestBody" in operation else {})}.items():
                said.setdefault(
                    status, {"description": words, "content": {"application/json": {"schema": _SHAPE}}}
                )
    return result
