"""How a shoot is found, and how it is answered with, over the API."""

from __future__ import annotations

from typing import Any

from rest_framework.request import Request
from rest_framework.response import Response

from gear.errors import Gone
from gear.etag import etag
from studio.shoots.api_shapes import ShootSerializer
from studio.shoots.models import Shoot
from studio.shoots.queries import shoot_whole

__all__ = ["answer", "shoot_numbered", "version_said"]


def answer(pk: int, status: int = 200) -> Response:
    """A shoot whole, with its version as ETag."""
    shoot = shoot_whole(pk)
    return Response(ShootSerializer(shoot).data, status=status, headers=etag(shoot.version))


def version_said(request: Request, asked: dict[str, Any]) -> int | None:
    """The version that a change starts from: in the header If-Match, else in the body; None when nobody said."""
    tag = request.headers.get("If-Match", "").strip().strip('"')
    if tag.isascii() and tag.isdigit():
        return int(tag)
    version: int | None = asked.get("version")
    return version


def shoot_numbered(pk: int) -> Shoot:
    """The shoot of that number, with its booking. Raises `Gone`."""
    found = Shoot.objects.select_related("booking").filter(pk=pk).first()
    if found is None:
        raise Gone(f"There is no shoot {pk}.")
    return found
