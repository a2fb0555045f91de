"""Where does everything stand on the stops scale?

The scale is a horizontal ruler of placements in stops. Each zone is a row: the bracket of its target, and a column at
the predicted placement. The column is filled from below with the ambient part and on top with the flash part of the
zone's light, linear in light; the whisker through it is one standard deviation to each side. Positions are percent of
the ruler's width, so that one drawing fits a desk, a phone and paper.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from math import ceil, floor

__all__ = ["Row", "StopsScale", "Tick", "ZoneMark", "stops_scale"]

_Position = Callable[[float], float]

USUAL_LOW, USUAL_HIGH = -5, 4
LOWEST, HIGHEST = -10, 8
PADDING_STOPS = 0.4
COLUMN_HEIGHT = 32.0
"""Height of a column in CSS pixels; the template draws it so."""


@dataclass(frozen=True)
class ZoneMark:
    """What the scale shows of one zone. Stops are placements, 0 is the metered tone.

    ``predicted_stops`` is None when it is not known, and ``missing`` then says why. Shares are parts of the zone's
    light from 0 to 1, linear in light: ``ambient_share`` everything that grows with the shutter time (continuous lamps
    too), ``flash_share`` what does not. ``stays_dark`` opens the bracket downwards: darker is never wrong. ``status``
    is that of the finding on this zone, empty when nobody checked.
    """

    name: str
    target_stops: float
    tolerance_stops: float
    predicted_stops: float | None = None
    spread_stops: float | None = None
    ambient_share: float = 0.0
    flash_share: float = 0.0
    stays_dark: bool = False
    status: str = ""
    estimated: bool = False
    missing: str = ""

    @property
    def brightest_stops(self) -> float:
        """The upper end of its bracket."""
        return self.target_stops + self.tolerance_stops

    @property
    def off_stops(self) -> float:
        """How far outside its bracket it lies: above 0 too bright, below 0 too dark, 0 inside or unknown."""
        if self.predicted_stops is None:
            return 0.0
        off = self.predicted_stops - self.target_stops
        if off > self.tolerance_stops + 1e-9:
            return off - self.tolerance_stops
        if off < -self.tolerance_stops - 1e-9 and not self.stays_dark:
            return off + self.tolerance_stops
        return 0.0


@dataclass(frozen=True)
class Tick:
    """A line of the ruler at ``x_percent``; ``label`` is empty for thirds."""

    x_percent: float
    label: str
    whole: bool
    zero: bool


@dataclass(frozen=True)
class Row:
    """One zone, laid out. Percent are of the ruler's width, pixels of the column's height."""

    mark: ZoneMark
    bracket_from_percent: float
    bracket_to_percent: float
    open_below: bool
    column_percent: float | None
    whisker_from_percent: float | None
    whisker_to_percent: float | None
    gap_from_percent: float | None
    gap_to_percent: float | None
    off_scale: str
    ambient_px: float
    flash_px: float

    @property
    def bracket_width_percent(self) -> float:
        """Width of the bracket."""
        return round(self.bracket_to_percent - self.bracket_from_percent, 3)

    @property
    def whisker_width_percent(self) -> float:
        """Width of the whisker, 0 without one."""
        return _width(self.whisker_from_percent, self.whisker_to_percent)

    @property
    def gap_width_percent(self) -> float:
        """Width of what lies between the bracket and a column outside it, 0 for one inside."""
        return _width(self.gap_from_percent, self.gap_to_percent)


@dataclass(frozen=True)
class StopsScale:
    """The whole drawing: whole stops from ``low`` to ``high``."""

    low: int
    high: int
    ticks: tuple[Tick, ...]
    rows: tuple[Row, ...]

    @property
    def shows_flash(self) -> bool:
        """Whether any zone gets flash."""
        return any(row.mark.flash_share > 0 for row in self.rows)


def stops_scale(marks: Iterable[ZoneMark]) -> StopsScale:
    """Lay out the scale for these zones, in their order.

    The ruler spans −5 to +4 stops and grows by whole stops to hold every bracket and column, to −10 to +8 at most;
    what lies further is drawn at the edge with ``off_scale`` ``"below"`` or ``"above"``.
    """
    marks = tuple(marks)
    low, high = _span(marks)

    def x(stops: float) -> float:
        held = min(max(stops, low - PADDING_STOPS), high + PADDING_STOPS)
        return round(100 * (held - low + PADDING_STOPS) / (high - low + 2 * PADDING_STOPS), 3)

    return StopsScale(low, high, tuple(_ticks(low, high, x)), tuple(_row(m, low, high, x) for m in marks))


def _span(marks: tuple[ZoneMark, ...]) -> tuple[int, int]:
    reach: list[float] = []
    for mark in marks:
        reach += [mark.target_stops - mark.tolerance_stops, mark.target_stops + mark.tolerance_stops]
        if mark.predicted_stops is not None:
            spread = mark.spread_stops or 0.0
            reach += [mark.predicted_stops - spread, mark.predicted_stops + spread]
    low = min([USUAL_LOW, *(floor(stops) for stops in reach)])
    high = max([USUAL_HIGH, *(ceil(stops) for stops in reach)])
    return max(low, LOWEST), min(high, HIGHEST)


def _ticks(low: int, high: int, x: _Position) -> Iterable[Tick]:
    for third in range(3 * low, 3 * high + 1):
        stops, rest = divmod(third, 3)
        label = "" if rest else "0" if stops == 0 else f"{'+' if stops > 0 else '−'}{abs(stops)}"
        yield Tick(x(third / 3), label, whole=rest == 0, zero=third == 0)


def _width(start: float | None, end: float | None) -> float:
    return 0.0 if start is None or end is None else round(end - start, 3)


def _row(mark: ZoneMark, low: int, high: int, x: _Position) -> Row:
    predicted = mark.predicted_stops
    column = whisker_from = whisker_to = gap_from = gap_to = None
    off_scale = ""
    if predicted is not None:
        column = x(predicted)
        off_scale = (
            "below"
            if predicted < low - PADDING_STOPS
            else "above"
            if predicted > high + PADDING_STOPS
            else ""
        )
        if mark.spread_stops and not off_scale:
            whisker_from, whisker_to = x(predicted - mark.spread_stops), x(predicted + mark.spread_stops)
    bracket_from = 0.0 if mark.stays_dark else x(mark.target_stops - mark.tolerance_stops)
    bracket_to = x(mark.target_stops + mark.tolerance_stops)
    if column is not None and mark.off_stops:
        gap_from, gap_to = (bracket_to, column) if mark.off_stops > 0 else (column, bracket_from)
    return Row(
        mark=mark,
        bracket_from_percent=bracket_from,
        bracket_to_percent=bracket_to,
        open_below=mark.stays_dark,
        column_percent=column,
        whisker_from_percent=whisker_from,
        whisker_to_percent=whisker_to,
        gap_from_percent=gap_from,
        gap_to_percent=gap_to,
        off_scale=off_scale,
        ambient_px=round(COLUMN_HEIGHT * mark.ambient_share, 2),
        flash_px=round(COLUMN_HEIGHT * mark.flash_share, 2),
    )
