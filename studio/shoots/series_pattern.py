"""What is each shoot of a series given?

Times, words, people, recipes, units with their jobs, counted things and kits: read from one shoot, kept as a document,
put onto the others. Each of them is then a shoot of its own.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict, dataclass, replace
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from gear.booking import services as booking
from gear.booking.interval import Period
from gear.booking.locks import locked_units
from gear.booking.models import Series
from gear.booking.rules import use_of
from gear.booking.series_times import Times
from gear.errors import Gone
from gear.kits.models import Kit
from gear.kits.promising import promise_kit
from gear.kits.queries import contents_of, units_from_kits
from gear.stock.locks import locked_items
from gear.stock.promising import Wanted, promise_stock
from studio.shoots.models import Assignment, SeriesPattern, Shoot, ShootRecipe

__all__ = [
    "CONTENT",
    "WORDS",
    "JobSaid",
    "Pattern",
    "content_of",
    "fill",
    "keep",
    "lock_things",
    "make_shoot",
    "pattern_for",
]

WORDS = (
    "title",
    "notes",
    "room_id",
    "photographer_id",
    "assistant_id",
    "travels_by_air",
    "travellers",
)
"""What a shoot says of itself, by its columns."""

CONTENT = ("recipes", "jobs", "units", "stock", "kits")
"""What is on a shoot."""


@dataclass(frozen=True)
class JobSaid:
    """Which unit does which job; ``recipe`` is the recipe's position."""

    recipe: int
    light: str
    job: str
    number: int
    unit: int
    circuit: str = ""


@dataclass(frozen=True)
class Pattern:
    """Ids throughout; ``recipes`` are revisions in order. ``units`` are those that no kit brings, ``stock`` what is
    asked for beside the kits, as (item, quantity)."""

    times: Times
    title: str
    notes: str
    room_id: int
    photographer_id: int | None
    assistant_id: int | None
    travels_by_air: bool = False
    travellers: int = 1
    recipes: tuple[int, ...] = ()
    jobs: tuple[JobSaid, ...] = ()
    units: tuple[int, ...] = ()
    stock: tuple[tuple[int, str], ...] = ()
    kits: tuple[int, ...] = ()

    @classmethod
    def of(cls, shoot: Shoot, day: date, *, take_next: bool = False) -> Pattern:
        """What a shoot is, told from its day of the rule."""
        held = shoot.booking
        asked = Period(use_of(held), held.zone, held.starts_wall, held.ends_wall)
        return cls(
            Times.of(asked, day, take_next=take_next),
            **{name: getattr(shoot, name) for name in WORDS},
            **content_of(shoot),
        )

    @classmethod
    def read(cls, document: dict[str, Any]) -> Pattern:
        """From the document that is kept."""
        said = dict(document)
        return cls(
            times=Times(**said.pop("times")),
            jobs=tuple(JobSaid(**job) for job in said.pop("jobs")),
            stock=tuple((item, quantity) for item, quantity in said.pop("stock")),
            **{name: tuple(value) if isinstance(value, list) else value for name, value in said.items()},
        )

    def document(self) -> dict[str, Any]:
        """As it is kept."""
        return asdict(self)

    def with_content_of(self, shoot: Shoot) -> Pattern:
        """The same with what is on that shoot."""
        return replace(self, **content_of(shoot))

    @property
    def all_units(self) -> set[int]:
        """Every unit it names, those that a kit brings and that have a job included."""
        return {*self.units, *(job.unit for job in self.jobs)}


def content_of(shoot: Shoot) -> dict[str, Any]:
    """What is on a shoot, as the fields `CONTENT` of a pattern."""
    recipes = list(shoot.recipes.order_by("position", "pk"))
    place = {recipe.pk: number for number, recipe in enumerate(recipes, start=1)}
    jobs = Assignment.objects.filter(shoot_recipe__in=recipes).order_by(
        "shoot_recipe__position", "light", "job", "number"
    )
    brought = units_from_kits(shoot.booking_id)
    noted = shoot.booking.allocations.order_by("unit_id").values_list("unit_id", flat=True)
    lines = shoot.booking.stock_promises.filter(source="").order_by("item_id")
    return {
        "recipes": tuple(recipe.revision_id for recipe in recipes),
        "jobs": tuple(
            JobSaid(place[job.shoot_recipe_id], job.light, job.job, job.number, job.unit_id, job.circuit)
            for job in jobs
        ),
        "units": tuple(pk for pk in noted if pk not in brought),
        "stock": tuple((line.item_id, f"{line.quantity.normalize():f}") for line in lines),
        "kits": tuple(
            pk for pk in shoot.booking.kits.order_by("pk").values_list("kit_id", flat=True) if pk is not None
        ),
    }


def pattern_for(patterns: Iterable[SeriesPattern], day: date) -> Pattern:
    """What a series says of a day; ``patterns`` in order."""
    found = [row for row in patterns if row.since <= day]
    if not found:
        raise Gone("This series says nothing of that day.")
    return Pattern.read(found[-1].document)


def lock_things(pattern: Pattern, more_units: Iterable[int] = ()) -> None:
    """Everything that its shoots ask for: counted things first, then units, each by id."""
    wholes = contents_of(pattern.kits).values()
    items = {item for item, _ in pattern.stock}
    locked_items(items.union(*(whole.item_ids for whole in wholes)))
    locked_units(pattern.all_units.union(more_units, *(whole.unit_ids for whole in wholes)))


def make_shoot(
    pattern: Pattern, period: Period, asked_by: Any, by: Any, *, state: str, hold_until: datetime | None
) -> Shoot:
    """One more shoot as the pattern says, at that time, with all its promises or none. Raises as promising does."""
    shoot = Shoot(**{name: getattr(pattern, name) for name in WORDS})
    shoot.booking = booking.open_booking(
        pattern.title,
        period,
        asked_by,
        state=state,
        hold_until=hold_until if state == "hold" else None,
        travel_minutes=shoot.room.place.travel_minutes,
    )
    shoot.save()
    fill(shoot, pattern, by)
    return shoot


def fill(shoot: Shoot, pattern: Pattern, by: Any) -> None:
    """Put onto an empty shoot what the pattern holds; kits first, because what they bring may have a job."""
    for pk in pattern.kits:
        kit = Kit.objects.filter(pk=pk).first()
        if kit is None:
            raise Gone(
                "A kit of this series does not exist any more. Take the kits of one shoot over to the others."
            )
        promise_kit(shoot.booking, kit, by)
    if pattern.all_units:
        booking.promise_units(shoot.booking, pattern.all_units, by)
    if pattern.stock:
        promise_stock(shoot.booking, [Wanted(item, Decimal(q)) for item, q in pattern.stock], by)
    recipes = ShootRecipe.objects.bulk_create(
        ShootRecipe(shoot=shoot, revision_id=revision, position=position)
        for position, revision in enumerate(pattern.recipes, start=1)
    )
    Assignment.objects.bulk_create(
        Assignment(
            shoot_recipe=recipes[job.recipe - 1],
            light=job.light,
            job=job.job,
            number=job.number,
            unit_id=job.unit,
            circuit=job.circuit,
        )
        for job in pattern.jobs
    )


def keep(series: Series, since: date, pattern: Pattern) -> None:
    """From that day on the series says this, until its next pattern."""
    SeriesPattern.objects.update_or_create(
        series=series, since=since, defaults={"document": pattern.document()}
    )
