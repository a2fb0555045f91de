"""A house in which everything there can be stands around one shoot: one more of each at will.

Rows are made straight in their tables where a service would only ask more; triggers write the history either way.
"""

from __future__ import annotations

import uuid
from datetime import UTC, datetime, timedelta
from typing import Any

import pghistory
from django.utils import timezone

from gear.booking.models import Allocation, Booking, Challenge
from gear.booking.rules import blocked_for, use_of
from gear.inventory.models import CareEntry, CarePhoto, ImportDraft, Unit
from gear.inventory.queries import whole_inventory
from gear.kits.models import KitPromise, KitTaken
from gear.shortages.models import LateReturn, Shortage, ShortageNote
from gear.stock.models import StockMovement, StockPromise
from gear.subhire.models import SubHire
from recipes.records.models import Draft, Recipe, Revision
from recipes.records.services import stored
from studio.calendar.services import make_address
from studio.outbox.models import Message
from studio.packing.models import Dispute, FoundThing, PackingLine
from studio.people.models import Person
from studio.phones.models import Device, Operation
from studio.places.models import RoomCircuit, RoomWindow
from studio.readiness.services import check_shoots
from studio.shoots.models import Assignment, Shoot
from tests.builders import STROBE, a_booking, a_gear_type, a_look, a_person, a_recipe, a_room, a_shoot, a_unit
from tests.gear.kits.sets import a_kit
from tests.gear.stock.counted import an_item
from tests.studio.shoots.series import a_weekly
from tests.studio.shoots.series import shoots_of as days_of_series

__all__ = ["FullHouse"]

KEY = {"name": "Key", "role": "key", "bearing_deg": 40, "distance_m": 1.5, "height_m": 2.0, "aim": "face"}
SPECS: dict[str, dict[str, Any]] = {
    "strobe": STROBE,
    "battery": {"fit": "rail-48", "capacity_wh": 90},
    "trigger": {"radio": ["northlight"]},
    "stand": {"min_height_m": 1.0, "max_height_m": 2.6, "foot_radius_m": 0.5, "max_load_kg": 9.0},
}
LATER = timedelta(hours=9)


class FullHouse:
    """``add`` puts one more of everything into it. ``args`` says what an address of the service is visited with."""

    def __init__(self, person: Person) -> None:
        self.person, self.count = person, 0
        self.room = a_room()
        self.place = self.room.place
        self.case = a_unit(a_gear_type("case", {"max_load_kg": 30}), tag="CASE-01")
        self.recipe = a_recipe(person, a_look(lights=[KEY]))
        self.starts = (datetime.now(UTC) + timedelta(days=7)).replace(minute=0, second=0, microsecond=0)
        ends = timezone.now() + timedelta(days=5)
        booking = a_booking(self.starts, title="Full", state="hold", hold_until=ends, asked_by=person)
        self.shoot = a_shoot(self.recipe, booking=booking, room=self.room, photographer=person)
        self.series = a_weekly(a_unit(), by=a_person("manager"), count=3, room=self.room, photographer=person)
        self.kit = a_kit(a_unit(), an_item(), name="Small look")
        self.item = an_item(1000, name="Tape")
        self.unit = self._unit("battery")
        self.borrowed = self._borrow(self.unit)
        self.draft = ImportDraft.objects.create(
            what="units",
            text="".join(whole_inventory()),
            by=person,
            expires_at=timezone.now() + timedelta(days=1),
        )
        _, self.token = make_address("own", person)
        self.device = Device.objects.create(id=uuid.uuid4(), last_seen_at=timezone.now())

    def add(self) -> None:
        """One more of everything, done by somebody new."""
        self.count += 1
        by = a_person("manager")
        with pghistory.context(user=by.pk):
            units = {kind: self._unit(kind) for kind in SPECS}
            self._plan(units, by)
            self._lines(units, by)
            self._care(by)
            self._around(by)

    def ready(self) -> None:
        """Let the readiness be computed, as it is when somebody looks."""
        check_shoots([self.shoot])

    @property
    def args(self) -> dict[str, dict[str, Any]]:
        """By the namespace or name of an address, what its parts are."""
        shortage = Shortage.objects.filter(closed_at=None).latest("pk")
        photo = CarePhoto.objects.latest("pk")
        return {
            "booking": {"tag": self.unit.tag},
            "booking:type-clashes": {"slug": self.unit.gear_type.slug},
            "api-booking:would-clash": {"slug": self.unit.gear_type.slug},
            "catalogue": {"slug": self.unit.gear_type.slug},
            "inventory": {"tag": self.unit.tag},
            "inventory:import-draft": {"pk": self.draft.pk},
            "inventory:into-case": {"tag": self.case.tag},
            "inventory:photo": {"tag": self.unit.tag, "pk": photo.pk},
            "kits": {"pk": self.kit.pk},
            "people": {"pk": self.person.pk},
            "shortages": {"pk": shortage.pk},
            "stock": {"pk": self.item.pk},
            "subhire": {"pk": self.borrowed.pk},
            "calendar:feed": {"token": self.token},
            "packing": {"pk": self.shoot.pk, "tag": self.shoot.packing_lines.latest("pk").unit.tag},
            "packing:unit": {"tag": self.unit.tag},
            "phones": {"device": self.device.pk, "pk": 0},
            "places": {"pk": self.place.pk},
            "places:room": {"pk": self.room.pk},
            "places:room-edit": {"pk": self.room.pk},
            "readiness": {"pk": self.shoot.pk, "position": 1, "name": "headroom"},
            "recipes": {"pk": self.recipe.pk, "number": 1, "slug": "lights"},
            "shoots": {
                "pk": self.shoot.pk,
                "recipe": self.shoot.recipes.first().pk,
                "act": "edit",
                "day": "2030-01-01",
            },
            "shoots:series": {"pk": self.series.pk},
            "api-shoots:series": {"pk": self.series.pk},
            "api-phones:list": {"pk": self.shoot.pk},
            "api-recipes": {"pk": self.recipe.pk, "number": 1},
            "api-catalogue:schema": {"kind": "strobe"},
            "api-places:room": {"pk": self.room.pk},
        }

    def _unit(self, kind: str) -> Unit:
        more = {"radio_channel": 3} if kind == "trigger" else {}
        return a_unit(a_gear_type(kind, SPECS[kind]), case=self.case, **more)

    def _promise(self, booking: Booking, unit: Unit, by: Person, **more: Any) -> Allocation:
        use = use_of(booking)
        blocked = blocked_for(unit, use).as_range
        return Allocation.objects.create(
            booking=booking, unit=unit, use=use.as_range, blocked=blocked, promised_by=by, **more
        )

    def _plan(self, units: dict[str, Unit], by: Person) -> None:
        """Units with jobs, one that waits, its holder who is asked, what comes after, beside it, and another recipe."""
        n = self.count
        here = self.shoot.recipes.first()
        for unit in units.values():
            self._promise(self.shoot.booking, unit, by)
        Assignment.objects.create(shoot_recipe=here, light="Key", job="head", number=n, unit=units["strobe"])
        Assignment.objects.create(
            shoot_recipe=here, light="Key", job="battery", number=n, unit=units["battery"]
        )
        self._shoot_of(units["battery"], by, self.starts + timedelta(hours=4, minutes=30), room=self.room)
        other = a_booking(self.starts, state="hold", hold_until=timezone.now() + LATER, asked_by=by)
        a_shoot(self.recipe, booking=other, room=self.room, photographer=self.person)
        wanted = self._unit("strobe")
        self._promise(other, wanted, by, lapses_at=timezone.now() + timedelta(hours=2))
        waits = self._promise(self.shoot.booking, wanted, by, active=False, waits_since=timezone.now())
        Challenge.objects.create(
            unit=wanted,
            first=other,
            later=waits.booking,
            deadline=timezone.now() + timedelta(hours=2),
            asked_at=timezone.now(),
            asked_by=by,
        )
        mine = a_recipe(self.person, a_look(title=f"Look {n}", lights=[KEY]))
        self.shoot.recipes.create(revision=mine.head, position=self.shoot.recipes.count() + 1)
        a_recipe(by, a_look(title=f"Theirs {n}"))
        beside = self._shoot_of(
            self._unit("trigger"), by, self.starts, room=a_room(place=self.place, name=f"H{n}")
        )
        Assignment.objects.create(
            shoot_recipe=beside.recipes.get(), job="trigger", unit=beside.booking.allocations.get().unit
        )

    def _shoot_of(self, unit: Unit, by: Person, starts: datetime, **more: Any) -> Shoot:
        booking = a_booking(starts, asked_by=by)
        self._promise(booking, unit, by)
        return a_shoot(self.recipe, booking=booking, photographer=self.person, **more)

    def _lines(self, units: dict[str, Unit], by: Person) -> None:
        """What is packed and out, disputed, counted, of a kit, short, late, found."""
        n, at = self.count, timezone.now() - timedelta(hours=1)
        booking = self.shoot.booking
        lines = [
            PackingLine.objects.create(shoot=self.shoot, unit=unit, out_at=at, out_by=by)
            for unit in units.values()
        ]
        other = self._shoot_of(self._unit("stand"), by, self.starts)
        claim = PackingLine.objects.create(shoot=other, unit=lines[0].unit)
        Dispute.objects.create(
            unit=claim.unit, holder=lines[0], claim=claim, claimed_at=timezone.now(), claimed_by=by
        )
        FoundThing.objects.create(mark=f"?{n}", shoot=self.shoot, at=at, by=by)
        item = an_item(name=f"Clamp {n}")
        use = use_of(booking).as_range
        for thing in (item, self.item):
            StockPromise.objects.create(
                booking=booking if thing is item else other.booking,
                item=thing,
                quantity=1,
                use=use,
                blocked=use,
            )
            StockMovement.objects.create(item=thing, kind="purchase", quantity=1, effective_at=at, by=by)
        kit = a_kit(self._unit("stand"), item, name=f"Set {n}")
        of_kit = KitPromise.objects.create(
            booking=booking, kit=kit, name=kit.name, kit_version=0, promised_by=by
        )
        KitTaken.objects.create(promise=of_kit, part="stand", unit=units["stand"])
        KitTaken.objects.create(promise=of_kit, part="clamp", item=item)
        for number, thing in enumerate(({"unit": units["stand"]}, {"item": item}, {"sub_kit": kit})):
            part = self.kit.parts.create(position=10 + 3 * n + number, name=f"Part {n} {number}")
            part.options.create(position=1, **thing)
        KitPromise.objects.create(booking=other.booking, kit=self.kit, name="Small look", kit_version=1)
        short = Shortage.objects.create(booking=booking, unit=units["stand"], cause="damage", owner=by)
        for text in range(n):
            ShortageNote.objects.create(shortage=short, text=f"Called them, {text}", by=by)
        LateReturn.objects.create(unit=units["stand"], booking=booking, back_at=timezone.now(), told_by=by)
        Operation.objects.create(
            device=self.device, number=n, key=uuid.uuid4(), act="out", mark=units["strobe"].tag,
            shoot=self.shoot, unit=units["strobe"], made_by=by, sent_by=by, state="review",
        )  # fmt: skip
        Device.objects.create(id=uuid.uuid4(), last_seen_at=timezone.now(), last_person=by)

    def _care(self, by: Person) -> None:
        entry = CareEntry.objects.create(
            unit=self.unit,
            kind="measurement",
            text="as read",
            happened_on=timezone.localdate(),
            health=0.9,
            by=by,
        )
        CarePhoto.objects.create(entry=entry, kind="image/jpeg", data=b"\xff\xd8\xff")
        self._borrow(self._unit("strobe"))
        a_unit(condition="repair", inspection_due=timezone.localdate() - timedelta(days=2))
        self._shoot_of(self.unit, by, self.starts - timedelta(days=3 * self.count))
        self._promise(a_booking(self.starts + timedelta(days=3 * self.count)), self.unit, by)

    def _around(self, by: Person) -> None:
        """Windows, circuits, revisions, drafts, feeds, days of the series, work that waits."""
        n = self.count
        RoomWindow.objects.create(
            room=self.room,
            name=f"Window {n}",
            wall="far",
            offset_m=0.1,
            sill_m=0.5,
            width_m=0.1,
            height_m=1,
        )
        RoomCircuit.objects.create(room=self.room, name=f"C{n}")
        recipe = Recipe.objects.get(pk=self.recipe.pk)
        document = stored(a_look(title=f"As seen {n}", lights=[KEY]))
        recipe.head = Revision.objects.create(
            recipe=recipe, number=n + 1, document=document, by=by, based_on=recipe.head
        )
        recipe.save()
        Draft.objects.create(person=by, recipe=recipe, based_on=recipe.head, typed={})
        make_address("room", self.person, self.room.pk)
        Message.objects.create(
            topic="mail", made_at=timezone.now(), due_at=timezone.now() + LATER, failures=9, last_failure="no"
        )
        day = days_of_series(self.series)[0]
        self._promise(day.booking, self._unit("stand"), by)

    @staticmethod
    def _borrow(unit: Unit) -> SubHire:
        at = timezone.now()
        return SubHire.objects.create(
            unit=unit, owner="Lantern House", from_at=at, back_by=at + timedelta(days=60)
        )
