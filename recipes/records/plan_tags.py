"""Where on a drawing does a word stand beside its symbol without covering another?"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

__all__ = ["Tag", "TagPlacer"]

LETTER_WIDTH = 7.8
ABOVE_LINE, BELOW_LINE = 14.0, 5.0
SYMBOL_REACH = 15.0
FIRST_DISTANCE, FURTHER = 26.0, 17.0
BASE_LINE = 5.0
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
    """Puts each word above or below its symbol, away from the mark; where that is taken, beside it or further off."""

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
        beside = [(at[0] + side * (half + SYMBOL_REACH + 2), at[1]) for side in (1, -1)]
        places = [
            (x, at[1] + away * FIRST_DISTANCE),
            *beside,
            *(
                (x, at[1] + side * (FIRST_DISTANCE + FURTHER * step))
                for step in range(MOST_STEPS)
                for side in (-away, away)
            ),
        ]
        tags = [replace(tag, x=round(one, 1), y=round(other + BASE_LINE, 1)) for one, other in places]
        best = next((place for place in tags if self._is_free(place, half)), tags[0])
        self.taken.append(_box(best, half))
        return best

    def _is_free(self, tag: Tag, half: float) -> bool:
        box = _box(tag, half)
        inside = box[0] >= 0 and box[2] <= self.width and box[1] >= 0 and box[3] <= self.height
        return inside and not any(_overlap(box, other) for other in self.taken)


def _box(tag: Tag, half: float) -> Box:
    return tag.x - half, tag.y - ABOVE_LINE, tag.x + half, tag.y + BELOW_LINE


def _overlap(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
