"""Is each strobe ready again when the next frame comes, at the pace of the session and in a burst?"""

from __future__ import annotations

from collections.abc import Iterator

from recipes.checks.explanation import Explanation
from recipes.checks.findings import Finding, Remedy, Status, Working
from recipes.checks.prediction import Prediction
from recipes.checks.setup import Setup
from recipes.checks.strobes import FiredStrobe, fired_strobes
from recipes.checks.verdict import not_known, status_of
from recipes.light.recycle import early_shot_stops, table_recycle_s

__all__ = ["EXPLANATION", "check"]

EXPLANATION = Explanation(
    name="recycle",
    family="time",
    title="Recycling keeps up",
    question="How long does each head take to its ready lamp and to full charge at the setting, against the time "
    "between frames?",
    formula=(
        "margin = time between frames − time to the ready lamp",
        "in a burst: time between frames = 1 / burst rate",
        "a frame before full charge is darker by log2( full charge / time between frames )",
    ),
    symbols=(
        ("time between frames", "the pace of the session, in s"),
        ("ready lamp", "when the head says it may be fired, in s; not yet full charge"),
        ("full charge", "when it gives its whole flash again, in s"),
    ),
    assumes=(
        "times come from the head's own table, between its lines straight in stops and logarithm, never beyond them",
        "the charger gives a constant power: the darkening of an early frame is the least it can be",
        "a fresh battery, or mains at its nominal voltage",
    ),
    source=("ISO 2827, recycling time", "energy balance of a constant-power charger"),
)


def check(setup: Setup, prediction: Prediction) -> Iterator[Finding]:
    """One finding a strobe light for the pace, one for its bursts; value, limit and margin in s."""
    session = setup.look.session
    for strobe in fired_strobes(setup, prediction):
        if strobe.setting_stops is None:
            missing = f"the setting of {strobe.name}"
            yield not_known(
                EXPLANATION,
                strobe.name,
                f"{strobe.who}: recycling depends on its setting, which is not known.",
                missing,
            )
            continue
        ready_s = table_recycle_s(strobe.spec.recycle, strobe.setting_stops, "ready lamp")
        full_s = table_recycle_s(strobe.spec.recycle, strobe.setting_stops, "full charge")
        if ready_s is None:
            missing = f"the recycling time of {strobe.type_name} at {strobe.setting_stops:+.1f} stops"
            yield not_known(EXPLANATION, strobe.name, f"{strobe.who}: missing {missing}.", missing)
            continue
        yield _finding(strobe, strobe.setting_stops, session.pace_s, ready_s, full_s, "")
        if session.burst_frames > 1:
            yield _finding(
                strobe, strobe.setting_stops, 1.0 / session.burst_rate_hz, ready_s, full_s, " in a burst"
            )


def _finding(
    strobe: FiredStrobe, setting_stops: float, gap_s: float, ready_s: float, full_s: float | None, when: str
) -> Finding:
    margin = gap_s - ready_s
    status: Status = status_of(margin)
    late_s = full_s if full_s is not None and full_s > gap_s else None
    if status == "ok" and late_s is not None:
        status = "tight"
    says = f"{strobe.who} is ready after {ready_s:.2g} s"
    every = f"a frame every {gap_s:.3g} s{when}"
    if status == "gap":
        sentence = f"{says} and {every} is wanted: it fires too weak or not at all."
    elif late_s is not None:
        darker = -early_shot_stops(gap_s, late_s)
        sentence = f"{says}, full only after {late_s:.2g} s; with {every} frames come up to {darker:.1f} stops darker."
    elif full_s is None:
        sentence = f"{says}, for {every}; its time to full charge is not stated."
    else:
        sentence = f"{says}, full after {full_s:.2g} s, for {every}."
    return Finding(
        check=EXPLANATION.name,
        status=status,
        about=f"{strobe.name}{when}",
        sentence=sentence,
        value=ready_s,
        limit=gap_s,
        margin=margin,
        unit="s",
        estimated=strobe.spec.source_of("recycle").basis == "estimated",
        remedies=() if status == "ok" else tuple(_remedies(strobe, setting_stops, gap_s, when)),
        workings=(
            Working(
                "ready lamp",
                "from its table at the setting",
                f"{setting_stops:+.1f} stops",
                f"{ready_s:.2f} s",
            ),
            Working(
                "full charge",
                "from its table at the setting",
                f"{setting_stops:+.1f} stops",
                f"{full_s:.2f} s" if full_s is not None else "not stated",
            ),
            Working(
                "to spare", "between frames − ready lamp", f"{gap_s:.3f} − {ready_s:.3f}", f"{margin:.3f} s"
            ),
        ),
    )


def _remedies(strobe: FiredStrobe, setting_stops: float, gap_s: float, when: str) -> Iterator[Remedy]:
    lines = sorted(strobe.spec.recycle, key=lambda line: -line.setting_stops)
    quick = next(
        (
            line
            for line in lines
            if line.setting_stops < setting_stops and (line.full_s or line.ready_s) <= gap_s
        ),
        None,
    )
    if quick is not None:
        yield Remedy(
            f"At {quick.setting_stops:+.1f} stops {strobe.type_name} keeps up: open the aperture or raise the ISO by "
            f"{setting_stops - quick.setting_stops:.1f} stops.",
            action="edit_recipe",
            arguments=(("light", strobe.name), ("setting_stops", f"{quick.setting_stops:g}")),
            costs="depth of field, or noise; the ambient grows with it",
        )
    yield Remedy("Shoot slower." if not when else "Make shorter or slower bursts.", action="edit_recipe")
    yield Remedy(f"Assign a second head to {strobe.name} and set both a stop lower.", action="assign")
