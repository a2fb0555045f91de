"""A server that is killed after the commit, before anybody hears the answer. Run as a program of its own."""

from __future__ import annotations

import json
import os
import signal
import sys
from collections.abc import Callable

from django.http import HttpRequest, HttpResponse


class DiesBeforeAnswering:
    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        self.get_response(request)
        os.kill(os.getpid(), signal.SIGKILL)
        raise AssertionError("still alive")


def main() -> None:
    import django

    django.setup()
    from django.conf import settings
    from django.test import Client

    from studio.people.models import Person

    asked = json.load(sys.stdin)
    settings.MIDDLEWARE.insert(0, f"{__package__}.dying.DiesBeforeAnswering")
    client = Client(headers={"host": "localhost"})
    client.force_login(Person.objects.get(pk=asked["person"]))
    client.post(asked["path"], asked["body"], "application/json", headers={"Idempotency-Key": asked["key"]})


if __name__ == "__main__":
    main()
