"""Which version of a thing does a change over the API start from? The header ``If-Match`` says so (RFC 9110, RFC 6585).

A read answers with the version as ``ETag``. A PUT or PATCH brings it back, so that nobody overwrites what somebody
else saved in between; the service compares it under its lock.
"""

from __future__ import annotations

import re
from typing import Any

from rest_framework.request import Request

from gear.errors import FieldProblem, Invalid, Refusal

__all__ = ["NoVersionSaid", "changed_from", "etag", "without_echo"]

_TAG = re.compile(r'(W/)?"([^"]*)"')


class NoVersionSaid(Refusal):
    """A change that does not say what it starts from."""

    status = 428
    code = "say-which-version"


def etag(version: int) -> dict[str, str]:
    """The header of an answer that shows this version."""
    return {"ETag": f'"{version}"'}


def changed_from(request: Request, current: int) -> int:
    """The version that a PUT or PATCH starts from: ``current``, or another number when it starts from an older one.

    Raises `NoVersionSaid` without ``If-Match``, `Invalid` when the body names another ``version`` than the header.
    """
    said = request.headers.get("If-Match", "").strip()
    if not said:
        raise NoVersionSaid(
            "Say which version this change starts from: read the thing first, and send the ETag of that answer back in "
            "the header If-Match. Nothing was changed.",
            ways_out=("Read it again and send the change with its ETag as If-Match.",),
        )
    if said == "*":
        return current
    strong = [text for weak, text in _TAG.findall(said) if not weak]
    tags = {int(text) for text in strong if text.isascii() and text.isdigit() and len(text) < 10}
    start = current if current in tags else max(tags, default=0)
    in_body = request.data.get("version", start) if isinstance(request.data, dict) else start
    if in_body != start:
        raise Invalid(
            f"The header If-Match names version {start}, the body {str(in_body)[:20]}. Send the change with the "
            f"ETag of the answer that it was made from.",
            (FieldProblem("version", "the version that If-Match names, or nothing"),),
        )
    return start


def without_echo(
    body: dict[str, Any], shown: dict[str, Any], writable: frozenset[str], version: int
) -> dict[str, Any]:
    """What a program read may be sent back whole: fields that nobody writes are left out where they say what is so.

    One that says something else stays, and is refused by its name; unless the change starts from an older ``version``,
    which the service will say.
    """
    old = shown["version"] != version
    return {
        name: value
        for name, value in body.items()
        if name != "version" and (name in writable or name not in shown or not (old or shown[name] == value))
    }
