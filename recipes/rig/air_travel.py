"""Which batteries may fly with the crew, and how; and is each case light enough?

Limits are inclusive ("not exceeding"), go by the marked watt-hours of each battery, and differ for one in its
equipment and a spare. They change with every edition and an operator may be stricter: this is what the quoted edition
says, to be confirmed with the operator before the day.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from recipes.quantity import above_zero, at_least_zero, whole
from recipes.rig.place_rules import Known

__all__ = [
    "CASE_LIMITS",
    "LITHIUM",
    "LITHIUM_RULES",
    "PIECE_SIZE",
    "BatteryCarriage",
    "CarriedBattery",
    "CaseLimit",
    "CaseMargin",
    "CountMargin",
    "LithiumRule",
    "PieceSize",
    "SizeMargin",
    "Verdict",
    "carriage",
    "case_margin",
    "count_margins",
    "size_margin",
]

LITHIUM = ("lithium-ion", "lithium-iron-phosphate")
"""Chemistries that the rules below are about."""

WH_DUST = 1e-6
"""11.1 V x 9.0 Ah is 99.89999999999999 in a computer; the limits are stated to a whole watt-hour."""

Verdict = Literal["allowed", "operator approval", "refused", "not covered"]


@dataclass(frozen=True)
class LithiumRule:
    """One row of the passenger table: batteries up to ``up_to_wh``, in equipment or spare.

    ``most_per_person`` None: no number stated.
    """

    name: str
    up_to_wh: float
    spare: bool
    cabin: bool
    hold: bool
    approval: bool
    most_per_person: int | None
    note: str
    edition: str
    source: str
    known: Known


_SOURCE = "IATA DGR table 2.3.A; ICAO Technical Instructions Part 8; US 49 CFR 175.10(a)(18)"
_EDITION = (
    "IATA passenger leaflet 2018; numbers unchanged in press reports of the 67th edition (2026); power banks by the "
    "ICAO addendum of 27 March 2026 as quoted"
)

POWER_BANKS = "power banks are counted apart: two a person, not to be recharged on board"
"""Spares until 27 March 2026. Source: ICAO Doc 9284, 2025-2026 edition, addendum 1, read second-hand (the United
Kingdom's civil aviation authority, a training firm that quotes it, the press)."""

LITHIUM_RULES: tuple[LithiumRule, ...] = (
    LithiumRule(
        "up to 100 Wh, in equipment", 100.0, False, True, True, False, 15,
        "in the hold: switched off, protected from being switched on and from damage",
        _EDITION, _SOURCE, "read",
    ),
    LithiumRule(
        "up to 100 Wh, spare", 100.0, True, True, False, False, 20,
        f"cabin only; each one's terminals protected; {POWER_BANKS}",
        _EDITION, _SOURCE, "read",
    ),
    LithiumRule(
        "over 100 to 160 Wh, in equipment", 160.0, False, True, True, True, None,
        "in the hold: switched off, protected from being switched on and from damage",
        _EDITION, _SOURCE, "read",
    ),
    LithiumRule(
        "over 100 to 160 Wh, spare", 160.0, True, True, False, True, 2,
        "cabin only; each one's terminals protected",
        _EDITION, _SOURCE, "read",
    ),
)  # fmt: skip


@dataclass(frozen=True)
class BatteryCarriage:
    """How one battery may travel as baggage: verdict, where, and the rule that says so (None: no rule fits)."""

    verdict: Verdict
    cabin: bool
    hold: bool
    rule: LithiumRule | None
    sentence: str


def carriage(rating_wh: float, spare: bool, chemistry: str = "lithium-ion") -> BatteryCarriage:
    """How may a battery of this rating travel with a passenger?

    Parameters: the marked rating in Wh; whether it is a spare or sits in its equipment; its chemistry.
    Other chemistries than lithium-ion are not covered here.
    """
    rating = float(above_zero("rating_wh", rating_wh))
    if chemistry not in LITHIUM:
        return BatteryCarriage(
            "not covered", False, False, None, f"no rule for {chemistry} is listed here; ask the operator"
        )
    for rule in LITHIUM_RULES:
        if rule.spare == spare and rating <= rule.up_to_wh + WH_DUST:
            verdict: Verdict = "operator approval" if rule.approval else "allowed"
            return BatteryCarriage(verdict, rule.cabin, rule.hold, rule, f"{rule.name}: {rule.note}")
    return BatteryCarriage(
        "refused",
        False,
        False,
        None,
        "over 160 Wh: not as baggage, only as cargo under the dangerous goods rules",
    )


@dataclass(frozen=True)
class CarriedBattery:
    """A battery on the trip; ``spare`` when it does not travel in its equipment."""

    tag: str
    rating_wh: float
    spare: bool
    chemistry: str = "lithium-ion"


@dataclass(frozen=True)
class CountMargin:
    """Batteries under one rule against what all travellers together may carry; None where no number is stated.

    ``larger`` are those of ``tags`` that have a stricter rule of their own and count under this number too.
    """

    rule: LithiumRule
    tags: tuple[str, ...]
    allowed: int | None
    larger: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """What is counted: the rule's name, or spares of any size where larger ones are among them."""
        return "of any size, spare" if self.larger else self.rule.name

    @property
    def margin(self) -> int | None:
        return None if self.allowed is None else self.allowed - len(self.tags)


def count_margins(batteries: Sequence[CarriedBattery], travellers: int) -> tuple[CountMargin, ...]:
    """How many batteries fall under each rule, against its number per person times ``travellers``.

    The batteries must really be shared out. Equipment counts one battery a device. Spares over 100 Wh count among all
    spares too: the larger number is for spares "of any type".
    """
    people = whole("travellers", travellers, at_least=1)
    applied = [(one, carriage(one.rating_wh, one.spare, one.chemistry).rule) for one in batteries]
    under = [(battery, rule) for battery, rule in applied if rule is not None]
    answers = []
    for rule in LITHIUM_RULES:
        own = [battery.tag for battery, applied in under if applied is rule]
        larger = tuple(
            battery.tag
            for battery, applied in under
            if applied.spare and rule.spare and applied.up_to_wh > rule.up_to_wh
        )
        if own or larger:
            most = rule.most_per_person
            allowed = None if most is None else most * people
            answers.append(CountMargin(rule, (*own, *larger), allowed, larger))
    return tuple(answers)


@dataclass(frozen=True)
class CaseLimit:
    """A limit on the mass of one piece of baggage."""

    name: str
    limit_kg: float
    source: str
    known: Known


CASE_LIMITS: tuple[CaseLimit, ...] = (
    CaseLimit(
        "usual piece", 23.0, "IATA advice to passengers (50 lb), as quoted; fares differ", "read secondary"
    ),
    CaseLimit(
        "heaviest piece", 32.0, "IATA advice (70 lb, for the handlers' backs), as quoted", "read secondary"
    ),
)


@dataclass(frozen=True)
class CaseMargin:
    """A packed case against a limit, in kg; margin positive when kept."""

    mass_kg: float
    limit_kg: float
    margin_kg: float


def case_margin(empty_kg: float, contents_kg: Sequence[float], limit_kg: float) -> CaseMargin:
    """Is the packed case within the limit (inclusive)?"""
    mass = float(at_least_zero("empty_kg", empty_kg)) + sum(
        float(at_least_zero("contents_kg", one)) for one in contents_kg
    )
    limit = float(above_zero("limit_kg", limit_kg))
    return CaseMargin(mass, limit, limit - mass)


@dataclass(frozen=True)
class PieceSize:
    """The usual size of one piece of baggage: length, width and height added."""

    limit_m: float
    source: str
    known: Known


PIECE_SIZE = PieceSize(
    1.58, "62 inches (158 cm) round three sides: common practice of airlines, no source", "memory"
)


@dataclass(frozen=True)
class SizeMargin:
    """A case against the usual size, in m; margin positive when kept."""

    size_m: float
    limit_m: float
    margin_m: float


def size_margin(length_m: float, width_m: float, height_m: float) -> SizeMargin:
    """Is a piece of these outside measures within the usual size (inclusive)?"""
    size = sum(
        float(above_zero(name, side))
        for name, side in (("length_m", length_m), ("width_m", width_m), ("height_m", height_m))
    )
    size = round(size, 6)
    return SizeMargin(size, PIECE_SIZE.limit_m, round(PIECE_SIZE.limit_m - size, 6))
