"""When does the sun itself reach the mark?"""

from __future__ import annotations

from collections.abc import Iterator

from recipes.checks.common import Common
from recipes.checks.explanation import Explanation
from recipes.checks.findings import Finding, Remedy
from recipes.checks.panes import panes_of
from recipes.checks.prediction import Prediction
from recipes.checks.setup import Setup
from recipes.checks.stage import HEAD_SHARE_OF_HEIGHT
from recipes.light.sun_patch import sun_visits

__all__ = ["EXPLANATION", "check"]

EXPLANATION = Explanation(
    name="sun-on-mark",
    family="exposure",
    title="Sun on the mark",
    question="Does the sun come through a window onto the subject while the shoot lasts, and when?",
    formula=("the ray from the head of the figure towards the sun passes the pane, and the sun is up",),
    symbols=(("head of the figure", f"{HEAD_SHARE_OF_HEIGHT:.0%} of the subject's height, above the mark"),),
    assumes=("a cloudless sky; houses, trees, curtains and frames are not known",),
    source=("NREL/TP-560-34302 (pvlib) for the sun's place",),
)


def check(setup: Setup, prediction: Prediction, common: Common | None = None) -> Iterator[Finding]:
    """One finding a window the sun comes through, or one for all when it comes through none."""
    room = setup.room
    if room is None or not room.windows or setup.starts is None or setup.ends is None:
        return
    common = common or Common(setup)
    if common.sun is None:
        yield Finding(
            check=EXPLANATION.name,
            status="unknown",
            about="sun",
            sentence="Whether the sun reaches the mark cannot be told: the place has no latitude and longitude.",
            missing="latitude and longitude of the place",
        )
        return
    head = (0.0, 0.0, setup.look.subject.height_m * HEAD_SHARE_OF_HEIGHT)
    through = common.sun.some(0, len(common.instants))
    zone = setup.starts.tzinfo
    found = False
    for window, pane in zip(room.windows, panes_of(room), strict=True):
        visits = sun_visits(pane, through, head, room_north_deg=room.north_deg)
        if not visits:
            continue
        found = True
        hours = " and ".join(
            f"from {visit.start.astimezone(zone):%H:%M} to {visit.end.astimezone(zone):%H:%M}"
            for visit in visits
        )
        minutes = sum((visit.end - visit.start).total_seconds() for visit in visits) / 60.0
        yield Finding(
            check=EXPLANATION.name,
            status="tight",
            about=window.name,
            sentence=f"On a clear day the sun comes through {window.name} onto the mark {hours}.",
            value=minutes,
            limit=0.0,
            margin=None,
            unit="min",
            remedies=(
                Remedy(f"Hang a scrim or a curtain in {window.name}, or make this look at another hour."),
            ),
        )
    if not found:
        yield Finding(
            check=EXPLANATION.name,
            status="ok",
            about="sun",
            sentence="The sun does not come through a window onto the mark during the shoot.",
        )
