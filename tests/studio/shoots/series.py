"""Series for the tests: Tuesdays at nine, about a month ahead."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any

from gear.booking import services as booking
from gear.booking.interval import period
from gear.booking.models import Booking, Series
from gear.booking.series_rule import Rule
from studio.people.models import Person
from studio.shoots import services
from studio.shoots.models import Shoot
from studio.shoots.series_booking import repeat_shoot
from tests.builders import a_person, a_recipe, a_room
from tests.studio.shoots.plans import the_recipe

__all__ = ["PARIS", "TUESDAY", "a_weekly", "days_of", "shoots_of", "taken_on", "wall"]

PARIS = "Europe/Paris"


def _a_tuesday() -> date:
    day = datetime.now(UTC).date() + timedelta(days=30)
    return day + timedelta(days=(1 - day.weekday()) % 7)


TUESDAY = _a_tuesday()
"""A Tuesday about a month ahead."""


def wall(weeks: int = 0, time: str = "09:00", day: date | None = None) -> str:
    """A wall time so many weeks after the first Tuesday."""
    return f"{((day or TUESDAY) + timedelta(weeks=weeks)).isoformat()}T{time}"


def planned_on(day: date, by: Person, starts: str = "09:00", ends: str = "13:00", **more: Any) -> Shoot:
    """A shoot on that day, confirmed unless told otherwise."""
    return services.plan_shoot(
        more.pop("title", "Tram portraits"),
        more.pop("room", None) or a_room(),
        period(f"{day}T{starts}", f"{day}T{ends}", more.pop("zone", PARIS)),
        more.pop("photographer", None),
        by,
        recipes=[recipe.head for recipe in more.pop("recipes", ())],
        state=more.pop("state", "confirmed"),
        **more,
    )


def a_weekly(*units: Any, by: Person | None = None, count: int | None = 10, **more: Any) -> Series:
    """Tuesdays, 09:00 to 13:00, with these units: the first is the key light's head."""
    by = by or a_person()
    asked = {name: more.pop(name) for name in ("leave_out", "take_next") if name in more}
    rule = more.pop("rule", None) or Rule("week", count=count)
    recipes = more.pop("recipes", None) or ([a_recipe()] if units else [])
    shoot = planned_on(more.pop("day", TUESDAY), by, recipes=recipes, **more)
    for number, unit in enumerate(units):
        if number == 0:
            services.assign_unit(the_recipe(shoot), "Key", "head", 1, unit.tag, by)
        else:
            services.add_extra_unit(shoot, unit.tag, by)
    return repeat_shoot(shoot, rule, by, **asked).series


def shoots_of(series: Series) -> list[Shoot]:
    """Its shoots, by the day of the rule."""
    found = Shoot.objects.filter(booking__occurrence__series=series)
    return list(found.select_related("booking", "room__place").order_by("booking__occurrence__day"))


def days_of(series: Series) -> list[date]:
    """The days on which something is booked."""
    return [shoot.booking.occurrence.day for shoot in shoots_of(series)]


def taken_on(day: date, *units: Any, title: str = "Gloves on slate", by: Any = None, **more: Any) -> Booking:
    """Somebody else has these units that day from ten to noon."""
    other = booking.open_booking(
        title, period(f"{day}T10:00", f"{day}T12:00", PARIS), by, state=more.pop("state", "confirmed")
    )
    booking.promise_units(other, [unit.pk for unit in units], by)
    return other
