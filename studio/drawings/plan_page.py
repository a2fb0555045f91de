"""How do metres around the mark become units on the page, and which shapes does a plan consist of?"""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, cos, degrees, radians, sin

from studio.drawings.plan_scene import Point

__all__ = ["Outline", "Page", "Placed", "Ray", "towards", "turn_deg", "turned"]


@dataclass(frozen=True)
class Placed:
    """A symbol on the page: where, turned how far (degrees clockwise from up), and what it stands for.

    ``half`` is half its true width; the badge with its number or letter stands behind it. ``words`` is the line of
    the list beside the drawing, which says the same.
    """

    badge: str
    name: str
    kind: str
    source: str
    x: float
    y: float
    turn_deg: float
    half: float
    badge_x: float
    badge_y: float
    words: str

    @property
    def width(self) -> float:
        """Its true width in units."""
        return round(2 * self.half, 1)


@dataclass(frozen=True)
class Ray:
    """A line from a light to what it is aimed at, with the distance from the mark written beside it."""

    x1: float
    y1: float
    x2: float
    y2: float
    label: str
    label_x: float
    label_y: float


@dataclass(frozen=True)
class Outline:
    """A closed or open shape as the points of an SVG polygon, with its name and a place for it; ``words`` are for the
    list beside the drawing."""

    name: str
    points: str
    x: float
    y: float
    words: str = ""


@dataclass(frozen=True)
class Page:
    """From metres in the calculation's frame to units on the page. ``left`` and ``top`` are metres on the page."""

    left: float
    top: float
    units_per_m: float

    def at(self, point: Point) -> Point:
        """Where a point lies on the page."""
        x, y = turned(point)
        return round((x - self.left) * self.units_per_m, 1), round((y - self.top) * self.units_per_m, 1)

    def points(self, points: tuple[Point, ...]) -> str:
        """The same for the points of an SVG polygon."""
        return " ".join(f"{x},{y}" for x, y in map(self.at, points))

    def outline(self, name: str, points: tuple[Point, ...], words: str = "") -> Outline:
        """A shape with the place for its name in the middle of its corners."""
        count = len(points)
        middle = sum(x for x, _ in points) / count, sum(y for _, y in points) / count
        return Outline(name, self.points(points), *self.at(middle), words)

    def length(self, metres: float) -> float:
        """Metres as units."""
        return round(metres * self.units_per_m, 1)


def turned(point: Point) -> Point:
    """A point or a direction in metres on the page: x to the right, y down."""
    return -point[0], point[1]


def towards(bearing_deg: float) -> Point:
    """The unit vector of a bearing, in the calculation's frame."""
    return sin(radians(bearing_deg)), cos(radians(bearing_deg))


def turn_deg(direction: Point) -> float:
    """How far a symbol that points up the page is turned to look along a direction of the calculation's frame."""
    x, y = turned(direction)
    return round(degrees(atan2(x, -y)) % 360, 1)
