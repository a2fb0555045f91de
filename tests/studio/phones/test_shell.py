"""The page that a browser keeps: the same for everyone, complete, and with a policy of its own."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from django.contrib.staticfiles import finders
from django.test import Client
from django.urls import reverse

from studio.phones.shell import kept

pytestmark = pytest.mark.django_db

SHELL = "/phone/"


def source_of(name: str) -> str:
    return Path(str(finders.find(name))).read_text(encoding="utf-8")


def text(client: Client, address: str) -> str:
    return str(client.get(address).content.decode())


def test_it_opens_for_everyone_and_says_nothing_of_anybody(signed_in: Any) -> None:
    of_nobody = text(Client(), SHELL)
    for role in ("manager", "photographer", "assistant"):
        assert text(signed_in(role), SHELL) == of_nobody
    assert "csrf" not in of_nobody.lower()


def test_everything_it_loads_is_kept(signed_in: Any) -> None:
    page = text(Client(), SHELL)
    loaded = set(re.findall(r'(?:href|src)="/static/([^"]+)"', page))
    scripts = {name for name in kept() if name.endswith(".js")}
    for name in scripts:
        source = source_of(name)
        loaded |= {
            f"phones/{other}" for other in re.findall(r'from "\./([^"]+)"', source) if "phones/" in name
        }
        loaded |= set(re.findall(r'from "\.\./([^"]+)"', source))
    for name in (name for name in kept() if name.endswith(".css")):
        source = source_of(name)
        loaded |= {f"{name.rpartition('/')[0]}/{other}" for other in re.findall(r'url\("([^"]+)"\)', source)}
    assert len(loaded) > 20
    assert loaded - set(kept()) == set()


def test_what_is_kept_exists_and_the_worker_names_it() -> None:
    worker = text(Client(), reverse("phones:worker"))
    for name in kept():
        assert finders.find(name), name
        assert f'"/static/{name}"' in worker
    assert re.search(r'const VERSION = "[0-9a-f]{12}"', worker)


def test_the_worker_may_only_see_to_the_page_itself() -> None:
    answer = Client().get(reverse("phones:worker"))
    assert answer.headers["Content-Type"].startswith("text/javascript")
    assert "Service-Worker-Allowed" not in answer.headers
    assert reverse("phones:worker").startswith(SHELL)
    assert not reverse("phones:phones").startswith(SHELL)


def test_its_policy_lets_nothing_in_from_elsewhere_and_nothing_inline() -> None:
    policy = Client().get(SHELL).headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert "http" not in policy


@pytest.mark.parametrize("address", ["phones:shell", "phones:worker"])
def test_a_browser_asks_anew_for_what_tells_it_of_a_new_version(address: str) -> None:
    assert "no-store" in Client().get(reverse(address)).headers["Cache-Control"]


def test_it_can_be_put_beside_other_programs() -> None:
    manifest = Client().get(reverse("phones:manifest")).json()
    assert (manifest["start_url"], manifest["scope"]) == (SHELL, SHELL)
