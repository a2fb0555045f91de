"""The drawings say in words what they show."""

from __future__ import annotations

from html.parser import HTMLParser

import pytest
from django.template.loader import render_to_string

from studio.drawings.floor_plan import PlanScene, floor_plan
from studio.drawings.scale import stops_scale
from tests.studio.web.samples import MARKS, SCENE


class _Balance(HTMLParser):
    """Refuses a page whose tags do not close in order."""

    VOID = frozenset({"input", "br", "hr", "meta", "link", "img"})

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []

    def handle_starttag(self, tag: str, attrs: object) -> None:
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


def _html(template: str, **context: object) -> str:
    html = render_to_string(template, context)
    balance = _Balance()
    balance.feed(html)
    assert balance.open == []
    return html


def _words(html: str) -> str:
    return " ".join(html.replace("\u00a0", " ").split())


def test_the_scale_says_every_number_in_text() -> None:
    html = _words(_html("web/scale.html", scale=stops_scale(MARKS)))
    lit = ("lit cheek", "+0.2", "wanted 0.0 ±0.3", "22 %", "78 %", "spread ±0.1")
    for words in (*lit, "1.2 too bright", "−2.0 or darker"):
        assert words in html


def test_a_zone_without_a_prediction_says_what_is_missing() -> None:
    assert "missing: a stand for the rim light" in _words(_html("web/scale.html", scale=stops_scale(MARKS)))


def test_an_estimate_is_marked_on_the_scale() -> None:
    html = _html("web/scale.html", scale=stops_scale(MARKS))
    assert html.count('class="estimated"') == 1


def test_ambient_and_flash_differ_by_fill_and_not_only_by_colour() -> None:
    html = _html("web/scale.html", scale=stops_scale(MARKS))
    assert 'class="flash" fill="url(#flash-stripes)"' in html


def test_the_scale_in_a_list_is_one_image_with_its_words() -> None:
    html = _html("web/scale_inline.html", scale=stops_scale(MARKS))
    assert 'role="img"' in html
    assert "window +2.9 stops, 1.2 too bright; " in html
    assert "hair unknown" in html


def test_the_plan_lists_everything_it_draws() -> None:
    html = _words(_html("web/floor_plan.html", plan=floor_plan(SCENE)))
    for name in (
        "Key",
        "Desk lamp",
        "White board",
        "Black flag",
        "North window",
        "Skylight",
        "Room to move",
        "10:30",
    ):
        assert name in html
    assert "the mark is 3.0 m from the left wall" in html


@pytest.mark.parametrize("scene", [PlanScene(), PlanScene(camera=SCENE.camera)])
def test_a_bare_plan_can_be_drawn(scene: PlanScene) -> None:
    assert "<svg" in _html("web/floor_plan.html", plan=floor_plan(scene))


def test_the_scale_bar_is_part_of_the_drawing_so_that_it_shrinks_with_it() -> None:
    drawing = _html("web/floor_plan.html", plan=floor_plan(SCENE)).split("<figcaption>")[0]
    assert 'class="bar-line"' in drawing


def test_drawings_carry_no_inline_style() -> None:
    for html in (
        _html("web/scale.html", scale=stops_scale(MARKS)),
        _html("web/scale_inline.html", scale=stops_scale(MARKS)),
        _html("web/floor_plan.html", plan=floor_plan(SCENE)),
    ):
        assert "style=" not in html
        assert "<script" not in html
