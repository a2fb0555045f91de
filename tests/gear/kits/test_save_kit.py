"""What may be in a kit: never itself, by whatever way."""

from __future__ import annotations

import pytest
from django.db import IntegrityError, transaction

from gear.errors import Conflict, Invalid, StaleEdit
from gear.kits.entry import KitEntry, read_typed
from gear.kits.models import Kit, KitOption
from gear.kits.services import remove_kit, save_kit
from tests.builders import a_unit
from tests.gear.kits.sets import a_kit, an_entry
from tests.gear.stock.counted import an_item

pytestmark = pytest.mark.django_db


def test_a_kit_keeps_its_parts_in_order() -> None:
    unit, bags = a_unit(), an_item()
    kit = a_kit((4, bags), [unit, bags])
    assert [[str(o) for o in part.options.all()] for part in kit.parts.all()] == [
        [bags.name],
        [unit.tag, bags.name],
    ]


def test_a_kit_that_contains_one_that_contains_it_is_refused_and_nothing_is_saved() -> None:
    """Case 45."""
    unit = a_unit()
    first = a_kit(unit, name="First")
    second = a_kit(first, name="Second")
    third = a_kit(second, name="Third")
    with pytest.raises(Invalid, match="First contains Third contains Second contains First") as refused:
        save_kit(an_entry(third, name="First"), None, pk=first.pk)
    assert refused.value.code == "kit-loop"
    assert [option.unit for option in KitOption.objects.filter(part__kit=first)] == [unit]


def test_a_kit_directly_in_itself_is_refused() -> None:
    """Case 45."""
    kit = a_kit(a_unit(), name="First")
    with pytest.raises(Invalid, match="First contains First"):
        save_kit(an_entry(kit, name="First"), None, pk=kit.pk)


def test_a_kit_twice_in_another_is_no_loop() -> None:
    inner = a_kit(a_unit())
    assert a_kit(inner, a_kit(inner)).parts.count() == 2


@pytest.mark.parametrize(
    ("part", "words"),
    [
        ({"options": [{"unit": "ZZ-99"}]}, "there is no unit ZZ-99"),
        ({"options": [{"item": 99999}]}, "there is no stock item 99999"),
        ({"options": [{"kit": 99999}]}, "there is no kit 99999"),
        ({"quantity": 2, "options": [{"unit": "K-01"}]}, "only counted things have a quantity"),
    ],
)
def test_what_is_not_there_cannot_be_in_a_kit(part, words) -> None:
    a_unit(tag="K-01")
    with pytest.raises(Invalid, match=words):
        save_kit(read_typed(KitEntry, {"name": "A", "parts": [part]}, "The kit"), None)
    assert not Kit.objects.exists()


@pytest.mark.parametrize(
    "entry",
    [
        {"name": "A", "parts": []},
        {"name": " ", "parts": [{"options": [{"unit": "K-01"}]}]},
        {"name": "A", "parts": [{"options": []}]},
        {"name": "A", "parts": [{"options": [{"unit": "K-01", "item": 1}]}]},
        {"name": "A", "parts": [{"quantity": 0, "options": [{"item": 1}]}]},
    ],
)
def test_a_kit_that_says_nothing_is_refused(entry) -> None:
    with pytest.raises(Invalid):
        read_typed(KitEntry, entry, "The kit")


def test_a_part_of_a_whole_thing_is_refused() -> None:
    with pytest.raises(Invalid, match="whole"):
        a_kit(("1.5", an_item()))


def test_the_second_of_two_editors_is_told() -> None:
    unit = a_unit()
    kit = a_kit(unit, name="First")
    save_kit(an_entry(unit, name="First"), None, pk=kit.pk, version=1)
    with pytest.raises(StaleEdit):
        save_kit(an_entry(unit, name="Other"), None, pk=kit.pk, version=1)


def test_two_kits_do_not_share_a_name() -> None:
    a_kit(a_unit(), name="Grip bag")
    with pytest.raises(Conflict, match="already a kit"):
        a_kit(a_unit(), name="grip BAG")


def test_a_kit_inside_another_is_not_removed() -> None:
    inner = a_kit(a_unit(), name="Inner")
    outer = a_kit(inner, name="Outer")
    with pytest.raises(Conflict, match="Inner is in Outer"):
        remove_kit(inner.pk, None)
    remove_kit(outer.pk, None)
    remove_kit(inner.pk, None)
    assert not Kit.objects.exists()


def test_the_table_refuses_an_option_that_is_two_things() -> None:
    part = a_kit(a_unit()).parts.get()
    with pytest.raises(IntegrityError, match="kits_option_is_one_thing"), transaction.atomic():
        KitOption.objects.create(part=part, position=2, unit=a_unit(), item=an_item())
