"""A morning at the big window, as plain values: what the shared templates are shown with in tests."""

from __future__ import annotations

from recipes.checks.findings import Finding, Remedy, Working
from studio.drawings.floor_plan import (
    BoardMark,
    CameraMark,
    LightMark,
    PlanRoom,
    PlanScene,
    SpotMark,
    SunPatch,
    WindowMark,
)
from studio.drawings.scale import ZoneMark

MARKS = (
    ZoneMark("lit cheek", 0.0, 0.3, 0.2, 0.1, 0.22, 0.78, status="ok"),
    ZoneMark("shadow cheek", -1.3, 0.4, -1.0, 0.35, 0.55, 0.45, status="tight", estimated=True),
    ZoneMark("window", 1.0, 0.7, 2.9, 0.2, 1.0, 0.0, status="gap"),
    ZoneMark("backdrop", -2.5, 0.5, -2.9, 0.4, 0.9, 0.1, stays_dark=True, status="ok"),
    ZoneMark("hair", 0.5, 0.4, missing="a stand for the rim light", status="unknown"),
)

SCENE = PlanScene(
    camera=CameraMark((0.0, 3.0), 24.0, 1.6),
    room=PlanRoom("Tram depot, Hall", 6.0, 8.0, 3.0, 3.0),
    windows=(
        WindowMark("North window", ((2.0, -3.0), (-1.2, -3.0))),
        WindowMark("Skylight", ((-1.0, -1.5), (-2.4, -1.5), (-2.4, 0.5), (-1.0, 0.5))),
    ),
    lights=(
        LightMark("Key", "key", "strobe", (0.96, 1.15), (0.0, 0.0), 2.0, 0.9, "−1.3 stops"),
        LightMark("Fill", "fill", "strobe", (-1.6, 1.9), (-2.2, 1.0), 1.6, 0.3),
        LightMark("Hair", "rim", "strobe", (-1.1, -1.5), (0.0, 0.0), 2.4, 0.4),
        LightMark("Desk lamp", "practical", "continuous", (1.9, -1.2), (1.2, -0.8), 1.2, 0.2),
    ),
    boards=(
        BoardMark("White board", (-2.3, 0.9), 1.2, 70.0),
        BoardMark("Black flag", (1.1, -0.2), 0.9, 270.0, "flag"),
    ),
    spots=(SpotMark("backdrop", (0.3, -2.4)),),
    sun_patches=(SunPatch("10:30", ((2.4, -0.4), (1.4, -0.9), (1.0, 0.2), (2.0, 0.7))),),
    tolerance_area_m=((0.35, 0.3), (-0.3, 0.35), (-0.4, -0.3), (0.3, -0.35)),
    north_deg=150.0,
)

FINDINGS = (
    Finding(
        "placement",
        "gap",
        "window",
        "window at +2.9, wanted +1.0 ±0.7: 1.2 stops too bright.",
        value=2.9,
        limit=1.0,
        margin=-1.2,
        unit="stops",
        spread=0.2,
        remedies=(
            Remedy(
                "Shutter 1/250 and one stop of ND on the lens",
                action="change_camera",
                costs="the key needs 1.0 stop more; it has 0.6",
            ),
            Remedy("Move the shoot to 11:30, when the sky there is 1.3 stops darker"),
        ),
        workings=(
            Working("ambient", "log2(S · L · t / (K · N²))", "100 · 2600 / 200 / (12.5 · 31.4)", "+2.9"),
            Working("margin", "tolerance − |P − target|", "0.7 − |2.9 − 1.0|", "−1.2 stops"),
        ),
    ),
    Finding(
        "stand-load",
        "gap",
        "Hair",
        "Stand S-04 carries 4.0 kg; head, reflector and boom weigh 6.3 kg.",
        value=6.3,
        limit=4.0,
        margin=-2.3,
        unit="kg",
        remedies=(
            Remedy("Take stand S-09, it carries 12 kg", action="swap_unit", costs="2.1 kg more to carry"),
        ),
        caution="A falling head injures people. Weigh what is really mounted, bag the legs, and follow the maker's "
        "load table and local rules for work at height.",
    ),
    Finding(
        "recycle",
        "tight",
        "Key",
        "K-03 is ready after 0.92 s; the pace is one frame a second.",
        value=0.92,
        limit=1.0,
        margin=0.08,
        unit="s",
        spread=0.1,
        estimated=True,
    ),
    Finding(
        "freeze",
        "unknown",
        "Key",
        "Nobody has entered t0.1 for K-03 at −1.3 stops.",
        missing="t0.1 at −1.3 stops, from the maker's table or a measurement",
    ),
    Finding("sync", "ok", "camera", "1/200 s lies inside the sync window.", 5000.0, 4200.0, 800.0, "µs"),
    Finding("battery", "ok", "B-11", "B-11 gives 410 flashes; 240 are planned.", 410, 240, 170, "flashes"),
)
