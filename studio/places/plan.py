"""Where does everything in a room lie on paper, seen from above and to scale?

Pure: the room's metres in, the drawing's numbers out. The far wall is at the top, the camera's side at the bottom; left
on paper is left for the camera. Lengths on paper are in units of a hundredth of a metre, so that 100 units are 1 m.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import cos, hypot, radians, sin

__all__ = ["Glass", "RoomPlan", "draw_room"]

UNITS_A_METRE = 100.0
CAMERA_ARROW_M = 1.5


@dataclass(frozen=True)
class Glass:
    """A pane: a stretch of wall from (x1, y1) to (x2, y2), or, in the roof, the rectangle between the two corners.
    ``label_x``, ``label_y`` is where its number stands, inside the room beside it."""

    number: int
    name: str
    wall: str
    x1: float
    y1: float
    x2: float
    y2: float
    label_x: float
    label_y: float
    words: str

    @property
    def width(self) -> float:
        """For a pane in the roof."""
        return self.x2 - self.x1

    @property
    def height(self) -> float:
        """For a pane in the roof."""
        return self.y2 - self.y1

    @property
    def outline(self) -> str:
        """The pane as a line along its wall."""
        return f"M{self.x1:.1f} {self.y1:.1f}L{self.x2:.1f} {self.y2:.1f}"


@dataclass(frozen=True)
class RoomPlan:
    """Everything that the drawing needs, in units of its own. ``turn_deg`` is how far north lies clockwise from up;
    ``letter`` the height of its text, which keeps lines and words readable whatever the size of the room."""

    width: float
    depth: float
    mark_x: float
    mark_y: float
    arrow_y: float
    turn_deg: float
    letter: float
    glass: tuple[Glass, ...]

    metre = UNITS_A_METRE

    @property
    def view_box(self) -> str:
        """For the SVG: the room with a margin around it, wider on the right for the north arrow."""
        m = self.letter * 2.4
        return f"{-m:.1f} {-m:.1f} {self.width + 2 * m + 2.4 * self.letter:.1f} {self.depth + 2 * m:.1f}"

    @property
    def stroke(self) -> float:
        """Width of the mark's lines."""
        return self.letter / 6

    @property
    def thin(self) -> float:
        """Width of fine lines."""
        return self.letter / 10

    @property
    def wall_stroke(self) -> float:
        """Width of the walls."""
        return self.letter / 3

    @property
    def glass_stroke(self) -> float:
        """How wide a pane is cut out of its wall."""
        return self.letter / 2.6

    @property
    def half_width(self) -> float:
        """The middle of the far wall."""
        return self.width / 2

    @property
    def half_depth(self) -> float:
        """The middle of a side wall."""
        return self.depth / 2

    @property
    def below(self) -> float:
        """Where words below the room stand."""
        return self.depth + self.letter * 1.3

    @property
    def beside(self) -> float:
        """Where words left of the room stand."""
        return -self.letter * 1.3

    @property
    def north_at_x(self) -> float:
        """Where the north arrow turns."""
        return self.width + self.letter * 2.6

    @property
    def north_at_y(self) -> float:
        """Where the north arrow turns."""
        return self.letter * 1.2

    @property
    def north_x(self) -> float:
        """Where the letter N stands, from the arrow's centre."""
        return 1.7 * self.letter * sin(radians(self.turn_deg))

    @property
    def north_y(self) -> float:
        """Where the letter N stands, from the arrow's centre."""
        return -1.7 * self.letter * cos(radians(self.turn_deg))

    @property
    def north_arrow(self) -> str:
        """An arrow that points up, around its centre."""
        s = self.letter
        return (
            f"M0 {s:.1f}V{-s * 0.4:.1f}"
            f"M{-s * 0.4:.1f} {-s * 0.3:.1f}L0 {-s:.1f}L{s * 0.4:.1f} {-s * 0.3:.1f}z"
        )

    @property
    def camera_head(self) -> str:
        """The arrow head at the end of the line from mark to camera."""
        s, x, y = self.letter * 0.5, self.mark_x, self.arrow_y
        return f"M{x - s:.1f} {y - s:.1f}H{x + s:.1f}L{x:.1f} {y + s * 0.6:.1f}z"

    @property
    def mark_cross(self) -> str:
        """A T lying on the floor, as tape is laid: the bar where the toes are."""
        s, x, y = self.letter * 0.7, self.mark_x, self.mark_y
        return f"M{x - s:.1f} {y:.1f}H{x + s:.1f}M{x:.1f} {y:.1f}V{y - s:.1f}"

    @property
    def scale_bar(self) -> str:
        """One metre, below the room at the left."""
        tick = self.letter * 0.3
        return (
            f"M0 {self.below - tick:.1f}V{self.below + tick:.1f}M0 {self.below:.1f}H{self.metre:.1f}"
            f"M{self.metre:.1f} {self.below - tick:.1f}V{self.below + tick:.1f}"
        )


def draw_room(
    width_m: float,
    depth_m: float,
    mark_m: tuple[float, float],
    north_deg: float,
    windows: Iterable[tuple[str, str, float, float, float, float]],
) -> RoomPlan:
    """The plan of a room.

    ``mark_m`` is from the left and the far wall; ``north_deg`` the compass bearing of the line from mark to camera,
    which points down the paper. ``windows`` are (name, wall, offset, sill, width, height), in metres, measured as the
    record of a window says.
    """
    u = UNITS_A_METRE
    size = hypot(width_m, depth_m) * u
    letter = size / 34
    glass = tuple(
        _glass(number, window, width_m, depth_m, letter) for number, window in enumerate(windows, start=1)
    )
    return RoomPlan(
        width=width_m * u,
        depth=depth_m * u,
        mark_x=mark_m[0] * u,
        mark_y=mark_m[1] * u,
        arrow_y=min((mark_m[1] + CAMERA_ARROW_M) * u, depth_m * u - letter * 0.6),
        turn_deg=(180.0 - north_deg) % 360.0,
        letter=letter,
        glass=glass,
    )


def _glass(
    number: int,
    window: tuple[str, str, float, float, float, float],
    width_m: float,
    depth_m: float,
    letter: float,
) -> Glass:
    name, wall, offset, sill, width, height = window
    u = UNITS_A_METRE
    w, d = width_m * u, depth_m * u
    near, far = offset * u, (offset + width) * u
    words = f"{width:g} × {height:g} m, {sill:g} m above the floor"
    match wall:
        case "far":
            return Glass(number, name, wall, near, 0, far, 0, (near + far) / 2, letter * 1.2, words)
        case "near":
            x1, x2 = w - far, w - near
            return Glass(number, name, wall, x1, d, x2, d, (x1 + x2) / 2, d - letter * 0.5, words)
        case "left":
            y1, y2 = d - far, d - near
            return Glass(number, name, wall, 0, y1, 0, y2, letter * 0.8, (y1 + y2) / 2, words)
        case "right":
            return Glass(number, name, wall, w, near, w, far, w - letter * 0.8, (near + far) / 2, words)
        case _:
            top, bottom = sill * u, (sill + height) * u
            words = f"{width:g} × {height:g} m, in the roof"
            return Glass(
                number, name, wall, near, top, far, bottom, (near + far) / 2, (top + bottom) / 2, words
            )
