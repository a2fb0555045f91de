"""Do the flashes come so fast that the people in the room must be told first?"""

from __future__ import annotations

from collections.abc import Iterator

from recipes.checks.explanation import Explanation
from recipes.checks.findings import Finding, Remedy, Status, Working
from recipes.checks.prediction import Prediction
from recipes.checks.setup import Setup
from recipes.checks.strobes import fired_strobes
from recipes.light.photosensitivity import flash_caution
from recipes.rig.caution import FLASHING_FROM_HZ, Hazard, caution

__all__ = ["EXPLANATION", "check"]

EXPLANATION = Explanation(
    name="flash-rate",
    family="time",
    title="Flashes a second",
    question="How many flashes a second do the people in the room see, against the rate from which one warns?",
    formula=(
        "rate = the larger of 1 / pace and, with bursts, the burst rate",
        f"margin = {FLASHING_FROM_HZ:g} − rate",
    ),
    symbols=(
        ("pace", "seconds between frames"),
        ("burst rate", "frames a second in a burst"),
        ("rate", "flashes a second"),
    ),
    assumes=(
        "all strobes fire together, once a frame",
        "no question at 1 flash a second and slower",
        "some people react to less; the word of anyone present and the rules of the place go first",
    ),
    source=(
        "epilepsy charities' public pages, read second hand",
        "Web Content Accessibility Guidelines 2, criterion 2.3.1 (three flashes a second)",
    ),
)


def check(setup: Setup, prediction: Prediction) -> Iterator[Finding]:
    """One finding for all strobes; value, limit and margin in flashes a second."""
    session = setup.look.session
    rate_hz = 1.0 / session.pace_s
    if session.burst_frames > 1:
        rate_hz = max(rate_hz, session.burst_rate_hz)
    if rate_hz <= 1.0 or not any(fired_strobes(setup, prediction)):
        return
    margin = FLASHING_FROM_HZ - rate_hz
    # Nothing fails above the rate: it is for people to decide, so it is never a gap.
    status: Status = "ok" if margin >= 0 else "tight"
    yield Finding(
        check=EXPLANATION.name,
        status=status,
        about="flashes",
        sentence=flash_caution(rate_hz).sentence,
        value=rate_hz,
        limit=FLASHING_FROM_HZ,
        margin=margin if status == "ok" else None,
        unit="1/s",
        remedies=()
        if status == "ok"
        else (
            Remedy(f"Keep to {FLASHING_FROM_HZ:g} frames a second or fewer.", action="edit_recipe"),
            Remedy("Tell everyone before the first flash, and ask who should not stay."),
        ),
        workings=(
            Working("pace", "1 / pace", f"1 / {session.pace_s:g}", f"{1 / session.pace_s:.2f} a second"),
            Working(
                "burst",
                "burst rate",
                f"{session.burst_frames} frames",
                f"{session.burst_rate_hz:g} a second" if session.burst_frames > 1 else "none",
            ),
        ),
        caution=caution(Hazard.FLASHING),
    )
