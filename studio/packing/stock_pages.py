"""Counting on the packing list."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from gear.access import declares
from gear.errors import Refusal
from studio.packing.pages import packing
from studio.packing.stock import count_line
from studio.shoots.models import Shoot

__all__ = ["count"]


@require_POST
@declares("packing", "change")
def count(request: HttpRequest, pk: int) -> HttpResponse:
    """So many of a counted thing are out or back."""
    shoot = get_object_or_404(Shoot.objects.select_related("booking"), pk=pk)
    asked = request.POST
    typed = asked.get("line", "")
    line = int(typed) if typed.isascii() and typed.isdigit() and len(typed) < 10 else 0
    try:
        words = count_line(
            shoot,
            line,
            asked.get("act", ""),
            asked.get("quantity", "")[:20],
            request.user,
            seen=asked.get("seen", ""),
            note=asked.get("note", "")[:250],
        )
    except Refusal as refusal:
        return packing(request, pk, refusal=refusal)
    messages.success(request, f"{words}.")
    way = "in" if asked.get("way") == "in" else "out"
    return redirect(f"{reverse('packing:list', args=[pk])}?way={way}#stock")
