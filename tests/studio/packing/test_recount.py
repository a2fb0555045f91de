"""A case counted again from paper, by its label; and everything that is out, with whom and until when."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone

from gear.inventory.models import Condition
from gear.stock.services import Wanted, promise_stock
from studio.packing.models import PackingLine
from studio.packing.services import pack_out, take_back
from studio.packing.stock import count_line
from tests.builders import a_booking, a_gear_type, a_person, a_unit
from tests.gear.stock.counted import an_item
from tests.studio.phones.phone import a_list

pytestmark = pytest.mark.django_db


@pytest.fixture
def cased(db: None) -> Any:
    """A case with three heads, and one head that travels loose."""
    case, kind = a_unit(a_gear_type("case"), tag="C-07"), a_gear_type()
    heads = [a_unit(kind, tag=f"K-0{number}", case=case) for number in range(3)]
    loose = a_unit(kind, tag="L-01")
    return a_list(*heads, loose)


def out(shoot: Any) -> list[str]:
    lines = PackingLine.objects.filter(shoot=shoot, out_at__isnull=False, outcome="")
    return sorted(lines.values_list("unit__tag", flat=True))


def count(client: Any, shoot: Any, *here: str, way: str = "out", case: str = "C-07") -> Any:
    body = {"case": case, "way": way, "here": here}
    return client.post(reverse("packing:recount", args=[shoot.pk]), body, follow=True)


def test_what_is_ticked_is_packed_and_the_rest_is_named(cased: Any, signed_in: Any) -> None:
    """Case 91."""
    page = count(signed_in("assistant"), cased, "C-07", "K-00", "K-01").content.decode()
    assert out(cased) == ["C-07", "K-00", "K-01"]
    assert "3 changed. Not in it: K-02 (to pack)" in page


def test_the_case_is_told_by_its_short_code_too(cased: Any, signed_in: Any) -> None:
    code = PackingLine.objects.get(unit__tag="C-07").unit.code
    page = signed_in("assistant").get(
        reverse("packing:recount", args=[cased.pk]), {"case": f"FULLSTOP:{code}"}
    )
    assert page.content.decode().count('name="here"') == 4


def test_counted_twice_it_changes_nothing(cased: Any, signed_in: Any) -> None:
    client = signed_in("assistant")
    count(client, cased, "C-07", "K-00")
    assert "0 changed" in count(client, cased, "C-07", "K-00").content.decode()


def test_on_the_way_in_it_takes_back(cased: Any, signed_in: Any) -> None:
    client = signed_in("assistant")
    count(client, cased, "C-07", "K-00", "K-01")
    count(client, cased, "K-01", way="in")
    assert out(cased) == ["C-07", "K-00"]


def test_what_may_not_leave_is_said_and_the_others_are_counted(cased: Any, signed_in: Any) -> None:
    unit = PackingLine.objects.get(unit__tag="K-01").unit
    unit.condition, unit.condition_note = Condition.QUARANTINE, "cracked dome"
    unit.save()
    page = count(signed_in("assistant"), cased, "K-00", "K-01").content.decode()
    assert "cracked dome" in page
    assert out(cased) == ["K-00"]


@pytest.mark.parametrize(("case", "said"), [("L-01", "no case of this list"), ("ZZ-9", "found tray")])
def test_a_label_of_no_case_of_this_list_is_refused(case: str, said: str, cased: Any, signed_in: Any) -> None:
    assert said in count(signed_in("assistant"), cased, "K-00", case=case).content.decode()
    assert out(cased) == []


def test_what_does_not_belong_in_the_case_is_refused_as_a_whole(cased: Any, signed_in: Any) -> None:
    assert count(signed_in("assistant"), cased, "K-00", "L-01").status_code == 422
    assert out(cased) == []


def test_everything_that_is_out_with_whom_and_until_when(signed_in: Any) -> None:
    """Case 92."""
    by, unit, back = a_person("assistant", first_name="Teo"), a_unit(tag="U-01"), a_unit(tag="U-02")
    shoot = a_list(
        unit, back, booking=a_booking(timezone.now() - timedelta(hours=5), hours=3), title="Lookbook"
    )
    (line,) = promise_stock(shoot.booking, [Wanted(an_item(50, name="Sandbag").pk, 10)], None)
    for packed in (unit, back):
        pack_out(shoot, packed.tag, by)
    take_back(shoot, back.tag, by)
    count_line(shoot, line.pk, "out", "10", by)
    count_line(shoot, line.pk, "in", "8", by)
    page = " ".join(signed_in("manager").get(reverse("packing:outside")).content.decode().split())
    assert "U-02" not in page
    for words in ("U-01", "Teo", "Lookbook", "2 of 10 Sandbag", "overdue"):
        assert words in page


def test_fifty_things_outside_take_few_queries(signed_in: Any, django_assert_max_num_queries: Any) -> None:
    kind = a_gear_type()
    shoot = a_list(*[a_unit(kind) for _ in range(50)])
    for line in shoot.packing_lines.all():
        line.out_at = timezone.now()
        line.save()
    client = signed_in("manager")
    with django_assert_max_num_queries(15):
        client.get(reverse("packing:outside"))
