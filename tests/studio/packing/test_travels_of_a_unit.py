"""When a unit left and came back, on its page; and no unit leaves whose inspection falls due on the way."""

from datetime import UTC, datetime, timedelta

import pytest
from django.urls import reverse

from gear.booking.services import promise_units
from gear.errors import Conflict
from studio.packing.models import PackingLine
from studio.packing.services import pack_out, report_line, take_back, update_list
from tests.builders import a_booking, a_person, a_shoot, a_unit

pytestmark = pytest.mark.django_db


def a_list(unit, **more):
    shoot = a_shoot(**more)
    promise_units(shoot.booking, [unit.pk], a_person("manager"))
    update_list(shoot)
    return shoot


def travels(client, unit, **headers):
    return client.get(reverse("packing:unit", args=[unit.tag]), **headers).content.decode()


@pytest.mark.parametrize("role", ["manager", "photographer", "assistant"])
def test_a_unit_that_stayed_says_so(role, signed_in):
    assert "has not left the store yet" in travels(signed_in(role), a_unit())


def test_out_back_and_reported_stand_there_with_who_did_it(signed_in):
    unit, by = a_unit(), a_person("assistant", first_name="Teo")
    first = a_list(unit, booking=a_booking(title="Spring lookbook"))
    pack_out(first, unit.tag, by)
    client = signed_in()
    assert "still out" in travels(client, unit)
    take_back(first, unit.tag, by)
    second = a_list(unit, booking=a_booking(datetime.now(UTC) + timedelta(days=30), title="Orchestra"))
    pack_out(second, unit.tag, by)
    report_line(second, unit.tag, "damaged", "dome cracked", by)
    page = travels(client, unit)
    assert "still out" not in page
    assert page.index("Orchestra") < page.index("Spring lookbook")
    for word in ("came back", "dome cracked", str(by)):
        assert word in page


def test_a_line_that_was_only_planned_is_no_journey(signed_in):
    unit = a_unit()
    a_list(unit)
    assert "has not left the store yet" in travels(signed_in(), unit)


def test_the_page_of_the_unit_asks_for_the_part_without_a_frame(signed_in):
    unit = a_unit()
    client = signed_in()
    address = reverse("packing:unit", args=[unit.tag])
    assert f'hx-get="{address}"' in client.get(f"/gear/{unit.tag}/").content.decode()
    assert "<html" in travels(client, unit)
    assert "<html" not in travels(client, unit, HTTP_HX_REQUEST="true")


def test_fifty_journeys_take_few_queries(signed_in, django_assert_max_num_queries):
    unit, at = a_unit(), datetime(2026, 1, 1, tzinfo=UTC)
    for day in range(50):
        shoot = a_shoot(booking=a_booking(at + timedelta(days=day)))
        PackingLine.objects.create(
            shoot=shoot, unit=unit, out_at=at, outcome="in", outcome_at=at + timedelta(hours=1)
        )
    client = signed_in()
    with django_assert_max_num_queries(15):
        assert travels(client, unit, HTTP_HX_REQUEST="true").count("came back") == 30


def test_an_unknown_unit_is_told(signed_in):
    assert signed_in().get(reverse("packing:unit", args=["ZZ-99"])).status_code == 404


@pytest.mark.parametrize(("due_after_days", "leaves"), [(-1, False), (0, True), (1, True)])
def test_a_unit_whose_inspection_falls_due_during_the_shoot_is_stopped_at_the_door(due_after_days, leaves):
    """Due on 10 May, out from 9 to 12 May: stopped. An inspection falls due at the end of its day."""
    unit = a_unit()
    booking = a_booking(datetime(2027, 5, 9, 8, tzinfo=UTC), hours=75)
    shoot = a_list(unit, booking=booking)
    unit.inspection_due = booking.ends_at.date() + timedelta(days=due_after_days)
    unit.save()
    if leaves:
        assert pack_out(shoot, unit.tag, a_person("assistant")).out_at is not None
    else:
        with pytest.raises(Conflict, match="before this shoot ends") as refused:
            pack_out(shoot, unit.tag, a_person("assistant"))
        assert refused.value.code == "inspection-due"
        assert not PackingLine.objects.filter(out_at__isnull=False).exists()
