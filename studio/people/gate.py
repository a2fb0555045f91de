"""The one place where the policy is enforced: for pages by middleware, for the API by permission class."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from rest_framework.permissions import BasePermission
from rest_framework.request import Request

from gear.access import declared_access
from gear.errors import NotAllowed
from studio.people.policy import may, reach

__all__ = ["DeclaredAccess", "PolicyGate", "require_own"]


class PolicyGate:
    """Closes every view that declares nothing, and asks for sign-in before a declared one."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(
        self, request: HttpRequest, view: Callable[..., Any], args: Any, kwargs: Any
    ) -> HttpResponse | None:
        if getattr(view, "cls", None) is not None and hasattr(view.cls, "permission_classes"):
            return None  # an API view: DRF authenticates first, then DeclaredAccess decides
        declared = declared_access(view, request.method or "GET")
        if declared is None:
            raise PermissionDenied("this page declares no access")
        if declared[0] == "public":
            return None
        if not request.user.is_authenticated:
            return redirect_to_login(request.get_full_path(), settings.LOGIN_URL)
        if reach(request.user, *declared) == "none":
            raise PermissionDenied(_refusal(request.user, *declared))
        return None


class DeclaredAccess(BasePermission):
    """The same table for API views."""

    def has_permission(self, request: Request, view: Any) -> bool:
        declared = declared_access(view, request.method or "GET")
        if declared is None:
            self.message = "this route declares no access"
            return False
        if declared[0] == "public":
            return True
        if not request.user.is_authenticated:
            return False
        if reach(request.user, *declared) == "none":
            self.message = _refusal(request.user, *declared)
            return False
        return True


def require_own(person: object, resource: str, action: str, owner: object) -> None:
    """For rights that reach one's own things only. Raises `NotAllowed` with a sentence."""
    if not may(person, resource, action, owner):
        raise NotAllowed(
            f"This {resource} belongs to {owner or 'nobody'}; as {_role(person)} you may {action} your own. "
            f"Ask its owner or the studio manager."
        )


def _role(person: object) -> str:
    return str(getattr(person, "get_role_display", lambda: "visitor")()).lower()


def _refusal(person: object, resource: str, action: str) -> str:
    return (
        f"As {_role(person)} you may not {action} {resource}; "
        f"the studio manager can do it or change your role."
    )
