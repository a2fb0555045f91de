"""The calendar in a real browser: by keyboard, on a phone, without script."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from urllib.parse import quote

import pytest
from django.utils import timezone

from gear.booking.models import Allocation
from gear.booking.rules import blocked_for, use_of
from studio.shoots.models import Shoot
from tests.builders import a_booking, a_gear_type, a_person, a_shoot, a_unit

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

PHONE = {"viewport": {"width": 390, "height": 844}, "is_mobile": True, "has_touch": True}
DESK = {"viewport": {"width": 1440, "height": 900}}


@pytest.fixture
def shoot() -> Shoot:
    """A shoot right now with two units, one of them out for longer."""
    a_person("manager", username="mara")
    start = timezone.now().replace(minute=0, second=0, microsecond=0)
    shoot = a_shoot(booking=a_booking(start, 5, title="Gloves on slate"))
    for tag, minutes in (("K-01", 0), ("B-01", 240)):
        unit = a_unit(a_gear_type(turnaround_minutes=minutes), tag=tag)
        use = use_of(shoot.booking)
        Allocation.objects.create(
            booking=shoot.booking, unit=unit, use=use.as_range, blocked=blocked_for(unit, use).as_range
        )
    return shoot


def signed_in(context: Any, address: str, path: str) -> Any:
    page = context.new_page()
    page.goto(f"{address}/sign-in?next={quote(path)}")
    page.get_by_label("Username").fill("mara")
    page.get_by_label("Password").fill("tram-depot-7")
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(f"{address}{path}")
    return page


def test_a_bar_is_reached_by_keyboard_says_all_and_leads_to_its_shoot(
    browser: Any, live_server: Any, shoot: Shoot
) -> None:
    with browser.new_context(**DESK) as context:
        page = signed_in(context, live_server.url, "/calendar/")
        bar = page.locator("a.promise").first
        bar.focus()
        page.keyboard.press("Shift+Tab")
        page.keyboard.press("Tab")
        said = page.locator("a.promise:focus-visible .say")
        assert said.evaluate("e => e.getBoundingClientRect().height") > 15
        assert said.inner_text().startswith("Gloves on slate: confirmed")
        page.keyboard.press("Enter")
        page.wait_for_url(f"{live_server.url}/shoots/{shoot.pk}")


def test_the_drawing_can_be_skipped(browser: Any, live_server: Any, shoot: Shoot) -> None:
    with browser.new_context(**DESK) as context:
        page = signed_in(context, live_server.url, "/calendar/")
        skip = page.get_by_role("link", name="Skip the drawing")
        skip.focus()
        assert skip.bounding_box()["y"] >= 0
        page.keyboard.press("Enter")
        assert page.evaluate("document.activeElement.id") == "by-day"


def test_stepping_keeps_the_keyboard_where_it_was(browser: Any, live_server: Any, shoot: Shoot) -> None:
    with browser.new_context(**DESK) as context:
        page = signed_in(context, live_server.url, "/calendar/")
        before = page.locator(".stepper h2").inner_text()
        page.evaluate("window.stayed = true")
        page.locator("#later").focus()
        page.keyboard.press("Enter")
        page.wait_for_function(f"document.querySelector('.stepper h2').innerText !== {before!r}")
        assert page.evaluate("window.stayed"), "the page was loaded anew"
        assert page.evaluate("document.activeElement.id") == "later"
        assert "date=" in page.url
        page.go_back()
        page.wait_for_function(f"document.querySelector('.stepper h2').innerText === {before!r}")


def test_without_script_one_steps_by_loading(browser: Any, live_server: Any, shoot: Shoot) -> None:
    with browser.new_context(**DESK, java_script_enabled=False) as context:
        page = signed_in(context, live_server.url, "/calendar/")
        page.locator("#later").click()
        page.locator("#earlier").click()
        assert page.locator("a.promise").count() == 2


def test_a_bar_is_drawn_where_its_hours_are(browser: Any, live_server: Any, shoot: Shoot) -> None:
    day = shoot.booking.starts_at + timedelta(days=3)
    Allocation.objects.update(
        use=(day, day + timedelta(hours=24)), blocked=(day, day + timedelta(hours=24)), active=False
    )
    with browser.new_context(**DESK) as context:
        page = signed_in(context, live_server.url, f"/calendar/?date={day:%Y-%m-%d}&view=month")
        track = page.locator(".track > ul").first.bounding_box()
        bar = page.locator(".promise").first.bounding_box()
        columns = page.locator(".scale.fine > span").count()
        assert bar["width"] == pytest.approx(track["width"] / columns, rel=0.02)


def test_on_a_phone_it_is_a_list_of_days(browser: Any, live_server: Any, shoot: Shoot) -> None:
    with browser.new_context(**PHONE) as context:
        page = signed_in(context, live_server.url, "/calendar/")
        assert not page.locator(".chart").is_visible()
        day = page.locator(".day").first
        assert day.is_visible()
        assert "Gloves on slate" in day.inner_text()
        assert "K-01" in day.inner_text()


def test_on_a_phone_rows_are_chosen_in_a_sheet(browser: Any, live_server: Any, shoot: Shoot) -> None:
    with browser.new_context(**PHONE) as context:
        page = signed_in(context, live_server.url, "/calendar/")
        assert not page.locator("#choose").is_visible()
        page.get_by_role("button", name="Choose rows and day").tap()
        page.get_by_label("Tag, serial or type").fill("B-01")
        page.get_by_role("button", name="Show", exact=True).tap()
        page.wait_for_function("!document.querySelector('.by-day').innerText.includes('K-01')")
        assert "B-01" in page.locator(".by-day").inner_text()


@pytest.mark.parametrize(
    "path", ["/calendar/", "/calendar/types", "/calendar/rooms", "/calendar/people", "/calendar/feeds"]
)
def test_on_a_phone_nothing_is_too_small_or_too_wide(
    browser: Any, live_server: Any, shoot: Shoot, path: str
) -> None:
    with browser.new_context(**PHONE) as context:
        page = signed_in(context, live_server.url, path)
        assert page.evaluate("document.documentElement.scrollWidth") <= 390
        small = page.evaluate(
            """() => [...document.querySelectorAll("a, button, summary, input:not([type=hidden], [type=radio])")]
                .filter(e => e.checkVisibility() && !e.matches(".skip, .skip-chart"))
                .filter(e => e.getBoundingClientRect().height < 44)
                .map(e => e.outerHTML.slice(0, 80))"""
        )
        assert small == []
