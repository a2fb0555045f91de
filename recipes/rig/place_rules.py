"""Which rule of the place applies, from which edition, and how well do we know it?

Rows of data, each with its source and how it was come by. They are a planner's starting point: the local code in
force and a licensed person decide.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

__all__ = [
    "CONTINUOUS_HOURS",
    "CONTINUOUS_RULES",
    "DROP_LIMITS",
    "OUTLETS",
    "ContinuousRule",
    "DropLimit",
    "Known",
    "Outlet",
    "Standing",
    "continuous_rule",
    "drop_limits",
]

Standing = Literal["code", "guidance", "recommended", "house policy"]
"""``code`` binds; ``guidance`` is a figure that the code itself gives for keeping what it asks for in words;
``recommended`` is advice that it says is not enforceable."""
Known = Literal["read", "read secondary", "memory"]

CONTINUOUS_HOURS = 3.0
"""A load at its maximum for this long counts as continuous. Source: NEC (NFPA 70) Article 100, read second-hand."""


@dataclass(frozen=True)
class ContinuousRule:
    """How much of a circuit a continuous load may take: rating >= ``factor`` * continuous + other."""

    country: str
    factor: float
    hours: float
    standing: Standing
    edition: str
    source: str
    known: Known

    @property
    def share_of_rating(self) -> float:
        """The part of the rating that a continuous load alone may take: 0.8 for a factor of 1.25."""
        return 1.0 / self.factor


HOUSE_RULE = ContinuousRule(
    country="",
    factor=1.25,
    hours=CONTINUOUS_HOURS,
    standing="house policy",
    edition="2026",
    source="house policy: the 80 % of US practice, where the local code has no such rule",
    known="memory",
)

CONTINUOUS_RULES: tuple[ContinuousRule, ...] = (
    ContinuousRule(
        country="US",
        factor=1.25,
        hours=CONTINUOUS_HOURS,
        standing="code",
        edition="numbering of the 2017 and 2020 editions; the adopted one differs by state",
        source="NEC (NFPA 70) 210.19(A)(1) and 210.20(A)",
        known="read secondary",
    ),
)


def continuous_rule(country: str) -> ContinuousRule:
    """The continuous-load rule of a country by its two-letter code; house policy where none is listed."""
    wanted = country.strip().upper()
    return next((rule for rule in CONTINUOUS_RULES if rule.country == wanted), HOUSE_RULE)


@dataclass(frozen=True)
class DropLimit:
    """How much of the nominal voltage a cable run may lose."""

    country: str
    use: Literal["lighting", "other", "branch", "total"]
    fraction: float
    standing: Standing
    edition: str
    source: str
    known: Known


_BS_7671 = (
    "BS 7671 reg. 525 asks that the equipment works safely; 3 and 5 % are Table 4Ab of its informative Appendix 4, "
    "for a public supply (6 and 8 % for a private one)"
)

DROP_LIMITS: tuple[DropLimit, ...] = (
    DropLimit("GB", "lighting", 0.03, "guidance", "BS 7671:2018", _BS_7671, "read secondary"),
    DropLimit("GB", "other", 0.05, "guidance", "BS 7671:2018", _BS_7671, "read secondary"),
    DropLimit(
        "US",
        "branch",
        0.03,
        "recommended",
        "informational note 4, 2017 numbering",
        "NEC (NFPA 70) 210.19(A), not enforceable",
        "read secondary",
    ),
    DropLimit(
        "US",
        "total",
        0.05,
        "recommended",
        "informational note 4, 2017 numbering",
        "NEC (NFPA 70) 210.19(A), not enforceable",
        "read secondary",
    ),
)

HOUSE_DROP_LIMITS: tuple[DropLimit, ...] = (
    DropLimit("", "lighting", 0.03, "house policy", "2026", "house policy, after BS 7671", "memory"),
    DropLimit("", "other", 0.05, "house policy", "2026", "house policy, after BS 7671", "memory"),
)


def drop_limits(country: str) -> tuple[DropLimit, ...]:
    """The voltage-drop limits of a country; house policy where none is listed."""
    wanted = country.strip().upper()
    return tuple(limit for limit in DROP_LIMITS if limit.country == wanted) or HOUSE_DROP_LIMITS


@dataclass(frozen=True)
class Outlet:
    """A usual outlet with its nominal voltage and rated current."""

    name: str
    country: str
    voltage_v: float
    rated_a: float
    source: str
    known: Known

    @property
    def rated_va(self) -> float:
        return self.voltage_v * self.rated_a


OUTLETS: tuple[Outlet, ...] = (
    Outlet("earthed wall outlet", "EU", 230.0, 16.0, "CEE 7, IEC TR 60083", "memory"),
    Outlet("fused plug", "GB", 230.0, 13.0, "BS 1363", "read"),
    Outlet("three-pin outlet", "CH", 230.0, 10.0, "IEC TR 60083", "memory"),
    Outlet("15 A outlet", "JP", 100.0, 15.0, "IEC TR 60083", "memory"),
    Outlet("15 A outlet", "US", 120.0, 15.0, "IEC TR 60083", "memory"),
    Outlet("20 A outlet", "US", 120.0, 20.0, "IEC TR 60083", "memory"),
    Outlet("blue industrial outlet", "", 230.0, 32.0, "IEC 60309", "memory"),
)
