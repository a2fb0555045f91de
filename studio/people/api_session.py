"""A signed-in browser at the API."""

from __future__ import annotations

from drf_spectacular.authentication import SessionScheme
from rest_framework.authentication import SessionAuthentication
from rest_framework.request import Request

__all__ = ["BrowserSession"]


class BrowserSession(SessionAuthentication):
    """The session of the pages. Looking for the token that goes with it leaves the body to be read by the view.

    The framework looks for it in the body as the API would parse it, which reads a form off the stream, and says of a
    body that is no JSON that nobody is signed in.
    """

    def enforce_csrf(self, request: Request) -> None:
        """Raises `PermissionDenied` without the token."""
        asked = request._request
        _ = asked.body  # kept for whoever reads it next
        super().enforce_csrf(asked)


class _Scheme(SessionScheme):
    """It stands in the published schema as the session that it is."""

    target_class = BrowserSession
