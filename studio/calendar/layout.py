"""Where does each promise stand in its row?

A row is a unit, a gear type, a room or a person. What takes its time is drawn as a bar: the blocked interval, and in it
the use. Intervals are half-open, so that two which only touch stand side by side in one lane. Positions are percent of
the row's width (bars) or of the bar's width (use).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from gear.booking.line import ordinal
from gear.booking.wall_time import say_period
from studio.calendar.span import Span

__all__ = ["STATE_WORDS", "Bar", "Promise", "Step", "laid_out", "overlapping", "taken_over_time"]

STATE_WORDS = {
    "enquiry": "enquiry",
    "hold": "hold",
    "waits": "in line",
    "ended": "hold ended",
    "confirmed": "confirmed",
    "closed": "closed",
    "cancelled": "cancelled",
}
WANTED = ("enquiry", "hold", "confirmed")
LETTER_PERCENT = 0.72
"""Width of a letter on a desk, in percent of a row: it only decides where a label is put."""
LEAST_LABEL_PERCENT = 4.0
LEAST_BUFFER_PERCENT = 0.25


@dataclass(frozen=True)
class Promise:
    """What takes time of a row. ``blocked`` is the use plus prep and turnaround; ``blocks`` says whether it keeps
    others away; ``address`` is the page of its shoot and ``readiness`` the worst status of a coming one, or empty. One
    that waits in line behind others has a ``rank``."""

    booking_id: int
    title: str
    state: str
    use_from: datetime
    use_to: datetime
    blocked_from: datetime
    blocked_to: datetime
    zone: str
    address: str = ""
    readiness: str = ""
    blocks: bool = False
    count: int = 1
    role: str = ""
    rank: int = 0

    @property
    def is_wanted(self) -> bool:
        """Whether somebody still wants this time."""
        return self.state in WANTED

    @property
    def state_words(self) -> str:
        """Its state in a word; for one that waits its rank, ``2nd hold``."""
        return f"{ordinal(self.rank)} hold" if self.rank else STATE_WORDS[self.state]

    @property
    def readiness_words(self) -> str:
        """What the checks say of it, in a word or two."""
        return "not checked" if self.readiness == "stale" else self.readiness

    @property
    def has_buffers(self) -> bool:
        """Whether it blocks more than its use."""
        return self.blocked_from < self.use_from or self.use_to < self.blocked_to

    def when(self, zone: str) -> str:
        """Its use on its own wall clock, which is named when the reader's is another."""
        return say_period(self.use_from, self.use_to, self.zone) + self._label(zone)

    def blocked_when(self, zone: str) -> str:
        """The same of the blocked interval, empty when it blocks nothing more."""
        if not self.has_buffers:
            return ""
        return say_period(self.blocked_from, self.blocked_to, self.zone) + self._label(zone)

    def _label(self, zone: str) -> str:
        return "" if zone == self.zone else f" ({self.zone})"


@dataclass(frozen=True)
class Bar:
    """A promise in its row: lane from 0, percent of the row, and the use in percent of the bar."""

    promise: Promise
    zone: str
    lane: int
    from_percent: float
    width_percent: float
    use_from_percent: float
    use_width_percent: float
    goes_on_before: bool
    goes_on_after: bool
    label_at: str = "none"
    label_percent: float = 0.0

    @property
    def label(self) -> str:
        """What stands on it or beside it."""
        promise = self.promise
        many = f"{promise.count} × " if promise.count > 1 else ""
        return f"{many}{promise.title}"

    @property
    def sentence(self) -> str:
        """All that the drawing says of it."""
        promise = self.promise
        said = f"{self.label}: {promise.state_words}, {promise.when(self.zone)}"
        if promise.role:
            said += f", as {promise.role}"
        blocked = promise.blocked_when(self.zone)
        return f"{said}; blocked {blocked}" if blocked else said

    @property
    def style(self) -> str:
        """Its place as CSS custom properties."""
        return (
            f"--x:{self.from_percent}%;--w:{self.width_percent}%;--n:{self.lane};"
            f"--ux:{self.use_from_percent}%;--uw:{self.use_width_percent}%;--lw:{self.label_percent}"
        )

    @property
    def shows_buffers(self) -> bool:
        """Whether prep and turnaround are wide enough to be seen."""
        return self.width_percent * (100 - self.use_width_percent) / 100 >= LEAST_BUFFER_PERCENT

    @property
    def opens_to(self) -> str:
        """Towards which side there is room for what it says."""
        return "start" if self.from_percent > 55 else "end"


@dataclass(frozen=True)
class Step:
    """A stretch of time over which the same number of units is taken."""

    from_percent: float
    width_percent: float
    taken: int


def laid_out(promises: Iterable[Promise], span: Span) -> tuple[Bar, ...]:
    """The bars of a row in the order of time. What blocks stands in the upper lanes, what only wishes under it."""
    seen = [one for one in promises if span.touches(one.blocked_from, one.blocked_to)]
    seen.sort(
        key=lambda one: (not one.blocks, not one.is_wanted, one.blocked_from, one.blocked_to, one.booking_id)
    )
    lanes: list[list[Promise]] = []
    placed: list[tuple[int, Promise]] = []
    for one in seen:
        lane = next(
            (n for n, lane in enumerate(lanes) if not any(_overlap(one, other) for other in lane)), len(lanes)
        )
        if lane == len(lanes):
            lanes.append([])
        lanes[lane].append(one)
        placed.append((lane, one))
    bars: list[Bar] = []
    for number, lane in enumerate(lanes):
        lane.sort(key=lambda one: one.blocked_from)
        bars += _lane(number, lane, span)
    return tuple(sorted(bars, key=lambda bar: (bar.promise.blocked_from, bar.lane)))


def overlapping(promises: Iterable[Promise], span: Span) -> list[tuple[Promise, Promise]]:
    """Pairs that are both wanted for the same time within the span."""
    wanted = sorted(
        (one for one in promises if one.is_wanted), key=lambda one: (one.blocked_from, one.booking_id)
    )
    found = []
    for number, first in enumerate(wanted):
        for second in wanted[number + 1 :]:
            if second.blocked_from >= first.blocked_to:
                break
            if first.booking_id != second.booking_id and span.touches(
                max(first.blocked_from, second.blocked_from), min(first.blocked_to, second.blocked_to)
            ):
                found.append((first, second))
    return found


def taken_over_time(promises: Iterable[Promise], span: Span, *, wishes: bool = False) -> tuple[Step, ...]:
    """How many units are taken, as steps over the whole span; only what blocks counts, and with ``wishes`` also what is
    only asked for."""
    changes: dict[datetime, int] = {span.starts_at: 0}
    for one in promises:
        counts = one.blocks or (wishes and one.is_wanted)
        if counts and span.touches(one.blocked_from, one.blocked_to):
            begins, ends = max(one.blocked_from, span.starts_at), min(one.blocked_to, span.ends_at)
            changes[begins] = changes.get(begins, 0) + one.count
            changes[ends] = changes.get(ends, 0) - one.count
    instants = sorted(at for at, change in changes.items() if at == span.starts_at or change)
    steps, taken = [], 0
    for at, until in zip(instants, [*instants[1:], span.ends_at], strict=True):
        taken += changes[at]
        if at < until:
            begins = span.percent(at)
            steps.append(Step(begins, round(span.percent(until) - begins, 4), taken))
    return tuple(steps)


def _overlap(one: Promise, other: Promise) -> bool:
    return one.blocked_from < other.blocked_to and other.blocked_from < one.blocked_to


def _lane(number: int, lane: Sequence[Promise], span: Span) -> Iterable[Bar]:
    ends = [span.percent(one.blocked_to) for one in lane]
    starts = [span.percent(one.blocked_from) for one in lane]
    taken = 0.0  # up to where the last bar or its label reaches
    for index, one in enumerate(lane):
        begins, width = starts[index], ends[index] - starts[index]
        after = (starts[index + 1] if index + 1 < len(lane) else 100.0) - ends[index]
        needs = LETTER_PERCENT * _letters(one)
        label_at, room = _label(needs, width, begins - taken, after)
        if label_at == "after" and index + 1 < len(lane):
            room = min(needs, room)  # what it does not need is for the next one
        taken = ends[index] + (room if label_at == "after" else 0.0)
        use_from, use_to = span.percent(one.use_from), span.percent(one.use_to)
        yield Bar(
            promise=one,
            zone=span.zone,
            lane=number,
            from_percent=begins,
            width_percent=round(width, 4),
            use_from_percent=_part(use_from - begins, width),
            use_width_percent=_part(use_to - use_from, width),
            goes_on_before=one.blocked_from < span.starts_at,
            goes_on_after=one.blocked_to > span.ends_at,
            label_at=label_at,
            label_percent=round(room, 2),
        )


def _letters(one: Promise) -> int:
    """How many letters wide its label is, with the state that is named and the sign of its readiness."""
    named = 0 if one.state == "confirmed" else len(one.state_words) + 2
    counted = len(str(one.count)) + 3 if one.count > 1 else 0
    return len(one.title) + named + counted + (4 if one.readiness else 0) + 2


def _label(needs: float, width: float, before: float, after: float) -> tuple[str, float]:
    """Inside when it fits, else after or before the bar, where there is more room; else nowhere."""
    if width >= min(needs, 2 * LEAST_LABEL_PERCENT):
        return "inside", width
    if after >= LEAST_LABEL_PERCENT and (after >= needs or after >= before):
        return "after", after
    if before >= LEAST_LABEL_PERCENT:
        return "before", before
    return "none", 0.0


def _part(part: float, whole: float) -> float:
    return round(100 * part / whole, 3) if whole else 0.0
