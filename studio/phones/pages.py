"""What phones have sent: what is open, the found tray, and the last synced point of each phone."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from gear.access import declares
from gear.errors import Refusal
from studio.packing.disputes import open_disputes
from studio.packing.found import out_of_the_tray, tray
from studio.phones import looking, services
from studio.phones.models import Device
from studio.phones.queries import devices, of_device, open_count, to_look_at

__all__ = ["accept", "drop", "found", "give_up", "phone", "phones", "still_open"]

SHOWN = 200


@declares("phone", "read")
def phones(request: HttpRequest, refusal: Refusal | None = None) -> HttpResponse:
    """What is open, and every phone."""
    return render(
        request,
        "phones/phones.html",
        {
            "to_look_at": to_look_at()[:SHOWN],
            "disputes": open_disputes()[:SHOWN],
            "tray": tray()[:SHOWN],
            "devices": devices()[:SHOWN],
            "refusal": refusal,
        },
        status=refusal.status if refusal else 200,
    )


@declares("phone", "read")
def still_open(request: HttpRequest) -> HttpResponse:
    """How much waits for a person, as the part of another page that asks for it."""
    return render(request, "phones/open.html", {"open": open_count()})


@declares("phone", "read")
def phone(request: HttpRequest, device: UUID) -> HttpResponse:
    """One phone and its last acts, the refused among them."""
    seen = get_object_or_404(devices(), pk=device)
    return render(request, "phones/phone.html", {"device": seen, "operations": of_device(seen)})


@require_POST
@declares("phone", "settle")
def accept(request: HttpRequest, pk: int) -> HttpResponse:
    """It counts."""
    try:
        done = looking.accept(pk, request.user)
    except Refusal as refusal:
        return phones(request, refusal=refusal)
    messages.success(request, f"Accepted. {done.sentence}")
    return redirect("phones:phones")


@require_POST
@declares("phone", "settle")
def drop(request: HttpRequest, pk: int) -> HttpResponse:
    """It does not count, for this reason."""
    try:
        looking.drop(pk, request.POST.get("words", ""), request.user)
    except Refusal as refusal:
        return phones(request, refusal=refusal)
    messages.success(request, "Dropped; it stays in the record of its phone.")
    return redirect("phones:phones")


@require_POST
@declares("phone", "settle")
def give_up(request: HttpRequest, device: UUID) -> HttpResponse:
    """Nobody expects the missing acts of this phone any more."""
    seen = get_object_or_404(Device, pk=device)
    try:
        missing = services.give_up_waiting(seen.pk, request.user)
    except Refusal as refusal:
        return phones(request, refusal=refusal)
    messages.success(request, f"{missing} marked as never arrived; what waited for them is done.")
    return redirect("phones:phone", seen.pk)


@require_POST
@declares("packing", "change")
def found(request: HttpRequest, pk: int) -> HttpResponse:
    """Somebody knows what a thing in the found tray is."""
    asked = request.POST
    try:
        thing = out_of_the_tray(pk, request.user, tag=asked.get("tag", ""), words=asked.get("words", ""))
    except Refusal as refusal:
        return phones(request, refusal=refusal)
    messages.success(request, f"“{thing.mark}” is out of the tray.")
    return redirect("phones:phones")
