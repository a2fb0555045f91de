"""The feeds themselves, and the page on which people make and revoke their addresses."""

from __future__ import annotations

from hashlib import sha256

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.cache import get_conditional_response
from django.views.decorators.http import require_GET, require_http_methods, require_POST, require_safe

from gear.access import declares, everyone
from gear.errors import Gone, Refusal
from studio.calendar.feed import written
from studio.calendar.feeds import address_behind, addresses_of, shoots_of
from studio.calendar.forms import FeedForm
from studio.calendar.models import FeedAddress
from studio.calendar.services import make_address, revoke_address

_PRIVATE = {"Cache-Control": "private, no-cache", "X-Robots-Tag": "noindex"}


@everyone
@require_safe
def feed(request: HttpRequest, token: str) -> HttpResponse:
    """The shoots behind a secret address, as a calendar. No sign-in: whoever has the address may read it."""
    try:
        address = address_behind(token)
    except Gone as gone:
        return HttpResponse(
            gone.sentence, status=gone.status, content_type="text/plain; charset=utf-8", headers=_PRIVATE
        )
    text = written(
        shoots_of(address),
        f"Fullstop: {_name(address)}",
        request.build_absolute_uri(reverse("shoots:list")),
    )
    etag = f'"{sha256(text).hexdigest()[:32]}"'
    answer = HttpResponse(
        text,
        content_type="text/calendar; charset=utf-8",
        headers={**_PRIVATE, "ETag": etag, "Content-Disposition": 'inline; filename="shoots.ics"'},
    )
    conditional = get_conditional_response(request, etag=etag, response=answer)
    assert conditional is not None
    for name, value in _PRIVATE.items():
        conditional[name] = value
    return conditional


@declares("feed", "read")
@require_GET
def feeds(request: HttpRequest) -> HttpResponse:
    """The addresses of a person, and a form for a new one."""
    return _page(request, FeedForm(by=request.user))


@declares("feed", "change")
@require_http_methods(["POST"])
def make(request: HttpRequest) -> HttpResponse:
    """Make an address. It is shown in the answer and never again, so that the answer is kept nowhere."""
    form = FeedForm(request.POST, by=request.user)
    if not form.is_valid():
        return _page(request, form, status=422)
    try:
        made, token = make_address(form.scope, request.user, form.room_id)
    except Refusal as refusal:
        return _page(request, form, status=refusal.status, refusal=refusal)
    address = request.build_absolute_uri(reverse("calendar:feed", args=[token]))
    answer = _page(request, FeedForm(by=request.user), status=201, made=made, address=address)
    answer["Cache-Control"] = "no-store"
    return answer


@declares("feed", "change")
@require_POST
def revoke(request: HttpRequest, pk: int) -> HttpResponse:
    """Close an address."""
    closed = revoke_address(pk, request.user)
    messages.success(
        request, f"The address of “{closed.about}” that ends with …{closed.ending} shows nothing any more."
    )
    return redirect("calendar:feeds")


def _page(request: HttpRequest, form: FeedForm, *, status: int = 200, **more: object) -> HttpResponse:
    context = {"form": form, "addresses": addresses_of(request.user), **more}
    return render(request, "calendar/feeds.html", context, status=status)


def _name(address: FeedAddress) -> str:
    return str(address.person) if address.scope == FeedAddress.Scope.OWN else address.about
