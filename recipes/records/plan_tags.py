"""Where on a drawing does a word stand beside its symbol without covering another?"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

__all__ = ["Tag", "TagPlacer"]

LETTER_WIDTH = 8.4
ABOVE_LINE, BELOW_LINE = 14.0, 5.0
SYMBOL_REACH = 15.0
FIRST_DISTANCE, FURTHER = 26.0, 17.0
MOST_STEPS = 6

Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class Tag:
    """A word, and the middle of its base line."""

    text: str
    x: float = 0.0
    y: float = 0.0


@dataclass
class TagPlacer:
    """Puts each word above or below its symbol, away from the mark, and further off where the place is taken."""

    width: float
    height: float
    mark_y: float
    taken: list[Box] = field(default_factory=list)

    def keep_clear(self, at: tuple[float, float]) -> None:
        """A symbol stands here."""
        x, y = at
        self.taken.append((x - SYMBOL_REACH, y - SYMBOL_REACH, x + SYMBOL_REACH, y + SYMBOL_REACH))

    def put(self, tag: Tag, at: tuple[float, float]) -> Tag:
        """The word with its place; when every place is taken, the nearest one all the same."""
        half = LETTER_WIDTH * len(tag.text) / 2
        x = min(max(at[0], half + 2), max(self.width - half - 2, half + 2))
        away = 1 if at[1] >= self.mark_y else -1
        places = [
            replace(tag, x=round(x, 1), y=round(at[1] + side * (FIRST_DISTANCE + FURTHER * step) + shift, 1))
            for step in range(MOST_STEPS)
            for side, shift in ((away, 5.0), (-away, 5.0))
        ]
        best = next((place for place in places if self._is_free(place, half)), places[0])
        self.taken.append(_box(best, half))
        return best

    def _is_free(self, tag: Tag, half: float) -> bool:
        box = _box(tag, half)
        inside = box[1] >= 0 and box[3] <= self.height
        return inside and not any(_overlap(box, other) for other in self.taken)


def _box(tag: Tag, half: float) -> Box:
    return tag.x - half, tag.y - ABOVE_LINE, tag.x + half, tag.y + BELOW_LINE


def _overlap(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
