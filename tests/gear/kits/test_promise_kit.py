"""A kit goes out whole, or not at all, or with what somebody consented to take instead."""

from __future__ import annotations

import pytest

from gear.booking.models import Allocation
from gear.booking.queries import free_units
from gear.booking.services import cancel, promise_units
from gear.errors import Conflict
from gear.kits import services as kit_services
from gear.kits.models import KitPromise
from gear.kits.promising import KitIncomplete
from gear.kits.queries import contents, differences_of, incomplete, is_free
from gear.kits.services import promise_kit, release_kit, save_kit, take_back_parts, take_over_contents
from gear.stock.models import StockPromise
from gear.stock.queries import availability
from tests.builders import a_unit
from tests.gear.booking.times import a_type, at, between, booked
from tests.gear.kits.sets import a_kit, an_entry, opened
from tests.gear.stock.counted import an_item

pytestmark = pytest.mark.django_db


def test_a_kit_brings_all_its_parts_down_through_its_sub_kits() -> None:
    kind = a_type()
    head, clamp, bags = a_unit(kind), a_unit(kind), an_item(10)
    kit = a_kit(head, a_kit(clamp, (4, bags), name="Grip bag"))
    booking = opened()
    promise = promise_kit(booking, kit, None)
    assert {a.unit for a in booking.allocations.all()} == {head, clamp}
    assert booking.stock_promises.get().quantity == 4
    assert {taken.part for taken in promise.taken.all()} == {
        head.tag,
        f"Grip bag: {clamp.tag}",
        f"Grip bag: {bags.name}",
    }


def test_with_one_part_missing_nothing_is_promised_and_a_substitute_is_named() -> None:
    """Case 43."""
    kind = a_type()
    first, missing, spare, bags = a_unit(kind), a_unit(kind), a_unit(kind, tag="K-05"), an_item(10)
    kit = a_kit(first, missing, (4, bags))
    booked(10, 12, missing, title="Elsewhere")
    booking = opened()
    with pytest.raises(KitIncomplete, match="with “Elsewhere” until") as refused:
        promise_kit(booking, kit, None)
    assert not booking.allocations.exists()
    assert not StockPromise.objects.exists()
    (offer,) = refused.value.offers
    assert (offer.missing, offer.instead) == (missing.tag, (spare,))
    assert refused.value.ways_out == (f"Take K-05 ({kind}) for “{missing.tag}” instead of {missing.tag}.",)


def test_after_consent_the_named_substitute_goes_instead_and_it_stays_written() -> None:
    """Case 43."""
    kind = a_type()
    first, missing, spare = a_unit(kind), a_unit(kind), a_unit(kind)
    kit = a_kit(first, missing)
    booked(10, 12, missing)
    booking = opened()
    part = kit.parts.get(options__unit=missing)
    promise = promise_kit(booking, kit, None, instead={part.pk: spare.tag})
    assert {a.unit for a in booking.allocations.all()} == {first, spare}
    assert promise.taken.get(unit=spare).instead_of == missing.tag


def test_a_substitute_that_is_taken_itself_does_not_go() -> None:
    kind = a_type()
    missing, spare = a_unit(kind), a_unit(kind)
    kit = a_kit(missing)
    booked(10, 12, missing, spare)
    with pytest.raises(KitIncomplete):
        promise_kit(opened(), kit, None, instead={kit.parts.get().pk: spare.tag})


def test_too_few_of_a_counted_part_hold_the_whole_kit_back() -> None:
    head, bags = a_unit(a_type()), an_item(3)
    with pytest.raises(KitIncomplete, match=r"3 of 4 .* are free"):
        promise_kit(opened(), a_kit(head, (4, bags)), None)
    assert not Allocation.objects.exists()


def test_one_of_these_three_is_one_demand_over_three_pools() -> None:
    """Case 48."""
    kind = a_type()
    three = [a_unit(kind) for _ in range(3)]
    kits = [a_kit([*three]) for _ in range(4)]
    for kit in kits[:3]:
        assert promise_kit(opened(), kit, None).taken.count() == 1
    with pytest.raises(KitIncomplete):
        promise_kit(opened(), kits[3], None)
    assert Allocation.objects.count() == 3


def test_one_of_these_may_be_a_unit_a_counted_thing_or_a_kit() -> None:
    """Case 48."""
    kind = a_type()
    unit, inner, bags = a_unit(kind), a_unit(kind), an_item(1)
    sub = a_kit(inner)
    taken = [promise_kit(opened(), a_kit([unit, bags, sub]), None).taken.get() for _ in range(3)]
    assert [one.unit or one.item for one in taken] == [unit, bags, inner]


def test_a_choice_makes_way_for_a_part_that_has_none() -> None:
    kind = a_type()
    either, only = a_unit(kind), a_unit(kind)
    kit = a_kit([only, either], only)
    promise = promise_kit(opened(), kit, None)
    assert {taken.unit for taken in promise.taken.all()} == {either, only}


def test_two_parts_that_need_the_same_unit_are_refused() -> None:
    unit = a_unit(a_type())
    with pytest.raises(KitIncomplete, match="need the same thing"):
        promise_kit(opened(), a_kit(unit, unit), None)


def test_a_booking_keeps_its_snapshot_and_is_shown_the_difference() -> None:
    """Case 46."""
    kind = a_type()
    old, new = a_unit(kind), a_unit(kind)
    kit = a_kit(old, name="Portrait kit")
    promise = promise_kit(opened(), kit, None)
    assert differences_of(promise) == []
    save_kit(an_entry(new, name="Portrait kit"), None, pk=kit.pk)
    promise = KitPromise.objects.get(pk=promise.pk)
    assert [taken.unit for taken in promise.taken.all()] == [old]
    assert [(d.part, d.given, d.now) for d in differences_of(promise)] == [
        (new.tag, "", new.tag),
        (old.tag, old.tag, ""),
    ]


def test_taking_the_new_contents_over_is_a_new_check_that_may_fail_and_then_changes_nothing() -> None:
    """Case 46."""
    kind = a_type()
    old, new = a_unit(kind), a_unit(kind)
    kit = a_kit(old, name="Portrait kit")
    booking = opened()
    promise = promise_kit(booking, kit, None)
    kit = save_kit(an_entry(new, name="Portrait kit"), None, pk=kit.pk)
    other = booked(10, 12, new)
    with pytest.raises(KitIncomplete):
        take_over_contents(KitPromise.objects.get(pk=promise.pk), None)
    assert [a.unit for a in booking.allocations.all()] == [old]
    other.delete()
    taken = take_over_contents(KitPromise.objects.get(pk=promise.pk), None)
    assert [a.unit for a in booking.allocations.all()] == [new]
    assert differences_of(taken) == []


def test_a_part_that_is_lent_out_makes_the_kit_incomplete_for_that_time_only() -> None:
    """Case 47."""
    kind = a_type()
    head, clamp = a_unit(kind), a_unit(kind)
    kit = a_kit(head, a_kit(clamp, name="Grip bag"))
    booked(12, 14, clamp)
    (gap,) = incomplete(contents(kit), between(8, 20).interval)
    assert (gap.part, gap.span.start, gap.span.end) == ("Grip bag", at(12), at(14))
    assert is_free(kit, between(10, 12).interval)
    assert not is_free(kit, between(13, 15).interval)
    assert is_free(kit, between(14, 16).interval)


def test_a_place_with_a_choice_is_empty_only_while_all_its_choices_are_away() -> None:
    kind = a_type()
    one, other = a_unit(kind), a_unit(kind)
    kit = a_kit([one, other])
    booked(10, 14, one)
    booked(12, 16, other)
    (gap,) = incomplete(contents(kit), between(8, 20).interval)
    assert (gap.span.start, gap.span.end) == (at(12), at(14))


def test_parts_that_are_back_are_free_after_their_turnaround_and_the_kit_is_not(monkeypatch) -> None:
    """Case 51."""
    kind = a_type(turnaround=60)
    back, away = a_unit(kind), a_unit(kind)
    kit = a_kit(back, away)
    promise = promise_kit(opened(10, 20), kit, None)
    monkeypatch.setattr(kit_services, "now", lambda: at(12))
    take_back_parts(promise, [back.tag], None)
    assert back not in free_units(between(12.5, 14).interval)
    assert back in free_units(between(13, 14).interval)
    assert not is_free(kit, between(13, 14).interval)
    assert [taken.back_at is not None for taken in promise.taken.order_by("pk")] == [True, False]


def test_a_kit_that_is_let_go_frees_what_it_brought_and_nothing_else() -> None:
    kind = a_type()
    own, brought, bags = a_unit(kind), a_unit(kind), an_item(10)
    booking = opened()
    promise_units(booking, [own.pk], None)
    promise = promise_kit(booking, a_kit(own, brought, (10, bags)), None)
    release_kit(promise, None)
    assert [a.unit for a in booking.allocations.all()] == [own]
    assert availability(bags, between(10, 12).interval).free == 10


def test_the_same_kit_twice_in_one_booking_needs_everything_twice() -> None:
    bags = an_item(10)
    kit = a_kit((6, bags))
    booking = opened()
    promise_kit(booking, kit, None)
    with pytest.raises(Conflict, match="4 of 6"):
        promise_kit(booking, kit, None)


def test_a_cancelled_booking_takes_no_kit() -> None:
    booking = opened()
    cancel(booking, None)
    with pytest.raises(Conflict, match="is cancelled"):
        promise_kit(booking, a_kit(a_unit()), None)
