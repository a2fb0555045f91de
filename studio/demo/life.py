"""What goes on in the demo studio beside its shoots: counted things, a kit, something borrowed, a series, a line of
those who wait, and what was measured over the years."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from gear.booking.interval import period
from gear.booking.models import Booking
from gear.booking.series_rule import Rule
from gear.inventory.care import add_care_entry
from gear.inventory.entry import CareNote, UnitEntry
from gear.kits.entry import KitEntry, OptionEntry, PartEntry
from gear.kits.models import Kit
from gear.kits.saving import save_kit
from gear.stock.entry import StockEntry
from gear.stock.models import StockItem
from gear.stock.services import add_item
from gear.subhire.services import Terms, borrow_unit
from studio.shoots.series_booking import repeat_shoot
from studio.shoots.stocking import add_kit, set_shoot_stock

__all__ = ["borrowed", "care_over_the_years", "counted_things", "small_lights", "stand_in_line", "wednesdays"]


def counted_things(by: Any) -> dict[str, StockItem]:
    """Tape and paper that are used up, clamps that come back."""
    tape = StockEntry(
        name="Cloth tape, black",
        counted_in="rolls",
        whole=False,
        consumable=True,
        reorder_point=Decimal(6),
        shelf="D1",
    )
    paper = StockEntry(
        name="Grey paper 2.7 m",
        counted_in="metres",
        whole=False,
        consumable=True,
        reorder_point=Decimal(8),
        shelf="Hall wall",
    )
    clamps = StockEntry(name="Spring clamp", overbooking_percent=10, shelf="D2")
    return {
        "tape": add_item(tape, by, there_are="14.5"),
        "paper": add_item(paper, by, there_are="25"),
        "clamps": add_item(clamps, by, there_are=40),
    }


def small_lights(clamps: StockItem, by: Any) -> Kit:
    """Two small lights with stands, one of two charged batteries, and clamps."""

    def unit(*tags: str) -> PartEntry:
        return PartEntry(options=tuple(OptionEntry(unit=tag) for tag in tags))

    parts = (
        *(unit(tag) for tag in ("L-10", "L-11", "S-03", "S-04")),
        unit("R-18", "R-19"),
        PartEntry(name="Clamps", quantity=Decimal(6), options=(OptionEntry(item=clamps.pk),)),
    )
    return save_kit(KitEntry(name="Two small lights", notes="Fits on the hand cart.", parts=parts), by)


def borrowed(first: date, zone: str, by: Any) -> None:
    """A strong head from across the yard, for eight days."""
    window = period(f"{first:%Y-%m-%d}T09:00", f"{first + timedelta(days=8):%Y-%m-%d}T17:00", zone)
    terms = Terms(
        owner="The workshop across the yard",
        period=window,
        travel_in_minutes=15,
        travel_out_minutes=15,
        price=Decimal("90.00"),
        note="For the dancers, should the hall be brighter than hoped.",
    )
    borrow_unit(UnitEntry(tag="K-16", gear_type="gl-1200b", shelf="A2", radio_channel=2), terms, by)


def wednesdays(desk: Any, first: date, kit: Kit, things: dict[str, StockItem]) -> None:
    """Four Wednesdays of portraits with the same kit."""
    by = desk.people["manager"]
    shoot = desk.plan("Portrait Wednesdays", "Paint shop", first, (10, 12), (), state=Booking.State.CONFIRMED)
    add_kit(shoot, kit.pk, by)
    set_shoot_stock(shoot, things["tape"].pk, "0.5", by)
    repeat_shoot(shoot, Rule("week", count=4), by)


def stand_in_line(desk: Any, day: date, tag: str) -> None:
    """Somebody else who would like the same head on the same day."""
    shoot = desk.plan("Puppets on strings", "Paint shop", day, (9, 13), ())
    desk.wait_for(shoot, tag)


def care_over_the_years(today: date, by: Any) -> None:
    """A battery that ages as a rail battery does, a head whose tube was changed, and what somebody wrote down."""

    def ago(weeks: int) -> date:
        return today - timedelta(weeks=weeks)

    for weeks, health in ((150, 1.0), (124, 0.97), (98, 0.95), (72, 0.91), (46, 0.88), (20, 0.86), (3, 0.84)):
        note = CareNote(
            kind="measurement",
            text="discharged into a known load, temperature 20 °C",
            health=health,
            happened_on=ago(weeks),
        )
        add_care_entry("R-07", note, by)
    for weeks, flashes in ((180, 0), (150, 21_000), (110, 52_000), (60, 88_500), (24, 117_000)):
        note = CareNote(
            kind="measurement", text="read off the menu", flash_count=flashes, happened_on=ago(weeks)
        )
        add_care_entry("M-09", note, by)
    tube = CareNote(
        kind="repair",
        text="flash tube and protecting glass changed",
        flash_count=0,
        happened_on=ago(20),
        cost=Decimal("184.50"),
        currency="EUR",
    )
    add_care_entry("M-09", tube, by)
    since = CareNote(kind="measurement", text="read off the menu", flash_count=6_400, happened_on=ago(2))
    add_care_entry("M-09", since, by)
    add_care_entry(
        "T-01",
        CareNote(kind="firmware", text="from the maker's card", firmware="2.4", happened_on=ago(9)),
        by,
    )
