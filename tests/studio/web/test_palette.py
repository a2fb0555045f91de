"""Can everything be read, in every theme?

Contrast as in WCAG 2.2, "relative luminance" and "contrast ratio": 4.5 for text (1.4.3), 3 for the parts of controls
and drawings that carry meaning (1.4.11).
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import studio.web

PALETTE = (Path(studio.web.__file__).parent / "static/web/palette.css").read_text()

TEXT = [
    ("ink", "page"),
    ("ink", "surface"),
    ("ink", "sunk"),
    ("ink", "well"),
    ("muted", "page"),
    ("muted", "surface"),
    ("muted", "sunk"),
    ("muted", "well"),
    ("gap", "page"),
    ("gap", "surface"),
    ("on-ink", "ink"),
    ("on-ink", "muted"),
    ("on-gap", "gap"),
]
SHAPES = [
    ("line-strong", "page"),
    ("line-strong", "surface"),
    ("line-strong", "well"),
    ("focus", "page"),
    ("focus", "surface"),
    ("ambient", "surface"),
    ("ambient", "well"),
    ("flash", "surface"),
    ("flash", "well"),
    ("gap", "well"),
]
NEUTRAL = ["page", "surface", "sunk", "well", "line", "line-strong", "ink", "muted", "on-ink", "focus"]


def _themes() -> dict[str, dict[str, str]]:
    pairs = re.findall(r"--([a-z-]+): light-dark\((#[0-9a-f]{6}), (#[0-9a-f]{6})\);", PALETTE)
    red_block = PALETTE.split('[data-theme="red"]', 1)[1].split("}", 1)[0]
    return {
        "light": {name: light for name, light, _ in pairs},
        "dark": {name: dark for name, _, dark in pairs},
        "red": dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6});", red_block)),
    }


THEMES = _themes()


def _channels(colour: str) -> list[float]:
    return [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]


def _luminance(colour: str) -> float:
    """WCAG 2.2 relative luminance of an sRGB colour."""
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in _channels(colour)]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    lighter, darker = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def test_black_on_white_is_21_to_1() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)  # WCAG 2.2, contrast ratio: "from 1 to 21"


def test_every_theme_has_every_colour() -> None:
    assert THEMES["light"].keys() == THEMES["dark"].keys() == THEMES["red"].keys()
    assert {name for pair in TEXT + SHAPES for name in pair} <= THEMES["light"].keys()


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize(("text", "ground"), TEXT)
def test_text_can_be_read(theme: str, text: str, ground: str) -> None:
    assert contrast(THEMES[theme][text], THEMES[theme][ground]) >= 4.5


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize(("shape", "ground"), SHAPES)
def test_shapes_can_be_seen(theme: str, shape: str, ground: str) -> None:
    assert contrast(THEMES[theme][shape], THEMES[theme][ground]) >= 3.0


@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize("name", NEUTRAL)
def test_greys_are_neutral_because_colour_is_judged_beside_them(theme: str, name: str) -> None:
    red, green, blue = _channels(THEMES[theme][name])
    assert red == green == blue


@pytest.mark.parametrize("name", sorted(THEMES["red"]))
def test_the_red_theme_has_no_green_and_no_blue(name: str) -> None:
    assert _channels(THEMES["red"][name])[1:] == [0.0, 0.0]
