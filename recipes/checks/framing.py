"""Does the frame take in the subject, and is there room to stand that far back?"""

from __future__ import annotations

from collections.abc import Iterator

from recipes.checks.explanation import Explanation
from recipes.checks.findings import Finding, Remedy, Working
from recipes.checks.optics import optics_of
from recipes.checks.prediction import Prediction
from recipes.checks.setup import Room, Setup
from recipes.checks.verdict import not_known, status_of
from recipes.light.framing import CAMERA_WORKING_ROOM_M, distance_for_frame_m, frame_at_mark, room_depth

__all__ = ["EXPLANATION", "check"]

AIR_SHARE = 0.05
"""Less than this of the frame left over is tight. Common practice, no source."""
LOOSE = 1.6
"""A frame this many times too high throws away more than half of the pixels. Common practice, no source."""
TIGHT_ROOM_M = 0.3
"""A hand's breadth behind the photographer's back is tight. Common practice, no source."""

EXPLANATION = Explanation(
    name="framing",
    family="picture",
    title="Framing fits lens and room",
    question="How high is the frame at the mark, against what the recipe wants in it, and does the camera have room?",
    formula=(
        "frame = sensor side · (s − f) / f",
        "margin = frame − wanted height, with the camera level or on its side, whichever is nearer",
        f"room: margin = depth of the room − (behind the mark + camera distance + {CAMERA_WORKING_ROOM_M:g})",
    ),
    symbols=(
        ("f, s", "focal length and distance of the mark from the lens, both in mm"),
        ("sensor side", "the one that stands upright, in mm"),
        ("wanted height", "how much of the subject's height fills the picture, in m"),
        ("behind the mark", "from the mark to the far wall, in m"),
    ),
    assumes=(
        "thin lens; the camera level with the middle of the frame",
        f"{CAMERA_WORKING_ROOM_M:g} m behind the lens for camera and photographer: house policy, no source",
    ),
    source=("Ray, Applied Photographic Optics",),
)


def check(setup: Setup, prediction: Prediction) -> Iterator[Finding]:
    """One finding for the frame when the recipe says what fills it, one for the room; m."""
    yield from _frame(setup)
    if setup.room is not None and not setup.room.outdoors:
        yield _room(setup, setup.room)


def _frame(setup: Setup) -> Iterator[Finding]:
    wanted = setup.look.subject.frame_height_m
    if wanted is None:
        return
    optics = optics_of(setup)
    missing = optics.missing or ("a camera body: its sensor" if optics.camera is None else "")
    if missing or optics.camera is None:
        yield not_known(
            EXPLANATION, "frame", f"How high the frame is is not known: missing {missing}.", missing
        )
        return
    sides = optics.camera.sensor_width_mm, optics.camera.sensor_height_mm
    level = frame_at_mark(*sides, optics.focal_mm, optics.distance_m)
    # The camera may be turned: of the two frames that hold the subject, the closer one.
    upright = frame_at_mark(*sides, optics.focal_mm, optics.distance_m, upright=True)
    holding = [frame for frame in (level, upright) if frame.height_m >= wanted]
    given = min((f.height_m for f in holding), default=max(level.height_m, upright.height_m))
    side = sides[1] if given == level.height_m else sides[0]
    margin = given - wanted
    status = status_of(margin, AIR_SHARE * wanted)
    loose = given > LOOSE * wanted
    if status == "ok" and loose:
        status = "tight"
    held = "camera level" if given == level.height_m else "camera on its side"
    sentence = f"The frame is {given:.2f} m high at the mark ({held}), wanted {wanted:.2f} m"
    if status == "gap":
        sentence += f": {-margin:.2f} m are cut off"
    elif loose:
        sentence += f": the subject fills {wanted / given:.0%} of it"
    best_m = distance_for_frame_m(side, optics.focal_mm, wanted * (1.0 + AIR_SHARE))
    yield Finding(
        check=EXPLANATION.name,
        status=status,
        about="frame",
        sentence=sentence + ".",
        value=given,
        limit=wanted,
        margin=margin,
        unit="m",
        remedies=()
        if status == "ok"
        else (
            Remedy(
                f"Put the camera at {best_m:.2f} m.",
                action="edit_recipe",
                arguments=(("distance_m", f"{best_m:.2f}"),),
                costs="another perspective",
            ),
            Remedy(
                f"Use about {optics.focal_mm * given / wanted:.0f} mm from the same place.",
                action="edit_recipe",
            ),
        ),
        workings=(
            Working(
                "frame",
                "sensor side · (s − f) / f",
                f"{side:g} · ({1000 * optics.distance_m:g} − {optics.focal_mm:g}) / {optics.focal_mm:g}",
                f"{1000 * given:.0f} mm",
            ),
        ),
    )


def _room(setup: Setup, room: Room) -> Finding:
    plan = setup.look.camera
    fit = room_depth(room.depth_m, plan.distance_m, room.mark_m[1])
    status = status_of(fit.margin_m, TIGHT_ROOM_M)
    return Finding(
        check=EXPLANATION.name,
        status=status,
        about=room.name,
        sentence=f"From the far wall to behind the camera it takes {fit.needed_m:.1f} m; {room.name} has "
        f"{fit.available_m:.1f} m.",
        value=fit.needed_m,
        limit=fit.available_m,
        margin=fit.margin_m,
        unit="m",
        remedies=()
        if status == "ok"
        else (
            Remedy(
                "Move the mark towards the far wall, or take a shorter lens nearer to it.",
                action="edit_recipe",
                costs="less room behind the subject; another perspective",
            ),
        ),
        workings=(
            Working(
                "needed",
                "behind the mark + camera distance + room to work",
                f"{room.mark_m[1]:g} + {plan.distance_m:g} + {CAMERA_WORKING_ROOM_M:g}",
                f"{fit.needed_m:.2f} m",
            ),
        ),
    )
