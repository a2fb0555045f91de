"""What does a person look for first? The shoots ahead, what is missing, what is out, what is not fit for use."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Count, OuterRef, Q, Subquery
from django.db.models.functions import Coalesce
from django.utils import timezone

from gear.booking.models import Booking
from gear.booking.queries import not_over
from gear.inventory.models import Condition, Unit
from gear.inventory.queries import inspection_overdue
from recipes.checks.findings import SEVERITY
from recipes.records.models import Recipe
from studio.packing.models import PackingLine
from studio.people.models import Person, Role
from studio.readiness.queries import RecipeReadiness, readiness_of
from studio.shoots.models import Shoot
from studio.web.when import length_words, moment_words, period_words

__all__ = [
    "FirstLook",
    "OutWith",
    "Promise",
    "ShootAhead",
    "ShootState",
    "UnfitUnits",
    "first_look",
    "gaps_ahead",
]

SHOOTS_SHOWN = 8
UNITS_SHOWN = 6
SOON = timedelta(days=3)

_PLANNED = (Booking.State.ENQUIRY, Booking.State.HOLD, Booking.State.CONFIRMED)
_UNFIT = (Condition.QUARANTINE, Condition.REPAIR, Condition.LOST)


@dataclass(frozen=True)
class ShootState:
    """What the checks say of a shoot: its worst status (``stale`` when a recipe of it was not checked, empty when it
    has no recipe) and the sentences of its gaps."""

    status: str
    gaps: tuple[str, ...] = ()


@dataclass(frozen=True)
class ShootAhead:
    """A shoot as it stands in the list: ``packed`` of ``to_pack`` things are out."""

    pk: int
    title: str
    when: str
    where: str
    promise: str
    photographer: str
    mine: bool
    state: ShootState
    to_pack: int
    packed: int


@dataclass(frozen=True)
class Promise:
    """A hold that ends by itself soon or has ended, an enquiry that waits for an answer, or what has no return date and
    is to be ``looked_at`` again."""

    pk: int
    title: str
    when: str
    state: str
    ends: str
    ended: bool
    looked_at: bool = False


@dataclass(frozen=True)
class OutWith:
    """What a shoot has outside; ``overdue`` says for how long, empty while it is not due."""

    pk: int
    title: str
    count: int
    due: str
    overdue: str


@dataclass(frozen=True)
class UnfitUnits:
    """Units that cannot go out, the first few of ``count``; and how many are to be inspected first."""

    count: int
    units: tuple[Unit, ...]
    inspections_overdue: int = 0


@dataclass(frozen=True)
class FirstLook:
    """Everything on the first page. ``main`` and ``side`` are the templates of the sections this person sees, in
    their order."""

    main: tuple[str, ...]
    side: tuple[str, ...]
    shoots: tuple[ShootAhead, ...]
    first_gap: tuple[ShootAhead, str] | None
    more_gaps: int
    out: tuple[OutWith, ...]
    unfit: UnfitUnits
    promises: tuple[Promise, ...]
    recipes: tuple[Recipe, ...]
    only_own: bool

    @property
    def to_pack(self) -> tuple[ShootAhead, ...]:
        """The shoots that have a packing list, soonest first."""
        return tuple(shoot for shoot in self.shoots if shoot.to_pack)


_MAIN_AND_SIDE = {
    Role.MANAGER: (("shoots",), ("promises", "out", "unfit")),
    Role.PHOTOGRAPHER: (("shoots",), ("recipes", "out", "unfit")),
    Role.ASSISTANT: (("packing", "shoots"), ("out", "unfit")),
}


def first_look(person: Person, now: datetime | None = None) -> FirstLook:
    """The first page of a person: packing first for the assistant, their own shoots and recipes for the photographer,
    gaps and open promises for the manager."""
    now = now or timezone.now()
    main, side = _MAIN_AND_SIDE[Role.MANAGER if person.is_superuser else Role(person.role)]
    only_own = "recipes" in side
    shoots = _shoots_ahead(person, now, only_own)
    gaps = [(shoot, sentence) for shoot in shoots for sentence in shoot.state.gaps]
    return FirstLook(
        main=tuple(f"web/today_{part}.html" for part in main),
        side=tuple(f"web/today_{part}.html" for part in side),
        shoots=shoots,
        first_gap=gaps[0] if gaps else None,
        more_gaps=max(0, len(gaps) - 1),
        out=_out(now),
        unfit=_unfit(now),
        promises=_promises(now) if "promises" in side else (),
        recipes=_recipes(person) if only_own else (),
        only_own=only_own,
    )


def gaps_ahead(shoots: Iterable[Shoot], *, just_read: bool = False) -> dict[int, ShootState]:
    """What the readiness says of each shoot, by its id, held against the figures of this moment."""
    found = readiness_of(shoots, just_read=just_read)
    return {shoot_id: _state(recipes) for shoot_id, recipes in found.items()}


def _state(recipes: list[RecipeReadiness]) -> ShootState:
    gaps = tuple(
        finding["sentence"]
        for one in recipes
        for finding in one.findings
        if finding["status"] == "gap" and not finding.get("follows")
    )
    if any(one.stale for one in recipes):
        return ShootState("stale", gaps)
    if gaps:
        return ShootState("gap", gaps)
    return ShootState(min((one.status for one in recipes), key=SEVERITY.index, default=""))  # type: ignore[arg-type]


def _shoots_ahead(person: Person, now: datetime, only_own: bool) -> tuple[ShootAhead, ...]:
    ahead = Shoot.objects.filter(not_over(now), booking__state__in=_PLANNED).select_related(
        "booking", "room__place", "photographer"
    )
    if only_own:
        ahead = ahead.filter(Q(photographer=person) | Q(assistant=person))
    ahead = ahead.annotate(to_pack=_lines(wanted=True), packed=_lines(wanted=True, out_at__isnull=False))
    shoots = list(ahead.order_by("booking__starts_at", "pk")[:SHOOTS_SHOWN])
    states = gaps_ahead(shoots, just_read=True)
    return tuple(
        ShootAhead(
            pk=shoot.pk,
            title=shoot.title,
            when=_when(shoot.booking, now),
            where=str(shoot.room),
            promise=_promise_words(shoot.booking, now),
            photographer=str(shoot.photographer or ""),
            mine=person.pk in (shoot.photographer_id, shoot.assistant_id),
            state=states[shoot.pk],
            to_pack=shoot.to_pack,
            packed=shoot.packed,
        )
        for shoot in shoots
    )


def _lines(**which: object) -> Coalesce:
    """How many such packing lines a shoot has."""
    lines = PackingLine.objects.filter(shoot=OuterRef("pk"), **which).order_by().values("shoot")
    return Coalesce(Subquery(lines.values(count=Count("pk"))), 0)


def _when(booking: Booking, now: datetime) -> str:
    return period_words(booking.starts_at, booking.ends_at, booking.zone, now)


def _promise_words(booking: Booking, now: datetime) -> str:
    if booking.state == Booking.State.HOLD and booking.hold_until is not None and booking.hold_until <= now:
        return "hold has ended"
    return booking.get_state_display().lower()


def _out(now: datetime) -> tuple[OutWith, ...]:
    # From what is out to its shoots: of many shoots few have anything outside.
    outside = (
        PackingLine.objects.filter(out_at__isnull=False, outcome="")
        .order_by("shoot__booking__ends_at", "shoot_id")
        .values_list("shoot_id", "shoot__title", "shoot__booking__ends_at", "shoot__booking__zone")
        .annotate(count=Count("pk"))
    )
    return tuple(
        OutWith(
            pk=pk,
            title=title,
            count=count,
            due=moment_words(ends_at, zone, now),
            overdue=length_words(now - ends_at) if ends_at < now else "",
        )
        for pk, title, ends_at, zone, count in outside
    )


def _unfit(now: datetime) -> UnfitUnits:
    unfit = (
        Unit.objects.filter(condition__in=_UNFIT).select_related("gear_type").order_by("-updated_at", "tag")
    )
    overdue = inspection_overdue(timezone.localdate(now))
    # Only what is counted is read: each of the two has its index.
    counts = Unit.objects.filter(Q(condition__in=_UNFIT) | overdue).aggregate(
        unfit=Count("pk", filter=Q(condition__in=_UNFIT)), overdue=Count("pk", filter=overdue)
    )
    return UnfitUnits(counts["unfit"], tuple(unfit[:UNITS_SHOWN]), counts["overdue"])


def _promises(now: datetime) -> tuple[Promise, ...]:
    waiting = (
        Shoot.objects.filter(not_over(now))
        .filter(
            Q(booking__state=Booking.State.ENQUIRY)
            | Q(booking__state=Booking.State.HOLD, booking__hold_until__lte=now + SOON)
            | Q(booking__state__in=_PLANNED, booking__review_at__lte=now + SOON)
        )
        .select_related("booking")
        .order_by("booking__hold_until", "booking__starts_at")[:SHOOTS_SHOWN]
    )
    return tuple(_promise(shoot, now) for shoot in waiting)


def _promise(shoot: Shoot, now: datetime) -> Promise:
    booking = shoot.booking
    reviewed = booking.review_at is not None and booking.state in _PLANNED
    ends = booking.review_at if reviewed else booking.hold_until
    return Promise(
        pk=shoot.pk,
        title=shoot.title,
        when=_when(booking, now),
        state="to be looked at again" if reviewed else booking.get_state_display().lower(),
        ends=moment_words(ends, booking.zone, now) if ends else "",
        ended=ends is not None and ends <= now,
        looked_at=reviewed,
    )


def _recipes(person: Person) -> tuple[Recipe, ...]:
    own = Recipe.objects.filter(owner=person, archived=False).select_related("head")
    return tuple(own.order_by("-updated_at", "pk")[:UNITS_SHOWN])
