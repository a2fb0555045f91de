"""The frame in a real browser: on the phone, by keyboard, in each theme, on paper."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone

from studio.packing.models import PackingLine
from tests.builders import a_booking, a_person, a_recipe, a_shoot, a_unit

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
]

PHONE = {"width": 390, "height": 844}
DESK = {"width": 1440, "height": 900}


@pytest.fixture
def person() -> Any:
    person = a_person("manager", username="mara")
    shoot = a_shoot(
        a_recipe(person), booking=a_booking(title="A long title for a morning at the depot doors")
    )
    PackingLine.objects.create(shoot=shoot, unit=a_unit(), out_at=timezone.now() - timedelta(hours=1))
    a_unit(condition="quarantine", condition_note="fell from the stand, " * 8)
    return person


def _sign_in(page: Any, address: str) -> None:
    page.goto(f"{address}/sign-in")
    page.get_by_label("Username").fill("mara")
    page.get_by_label("Password").fill("tram-depot-7")
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(f"{address}/")


@pytest.mark.parametrize("path", ["/sign-in", "/", "/password", "/no-such-page"])
def test_no_page_scrolls_sideways_on_a_phone(browser: Any, live_server: Any, person: Any, path: str) -> None:
    with browser.new_context(viewport=PHONE, is_mobile=True, has_touch=True) as context:
        page = context.new_page()
        if path != "/sign-in":
            _sign_in(page, live_server.url)
        page.goto(live_server.url + path)
        assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]


def test_what_one_taps_is_as_large_as_a_thumb(browser: Any, live_server: Any, person: Any) -> None:
    with browser.new_context(viewport=PHONE, is_mobile=True, has_touch=True) as context:
        page = context.new_page()
        _sign_in(page, live_server.url)
        small = page.evaluate(
            """() => [...document.querySelectorAll("a, button, summary, input:not([type=hidden], [type=radio])")]
                .filter(e => e.checkVisibility() && !e.matches(".skip") && !e.closest("p"))
                .filter(e => e.getBoundingClientRect().height < 44)
                .map(e => e.outerHTML.slice(0, 80))"""
        )
        assert small == []


def test_the_theme_stays_when_chosen(browser: Any, live_server: Any, person: Any) -> None:
    with browser.new_context(viewport=DESK, color_scheme="light") as context:
        page = context.new_page()
        page.goto(f"{live_server.url}/sign-in")
        ground = "getComputedStyle(document.documentElement).backgroundColor"
        assert page.evaluate(ground) == "rgb(232, 232, 232)"
        page.get_by_label("Red", exact=True).check(force=True)
        assert page.evaluate(ground) == "rgb(0, 0, 0)"
        _sign_in(page, live_server.url)
        assert page.evaluate("document.documentElement.dataset.theme") == "red"
        assert page.evaluate(ground) == "rgb(0, 0, 0)"


def test_without_a_choice_the_machine_decides(browser: Any, live_server: Any, person: Any) -> None:
    with browser.new_context(viewport=DESK, color_scheme="dark") as context:
        page = context.new_page()
        page.goto(f"{live_server.url}/sign-in")
        ground = "getComputedStyle(document.documentElement).backgroundColor"
        assert page.evaluate(ground) == "rgb(21, 21, 21)"
        assert page.get_by_label("Auto").is_checked()


def test_the_first_key_reaches_the_content(browser: Any, live_server: Any, person: Any) -> None:
    with browser.new_context(viewport=DESK) as context:
        page = context.new_page()
        _sign_in(page, live_server.url)
        page.keyboard.press("Tab")
        focused = page.locator(":focus")
        assert focused.inner_text() == "Skip to the content"
        assert page.evaluate("document.activeElement.getBoundingClientRect().top") >= 0
        page.keyboard.press("Enter")
        assert page.evaluate("document.activeElement.id") == "content"


def test_the_keyboard_goes_through_the_bar_in_reading_order(
    browser: Any, live_server: Any, person: Any
) -> None:
    with browser.new_context(viewport=DESK) as context:
        page = context.new_page()
        _sign_in(page, live_server.url)
        seen = []
        for _ in range(9):
            page.keyboard.press("Tab")
            seen.append(page.evaluate("document.activeElement.innerText").strip())
        assert seen[:3] == ["Skip to the content", "Fullstop", "Today"]
        assert "mara" in seen[3:]


def test_the_menu_closes_with_escape(browser: Any, live_server: Any, person: Any) -> None:
    with browser.new_context(viewport=DESK) as context:
        page = context.new_page()
        _sign_in(page, live_server.url)
        page.locator(".account > summary").click()
        assert page.get_by_role("button", name="Sign out").is_visible()
        page.keyboard.press("Escape")
        assert not page.get_by_role("button", name="Sign out").is_visible()
        assert page.evaluate("document.activeElement.tagName") == "SUMMARY"


def test_it_can_be_used_without_script(browser: Any, live_server: Any, person: Any) -> None:
    with browser.new_context(viewport=DESK, java_script_enabled=False) as context:
        page = context.new_page()
        _sign_in(page, live_server.url)
        page.locator(".account > summary").click()
        page.get_by_role("button", name="Sign out").click()
        page.wait_for_url(f"{live_server.url}/sign-in")


def test_paper_shows_the_content_and_not_the_navigation(browser: Any, live_server: Any, person: Any) -> None:
    with browser.new_context(viewport=DESK, color_scheme="dark") as context:
        page = context.new_page()
        _sign_in(page, live_server.url)
        page.emulate_media(media="print")
        assert not page.locator(".bar").is_visible()
        assert page.get_by_role("heading", name="Next shoots").is_visible()
        assert (
            page.evaluate("getComputedStyle(document.documentElement).backgroundColor")
            == "rgb(255, 255, 255)"
        )
