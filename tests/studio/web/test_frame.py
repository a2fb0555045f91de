"""The frame around every page: navigation by what exists, nothing inline, the theme before the first paint."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from django.contrib.staticfiles import finders
from django.test import Client

SignIn = Callable[[str], Client]


@pytest.fixture
def page(signed_in: SignIn) -> str:
    return signed_in("manager").get("/").content.decode()


def test_it_works(page: str) -> None:
    assert '<a href="/" aria-current="page">Today</a>' in page
    assert "Sign out" in page


def test_every_file_that_the_frame_loads_exists(page: str) -> None:
    files = re.findall(r'(?:src|href)="/static/(web/[^"]+)"', page)
    assert len(files) > 12
    assert [name for name in files if finders.find(name) is None] == []


def test_every_picture_that_a_style_names_exists() -> None:
    folder = Path(str(finders.find("web/base.css"))).parent
    named = {
        name for sheet in folder.glob("*.css") for name in re.findall(r'url\("([^"]+)"\)', sheet.read_text())
    }
    assert named
    assert [name for name in sorted(named) if not (folder / name).exists()] == []


def test_nothing_is_inline_so_that_a_strict_content_policy_holds(page: str) -> None:
    assert re.findall(r"<script(?![^>]*\bsrc=)", page) == []
    assert "<style" not in page
    assert re.findall(r'\s(?:style|on[a-z]+)="', page) == []


def test_the_theme_is_put_on_before_the_first_paint(page: str) -> None:
    head = page.split("</head>")[0]
    assert re.search(r'<script src="/static/web/theme.js"></script>', head)
    assert head.index("theme.js") < head.index("palette.css")


def test_htmx_sends_the_token_and_may_not_make_code(page: str) -> None:
    assert re.search(r"""hx-headers='\{"X-CSRFToken": "[A-Za-z0-9]{64}"\}'""", page)
    assert '"allowEval": false' in page


def test_a_visitor_sees_no_navigation(db: None) -> None:
    page = Client().get("/sign-in").content.decode()
    assert 'class="nav"' not in page
    assert "Sign out" not in page


def test_signing_in_works_and_leads_where_one_wanted_to_go(signed_in: SignIn) -> None:
    person = signed_in("assistant").person  # type: ignore[attr-defined]
    given = {"username": person.username, "password": "tram-depot-7", "next": "/password"}
    answer = Client().post("/sign-in", given)
    assert (answer.status_code, answer.headers["Location"]) == (302, "/password")


def test_a_wrong_password_keeps_the_name_and_says_what_is_wrong(signed_in: SignIn) -> None:
    person = signed_in("assistant").person  # type: ignore[attr-defined]
    page = Client().post("/sign-in", {"username": person.username, "password": "x"}).content.decode()
    assert f'value="{person.username}"' in page
    assert 'role="alert"' in page


def test_a_password_can_be_changed(signed_in: SignIn) -> None:
    client = signed_in("photographer")
    new = "platform-two-and-a-half"
    given = {"old_password": "tram-depot-7", "new_password1": new, "new_password2": new}
    assert client.post("/password", given).status_code == 302
    client.person.refresh_from_db()  # type: ignore[attr-defined]
    assert client.person.check_password(new)  # type: ignore[attr-defined]
