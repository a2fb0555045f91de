"""The list as an assistant reads it: by case, with weights, and how far it has come."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Q, QuerySet

from gear.booking.given import in_words
from gear.booking.models import Allocation
from gear.inventory.models import Unit
from studio.packing.models import PackingLine
from studio.shoots.models import Assignment, Shoot

__all__ = [
    "CaseGroup",
    "PackingListSeen",
    "Progress",
    "around_use",
    "lines_of",
    "packing_list",
    "travels_of",
    "where_out",
    "why_packed",
]

LOOSE = "Loose"


@dataclass(frozen=True)
class CaseGroup:
    """What travels in one case; ``case`` is None for what travels loose.

    ``mass_kg`` is the contents plus the empty case where both are known; ``unweighed`` counts things without a mass.
    ``over_kg`` is by how much the contents exceed what the case may carry, 0 when they do not or nobody said.
    """

    case: Unit | None
    lines: tuple[PackingLine, ...]
    mass_kg: float
    unweighed: int
    over_kg: float

    @property
    def name(self) -> str:
        """The tag of the case, or the word for no case."""
        return self.case.tag if self.case else LOOSE


@dataclass(frozen=True)
class Progress:
    """How far a list has come; each number counts things. A list balances when out = in + used + reported."""

    wanted: int
    out: int
    came_in: int
    used: int
    reported: int

    @property
    def still_out(self) -> int:
        """Things that left and are not accounted for."""
        return self.out - self.accounted

    @property
    def accounted(self) -> int:
        """Things that left and are in, used or reported."""
        return self.came_in + self.used + self.reported

    @property
    def to_pack(self) -> int:
        """Things on the list that have not left."""
        return self.wanted - self.out

    @property
    def balances(self) -> bool:
        """Whether everything that left is accounted for."""
        return self.still_out == 0


@dataclass(frozen=True)
class PackingListSeen:
    """The whole list of a shoot."""

    shoot: Shoot
    groups: tuple[CaseGroup, ...]
    progress: Progress
    mass_kg: float
    closed: bool

    @property
    def lines(self) -> tuple[PackingLine, ...]:
        """Every line, in the order of the groups."""
        return tuple(line for group in self.groups for line in group.lines)


def lines_of(shoot: Shoot) -> QuerySet[PackingLine]:
    """The lines of a shoot with what the list shows of each unit."""
    return (
        PackingLine.objects.filter(shoot=shoot)
        .select_related("unit__gear_type", "unit__case__gear_type", "out_by", "outcome_by")
        .order_by("unit__gear_type__kind", "unit__tag")
    )


def packing_list(shoot: Shoot) -> PackingListSeen:
    """The list by case: cases by tag, loose things last; lines that are no longer wanted only while they are out."""
    lines = [line for line in lines_of(shoot) if line.wanted or line.out_at]
    cases = {line.unit_id: line.unit for line in lines if line.unit.gear_type.kind == "case"}
    around = around_use(shoot)
    for line in lines:
        line.around = around.get(line.unit_id, "")
    by_case: dict[int | None, list[PackingLine]] = {}
    for line in lines:
        home = line.unit.case_id if line.unit_id not in cases else line.unit_id
        by_case.setdefault(home, []).append(line)
    groups = [_group(case_id, found, cases) for case_id, found in by_case.items()]
    groups.sort(key=lambda group: (group.case is None, group.name))
    return PackingListSeen(
        shoot=shoot,
        groups=tuple(groups),
        progress=_progress(lines),
        mass_kg=sum(group.mass_kg for group in groups),
        closed=hasattr(shoot, "packing_closure"),
    )


def around_use(shoot: Shoot) -> dict[int, str]:
    """What is unusual about the time around the use of its units: granted minutes with who and why, and what stays on
    set, for the shoot before or after."""
    mine = Q(booking=shoot.booking_id) & (
        Q(prep_given__isnull=False) | Q(turnaround_given__isnull=False) | Q(stays_for__isnull=False)
    )
    found = (
        Allocation.objects.filter(mine | Q(stays_for=shoot.booking_id), active=True)
        .select_related("unit__gear_type", "given_by", "stays_for", "booking")
        .order_by("pk")
    )
    said: dict[int, list[str]] = {}
    for promise in found:
        words = (
            in_words(promise)
            if promise.booking_id == shoot.booking_id
            else f"comes straight from “{promise.booking.title}” and was not handed back; look it over first"
        )
        said.setdefault(promise.unit_id, []).append(words)
    return {unit_id: "; ".join(words) for unit_id, words in said.items()}


def where_out(unit: Unit) -> PackingLine | None:
    """The line with which this unit is out at the moment."""
    return (
        PackingLine.objects.filter(unit=unit, out_at__isnull=False, outcome="")
        .select_related("shoot__booking", "shoot__room__place")
        .first()
    )


def travels_of(unit: Unit) -> QuerySet[PackingLine]:
    """The lines with which this unit went out, the latest first."""
    return (
        PackingLine.objects.filter(unit=unit, out_at__isnull=False)
        .select_related("shoot__booking", "out_by", "outcome_by")
        .order_by("-out_at", "-pk")
    )


def why_packed(shoot: Shoot) -> dict[int, str]:
    """For each unit with a job at this shoot: which jobs, in words."""
    reasons: dict[int, list[str]] = {}
    for assignment in Assignment.objects.filter(shoot_recipe__shoot=shoot).order_by(
        "shoot_recipe__position", "light", "job"
    ):
        said = f"{assignment.light}: {assignment.get_job_display().lower()}".removeprefix(": ")
        jobs = reasons.setdefault(assignment.unit_id, [])
        if said not in jobs:
            jobs.append(said)
    return {unit_id: "; ".join(jobs)[:200] for unit_id, jobs in reasons.items()}


def _group(case_id: int | None, lines: list[PackingLine], cases: dict[int, Unit]) -> CaseGroup:
    case = None
    if case_id is not None:
        case = cases.get(case_id) or lines[0].unit.case
    contents = [line.unit.gear_type.sheet.mass_kg for line in lines if line.unit_id != case_id]
    known = sum(mass for mass in contents if mass is not None)
    empty = case.gear_type.sheet.mass_kg or 0.0 if case else 0.0
    limit = getattr(case.gear_type.sheet, "max_load_kg", None) if case else None
    return CaseGroup(
        case=case,
        lines=tuple(sorted(lines, key=lambda line: line.unit_id != case_id)),
        mass_kg=known + empty,
        unweighed=sum(mass is None for mass in contents),
        over_kg=max(0.0, known - limit) if limit is not None else 0.0,
    )


def _progress(lines: list[PackingLine]) -> Progress:
    outcomes = [line.outcome for line in lines]
    return Progress(
        wanted=sum(line.wanted or bool(line.out_at) for line in lines),
        out=sum(line.out_at is not None for line in lines),
        came_in=outcomes.count(PackingLine.Outcome.IN),
        used=outcomes.count(PackingLine.Outcome.USED),
        reported=outcomes.count(PackingLine.Outcome.REPORTED),
    )
