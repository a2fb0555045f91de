"""The page that packs without a network, and what a browser needs to keep it.

The page holds nothing of anybody: it is the same for everyone and is open to all, so that a browser may keep it and
open it when nobody can be asked. Lists come from the API, to people who are signed in.
"""

from __future__ import annotations

import hashlib
import json
import re
from functools import lru_cache
from pathlib import Path

from django.contrib.staticfiles import finders
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.template.loader import get_template
from django.templatetags.static import static
from django.urls import reverse
from django.views.decorators.cache import never_cache

from gear.access import everyone

__all__ = ["kept", "manifest", "shell", "worker"]

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; media-src 'self' blob:; "
    "connect-src 'self'; worker-src 'self'; manifest-src 'self'; form-action 'self'; base-uri 'none'; "
    "frame-ancestors 'none'"
)

TEMPLATES = ("web/base.html", "phones/shell.html")
LINKED = re.compile(r"{% static '([^']+)' %}")
ALSO = (
    "web/status-gap.svg",
    "web/status-tight.svg",
    "web/status-ok.svg",
    "web/status-stale.svg",
    "web/status-unknown.svg",
    "packing/camera.js",
    "phones/keeping.js",
    "phones/sending.js",
    "phones/marks.js",
    "phones/showing.js",
)
"""What the linked files load in turn."""


@lru_cache(maxsize=1)
def kept() -> tuple[str, ...]:
    """Every file that the page needs: what its templates link, and what that loads."""
    linked = [name for template in TEMPLATES for name in LINKED.findall(_source(template))]
    return tuple(dict.fromkeys((*linked, *ALSO)))


@everyone
@never_cache
def shell(request: HttpRequest) -> HttpResponse:
    """The page itself. Its forms carry no token: what it sends takes the token of the moment from its cookie."""
    answer = render(request, "phones/shell.html", {"csrf_token": ""})
    answer["Content-Security-Policy"] = POLICY
    return answer


@everyone
@never_cache
def worker(request: HttpRequest) -> HttpResponse:
    """The service worker. Its text changes with any file that it keeps, and a browser takes that as a new version."""
    files = [static(name) for name in kept()]
    head = f"const VERSION = {json.dumps(_version())};\nconst PAGE = {json.dumps(reverse('phones:shell'))};\n"
    head += f"const FILES = {json.dumps(files)};\n"
    return HttpResponse(head + _text("phones/worker.js"), content_type="text/javascript; charset=utf-8")


@everyone
def manifest(request: HttpRequest) -> JsonResponse:
    """So that the page can be put beside the other programs of a phone."""
    return JsonResponse(
        {
            "name": "Fullstop packing",
            "short_name": "Packing",
            "start_url": reverse("phones:shell"),
            "scope": reverse("phones:shell"),
            "display": "standalone",
            "background_color": "#151515",
            "theme_color": "#151515",
            "icons": [{"src": static("web/mark.svg"), "sizes": "any", "type": "image/svg+xml"}],
        },
        content_type="application/manifest+json",
    )


@lru_cache(maxsize=1)
def _version() -> str:
    """A short name of exactly these files and this page; they do not change while the service runs."""
    sums = hashlib.sha256()
    for name in (*kept(), "phones/worker.js"):
        sums.update(_text(name).encode())
    for template in TEMPLATES:
        sums.update(_source(template).encode())
    return sums.hexdigest()[:12]


def _source(template: str) -> str:
    return Path(get_template(template).origin.name).read_text(encoding="utf-8")


def _text(name: str) -> str:
    found = finders.find(name)
    if not found:
        raise FileNotFoundError(f"{name} is missing from the installation")
    return Path(str(found)).read_text(encoding="utf-8")
