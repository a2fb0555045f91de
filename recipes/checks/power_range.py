"""Does every head have the power that the recipe asks of it, and not more than it can hold back?"""

from __future__ import annotations

from collections.abc import Iterator

from recipes.checks.explanation import Explanation
from recipes.checks.findings import Finding, Remedy, Status, Working
from recipes.checks.prediction import LightSetting, Prediction
from recipes.checks.setup import AssignedLight, Setup
from recipes.checks.verdict import ROUNDING_STOPS, signed

__all__ = ["EXPLANATION", "check", "setting_words"]

EXPLANATION = Explanation(
    name="power-range",
    family="exposure",
    title="Heads inside their power range",
    question="Which setting does each light need, does the assigned head have it, and with how much to spare?",
    formula=(
        "wanted factor m = (light the zone still needs) / (light this head gives it at full power)",
        "wanted setting = the setting whose output is log2 m below full, from the head's calibration table",
        "margin = min( full − wanted, wanted − lowest )",
    ),
    symbols=(
        ("setting", "stops from full power: 0 full, −1 half, −6 one sixty-fourth"),
        ("m", "share of full power; above 1 the head is too weak"),
    ),
    assumes=(
        "output between two calibration points runs monotone, in stops",
        "the setting dialled is the nearest one on the head's own grid",
        "spread: the head, boards, scrims and the room, and what the lens takes close up where nobody says how it "
        "focuses, which a lift above the ambient does not hang on; that the light there already may be otherwise than "
        "read, or other lights than predicted, is not in it",
    ),
    source=("ISO 1230:1992 (guide number = f-number × distance)", "Lambert's law for the face and the board"),
)


def check(setup: Setup, prediction: Prediction) -> Iterator[Finding]:
    """One finding a light; value, limit and margin in stops of setting."""
    for light in setup.lights:
        setting = prediction.light(light.plan.name)
        if setting.wanted_stops is None:
            yield _unknown(light, setting)
        else:
            yield _known(light, setting, setting.wanted_stops)


def setting_words(stops: float) -> str:
    """A setting as people say it: full power, 1/2 power, 1/4 power −0.3."""
    whole = int(-(-stops // 1))
    rest = whole - stops
    power = "full power" if whole == 0 else f"1/{2**-whole} power"
    return power if rest < ROUNDING_STOPS else f"{power} −{rest:.1f}"


def _unknown(light: AssignedLight, setting: LightSetting) -> Finding:
    status: Status = "gap" if not light.heads else "unknown"
    sentence = (
        f"{light.plan.name} has no head assigned."
        if not light.heads
        else f"{light.plan.name}: cannot tell the setting; missing {setting.missing}."
    )
    remedies = (
        (
            Remedy(
                f"Assign a head to {light.plan.name}.",
                action="assign",
                arguments=(("light", light.plan.name),),
            ),
        )
        if not light.heads
        else ()
    )
    return Finding(
        check=EXPLANATION.name,
        status=status,
        about=light.plan.name,
        sentence=sentence,
        unit="stops",
        missing=setting.missing,
        remedies=remedies,
    )


def _known(light: AssignedLight, setting: LightSetting, wanted: float) -> Finding:
    above, below = 0.0 - wanted, wanted - setting.lowest_stops
    margin = min(above, below)
    status: Status = (
        "gap"
        if margin < -ROUNDING_STOPS
        else "tight"
        if margin < setting.spread_stops and not setting.fixed
        else "ok"
    )
    who = f"{light.plan.name} ({' + '.join(setting.unit_tags)})"
    if wanted > ROUNDING_STOPS:
        by = _bounced(light)
        sentence = f"{who} is {wanted:.1f} stops too weak{by}: {setting.zone} stays short even at full power."
    elif below < -ROUNDING_STOPS:
        sentence = f"{who} is {-below:.1f} stops too strong even at its lowest setting."
    else:
        at = setting.setting_stops if setting.setting_stops is not None else wanted
        sentence = f"{who} at {setting_words(at)} ({signed(at)}), {above:.1f} stops left above."
    return Finding(
        check=EXPLANATION.name,
        status=status,
        about=light.plan.name,
        sentence=sentence,
        value=wanted,
        limit=0.0 if above <= below else setting.lowest_stops,
        margin=margin,
        unit="stops",
        spread=setting.spread_stops,
        estimated=setting.estimated,
        remedies=tuple(_remedies(light, setting, wanted, below)),
        workings=tuple(_workings(setting, wanted)),
    )


def _bounced(light: AssignedLight) -> str:
    """What a turned light goes by, with its size, since a bigger one takes more power."""
    bounce = light.plan.bounce
    if bounce is None:
        return ""
    if bounce.surface in ("wall", "ceiling"):
        return f" off the {bounce.surface}"
    size = light.board.spec if light.board else None
    width, height = (size.width_m, size.height_m) if size else (bounce.width_m, bounce.height_of_board_m)
    return f" off the {width:g} × {height:g} m board"


def _remedies(light: AssignedLight, setting: LightSetting, wanted: float, below: float) -> Iterator[Remedy]:
    name = light.plan.name
    if wanted > -setting.spread_stops and not setting.fixed:
        short = max(wanted, 0.0)
        if light.plan.bounce is not None:
            yield Remedy(
                f"Bring lamp and board nearer to the subject for {name}; "
                f"{short:.1f} stops is a factor of {2**short:.1f} in light.",
                action="edit_recipe",
                costs="the light falls off faster across the subject",
            )
        elif short:
            yield Remedy(
                f"Bring {name} nearer: to {2 ** (-short / 2):.0%} of its distance, roughly.",
                action="edit_recipe",
                costs="the light falls off faster across the subject",
            )
    if below < -ROUNDING_STOPS:
        yield Remedy(
            f"Hold {name} back by {-below:.1f} stops: a scrim, a neutral density gel, or more distance.",
            action="edit_recipe",
        )


def _workings(setting: LightSetting, wanted: float) -> Iterator[Working]:
    yield Working("asked for", "", setting.decided_by, setting.zone)
    if setting.full_placement is not None:
        yield Working(
            "at full power",
            "P of this light alone",
            f"on {setting.zone}",
            f"{signed(setting.full_placement, 2)} stops",
        )
    yield Working(
        "setting",
        "log2 of wanted / full, on the head's own scale",
        f"lowest {signed(setting.lowest_stops)}, steps of {setting.step_stops:.2g}",
        f"{signed(wanted, 2)} stops, spread ±{setting.spread_stops:.2f}",
    )
