"""Does the shutter hold the whole frame open for the whole flash, or is high-speed sync there to do without?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import inf, log2

from gear.specs import CameraSpec
from recipes.checks.explanation import Explanation
from recipes.checks.findings import Finding, Remedy, Status, Working
from recipes.checks.high_speed import asks_high_speed, beyond_marked_sync
from recipes.checks.prediction import Prediction
from recipes.checks.setup import Setup
from recipes.checks.strobes import FiredStrobe, fired_strobes
from recipes.checks.verdict import engraved_time, not_known, status_of, times_of
from recipes.light.pulse import T01Estimate
from recipes.light.series import marks
from recipes.light.sync import (
    SyncMargin,
    high_speed_sync_loss_stops,
    late_closing_loss_stops,
    sync_margin,
)

__all__ = ["EXPLANATION", "check", "delay_s"]

TIGHT_SHARE = 0.05
"""Less than a twentieth of the window to spare is tight: delays differ by as much. Common practice, no source."""

EXPLANATION = Explanation(
    name="sync",
    family="time",
    title="Shutter within sync",
    question="Is the whole frame open for as long as the flash burns, the trigger's delay included?",
    formula=(
        "window = t − Tc   (leaf and global shutters: window = t)",
        "needed = delay + t0.1 at the setting",
        "margin = window − needed",
        "above sync, with high-speed sync: loss = log2( (Tc + t) / t ) + the head's own loss",
    ),
    symbols=(
        ("t", "true shutter time: an engraved 1/200 is 1/203; in ms"),
        ("Tc", "curtain travel of a focal-plane shutter, in ms"),
        ("t0.1", "time that the flash burns above a tenth of its peak, at the setting, in ms"),
        ("delay", "trigger, receiver and head together, in ms"),
        ("loss", "light lost to high-speed sync, in stops"),
    ),
    assumes=(
        "where only t0.5 is published, t0.1 is taken as three times as long (for a flash that is cut, as long as the "
        "cut leaves it) and counts as estimated, and the check is tight when 3.3 times would not fit",
        "the loss of high-speed sync is in the prediction of the zones already; without a figure on the head's sheet "
        "it is the least it can be",
    ),
    source=("ISO 516, shutters", "ISO 2827, flash duration"),
)


@dataclass(frozen=True)
class _Timing:
    """What decides about one strobe; two with the same figures share a finding."""

    t01: T01Estimate
    delay_s: float


def check(setup: Setup, prediction: Prediction) -> Iterator[Finding]:
    """One finding a strobe light, one for all that are equal; ms of shutter, or stops lost to high-speed sync."""
    strobes = list(fired_strobes(setup, prediction))
    if not strobes:
        return
    if setup.camera is None:
        yield not_known(
            EXPLANATION,
            "camera",
            "Whether the shutter holds the flash depends on the body, and none is assigned.",
            "a camera body",
            (Remedy("Assign a camera body.", action="assign"),),
        )
        return
    camera = setup.camera.spec
    if asks_high_speed(setup):
        for strobe in strobes:
            yield _high_speed(setup, camera, strobe)
        return
    groups: dict[_Timing, list[FiredStrobe]] = {}
    for strobe in strobes:
        t01 = strobe.t01
        if t01 is None:
            yield _no_duration(strobe)
        else:
            groups.setdefault(_Timing(t01, delay_s(setup, strobe)), []).append(strobe)
    for timing, group in groups.items():
        yield _fits(setup, camera, timing, group)


def delay_s(setup: Setup, strobe: FiredStrobe) -> float:
    """From the camera's contact to the light: trigger, receiver and head together, in s."""
    trigger = setup.trigger.spec.delay_s if setup.trigger else 0.0
    receiver = strobe.light.receiver.spec.delay_s if strobe.light.receiver else 0.0
    return trigger + receiver + strobe.spec.trigger_delay_s


def _no_duration(strobe: FiredStrobe) -> Finding:
    if strobe.setting_stops is None:
        missing = f"the setting of {strobe.name}"
    else:
        missing = f"t0.1 of {strobe.type_name} at {strobe.setting_stops:+.1f} stops"
    return not_known(
        EXPLANATION, strobe.name, f"{strobe.who}: cannot tell how long it burns; missing {missing}.", missing
    )


def _fits(setup: Setup, camera: CameraSpec, timing: _Timing, group: list[FiredStrobe]) -> Finding:
    shutter_s = setup.look.camera.time_s
    about = ", ".join(strobe.name for strobe in group)
    travel_s = camera.curtain_travel_s
    if camera.shutter == "focal-plane" and travel_s is None and not beyond_marked_sync(shutter_s, camera):
        # The marked sync time is the most that the travel can be: a time that holds even then needs no figure.
        at_most = sync_margin(
            shutter_s, timing.t01.longest_s, timing.delay_s, "focal-plane", camera.sync_speed_s
        )
        if not at_most.holds:
            body = setup.camera.type_name if setup.camera else "the body"
            return not_known(
                EXPLANATION,
                about,
                f"{engraved_time(setup.look.camera)} is no shorter than the marked sync time, but how much of it the "
                f"whole frame is open depends on the curtain travel of {body}.",
                f"the curtain travel of {body}",
            )
    longest_travel_s = travel_s if travel_s is not None else camera.sync_speed_s
    likely = sync_margin(shutter_s, timing.t01.likely_s, timing.delay_s, camera.shutter, longest_travel_s)
    worst = sync_margin(shutter_s, timing.t01.longest_s, timing.delay_s, camera.shutter, longest_travel_s)
    status = status_of(likely.margin_s, TIGHT_SHARE * likely.window_s)
    if status == "ok" and not worst.holds:
        status = "tight"
    return Finding(
        check=EXPLANATION.name,
        status=status,
        about=about,
        sentence=_sentence(setup, camera, likely, timing, status, about),
        value=1000 * likely.needed_s,
        limit=1000 * likely.window_s,
        margin=1000 * likely.margin_s,
        unit="ms",
        estimated=timing.t01.estimated or group[0].spec.source_of("durations").basis == "estimated",
        remedies=() if status == "ok" else tuple(_remedies(setup, camera, likely, worst, group)),
        workings=tuple(_workings(camera, shutter_s, longest_travel_s, likely, timing)),
    )


def _sentence(
    setup: Setup, camera: CameraSpec, fit: SyncMargin, timing: _Timing, status: Status, about: str
) -> str:
    at = engraved_time(setup.look.camera)
    start = f"{about} needs {1000 * fit.needed_s:.2f} ms"
    opened = max(fit.window_s, 0.0)
    if status != "gap":
        close = ", with hardly any to spare" if status == "tight" else ""
        return f"{start}; at {at} the whole frame is open for {1000 * opened:.2f} ms{close}."
    short = f"{start}; at {at} the whole frame is open for only {1000 * opened:.2f} ms"
    if camera.shutter == "focal-plane":
        return f"{short}: {fit.unlit_part:.0%} of the frame's height does not get the whole flash."
    lost = late_closing_loss_stops(setup.look.camera.time_s, timing.t01.likely_s, timing.delay_s)
    if lost == inf:
        return f"{short}: it closes before the flash."
    return f"{short}: {lost:.1f} stops of the flash come too late."


def _remedies(
    setup: Setup, camera: CameraSpec, likely: SyncMargin, worst: SyncMargin, group: list[FiredStrobe]
) -> Iterator[Remedy]:
    plan = setup.look.camera
    longer = [mark for mark in marks("shutter", plan.series) if mark.value >= worst.shortest_time_s]
    if longer:
        mark = min(longer, key=lambda one: one.value)
        yield Remedy(
            f"Set the shutter to {mark.label}.",
            action="change_camera",
            arguments=(("shutter", mark.engraved if "/" in mark.engraved else f"{mark.engraved}s"),),
            costs=f"ambient +{log2(mark.value / plan.time_s):.1f} stops, and its blur grows with it",
        )
    if not likely.holds and camera.shutter == "focal-plane" and not _without_high_speed(setup, group):
        yield Remedy(
            "Let the recipe use high-speed sync.", action="edit_recipe", costs=_least_loss(setup, camera)
        )


def _least_loss(setup: Setup, camera: CameraSpec) -> str:
    travel = camera.curtain_travel_s or camera.sync_speed_s
    return f"{high_speed_sync_loss_stops(setup.look.camera.time_s, travel):.1f} stops of flash, or more"


def _workings(
    camera: CameraSpec, shutter_s: float, travel_s: float, fit: SyncMargin, timing: _Timing
) -> Iterator[Working]:
    t01_ms, delay_ms = 1000 * timing.t01.likely_s, 1000 * timing.delay_s
    if camera.shutter == "focal-plane":
        numbers = f"{1000 * shutter_s:.2f} − {1000 * travel_s:.2f}"
        yield Working("window", "t − Tc", numbers, f"{1000 * fit.window_s:.2f} ms")
    else:
        yield Working("window", "t", f"{1000 * shutter_s:.2f}", f"{1000 * fit.window_s:.2f} ms")
    yield Working("needed", "delay + t0.1", f"{delay_ms:.2f} + {t01_ms:.2f}", f"{1000 * fit.needed_s:.2f} ms")
    if timing.t01.estimated:
        yield Working(
            "t0.1 from t0.5",
            "2.2 to 3.3 times as long, 3 taken",
            f"{1000 * timing.t01.shortest_s:.2f} to {1000 * timing.t01.longest_s:.2f} ms",
            f"{t01_ms:.2f} ms",
        )


def _without_high_speed(setup: Setup, strobes: list[FiredStrobe]) -> list[str]:
    """Units that do not know high-speed sync."""
    found = [tag for strobe in strobes if not strobe.spec.high_speed_sync for tag in strobe.tags]
    if setup.trigger is not None and not setup.trigger.spec.high_speed_sync:
        found.append(setup.trigger.tag)
    return found


def _high_speed(setup: Setup, camera: CameraSpec, strobe: FiredStrobe) -> Finding:
    lacking = _without_high_speed(setup, [strobe])
    shutter_s, at = setup.look.camera.time_s, engraved_time(setup.look.camera)
    if lacking or setup.trigger is None:
        does = "do" if len(lacking) > 1 else "does"
        why = f"{' and '.join(lacking)} {does} not do it" if lacking else "no trigger is assigned that could"
        return Finding(
            check=EXPLANATION.name,
            status="gap",
            about=strobe.name,
            sentence=f"{strobe.name}: the recipe asks for high-speed sync at {at}, and {why}.",
            remedies=(
                Remedy(
                    f"Assign a head and a trigger with high-speed sync to {strobe.name}.", action="assign"
                ),
                Remedy(
                    f"Set the shutter to {times_of(camera.sync_speed_s)} and dim the ambient by a filter.",
                    action="edit_recipe",
                    costs="a filter dims the flash as well",
                ),
            ),
        )
    travel_s = camera.curtain_travel_s or camera.sync_speed_s
    least = high_speed_sync_loss_stops(shutter_s, travel_s)
    own = strobe.spec.high_speed_sync_loss_stops
    loss = least + (own or 0.0)
    return Finding(
        check=EXPLANATION.name,
        status="ok",
        about=strobe.name,
        sentence=f"{strobe.who} fires by high-speed sync at {at} and loses "
        f"{loss:.1f} stops by it{'' if own is not None else ' or more'}.",
        value=loss,
        unit="stops",
        estimated=own is None or camera.curtain_travel_s is None,
        workings=(
            Working(
                "passage of the slit",
                "log2( (Tc + t) / t )",
                f"log2( ({1000 * travel_s:.2f} + {1000 * shutter_s:.2f}) / {1000 * shutter_s:.2f} )",
                f"{least:.2f} stops",
            ),
            Working(
                "head",
                "its own loss, by its sheet",
                "",
                f"{own:.2f} stops" if own is not None else "not stated",
            ),
        ),
    )
