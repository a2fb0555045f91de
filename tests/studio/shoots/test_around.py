"""The units of a shoot beyond their jobs: minutes that were granted (case 59), gear that stays on set (case 56), any
unit of a type (cases 40 and 41), and what a changed setting would clash with (case 57); as pages and over the API."""

from __future__ import annotations

from datetime import date

import pytest
from django.urls import reverse

from gear.booking.models import Allocation
from gear.booking.services import promise_units
from gear.errors import Conflict, NotAllowed
from studio.history.queries import history_of
from studio.packing.services import pack_out, update_list
from studio.shoots import services
from studio.shoots.around import add_any, fix_unit, follow_on, grant_minutes
from studio.shoots.models import Assignment
from tests.builders import a_person, a_room, a_unit
from tests.gear.booking.times import a_type, booked
from tests.studio.shoots.plans import planned, the_recipe

pytestmark = pytest.mark.django_db

WHY = "a second crew checks it on set"


@pytest.fixture
def kind():
    return a_type(turnaround=120)


@pytest.fixture
def unit(kind):
    return a_unit(kind, tag="K-03")


def with_unit(unit, **more):
    shoot = planned(**more)
    services.add_extra_unit(shoot, unit.tag, a_person())
    return shoot


def told(thing) -> str:
    return " ; ".join(did for line in history_of(thing) for did in line.did)


# Case 59.


def test_a_grant_is_printed_on_the_packing_list_with_role_and_reason(unit, signed_in) -> None:
    client, shoot = signed_in("manager"), with_unit(unit)
    client.person.first_name, client.person.last_name = "Runa", "Pell"
    client.person.save()
    sent = {"act": "grant", "unit": "k-03", "turnaround_minutes": "30", "why": WHY}
    assert client.post(reverse("shoots:units", args=[shoot.pk]), sent).status_code == 302
    said = f"turnaround 30 min instead of 120, granted by Runa Pell (Studio manager): {WHY}"
    assert said in client.get(reverse("shoots:units", args=[shoot.pk])).content.decode()
    assert said in client.get(reverse("packing:list", args=[shoot.pk])).content.decode()
    lines = client.get(f"/api/shoots/{shoot.pk}/packing").json()["lines"]
    assert [line["around"] for line in lines if line["unit"] == "K-03"] == [said]


def test_a_grant_stands_in_the_history_with_who_and_why(unit, signed_in) -> None:
    client = signed_in("manager")
    shoot = with_unit(unit)
    address = f"/api/shoots/{shoot.pk}/units/K-03/buffers"
    answer = client.put(address, {"turnaround_minutes": 30, "why": WHY}, "application/json")
    assert answer.status_code == 200
    said = told(shoot)
    assert f"set reason of the promise of K-03 to {WHY}" in said
    assert "set turnaround of the promise of K-03 to 30" in said


@pytest.mark.parametrize("role", ["photographer", "assistant"])
def test_only_the_manager_grants(unit, signed_in, role) -> None:
    client = signed_in(role)
    shoot = with_unit(unit, photographer=client.person if role == "photographer" else None)
    with pytest.raises(NotAllowed, match="Only the studio manager"):
        grant_minutes(shoot, "K-03", client.person, prep=None, turnaround=0, why=WHY)
    answer = client.put(
        f"/api/shoots/{shoot.pk}/units/K-03/buffers",
        {"turnaround_minutes": 0, "why": WHY},
        "application/json",
    )
    assert answer.status_code == 403
    assert "Grant other minutes" not in client.get(reverse("shoots:units", args=[shoot.pk])).content.decode()
    assert Allocation.objects.get().turnaround_given is None


def test_without_a_reason_nothing_is_granted_and_what_was_typed_stays(unit, signed_in) -> None:
    client, shoot = signed_in("manager"), with_unit(unit)
    sent = {"act": "grant", "unit": "K-03", "turnaround_minutes": "35", "why": " "}
    page = client.post(reverse("shoots:units", args=[shoot.pk]), sent)
    assert page.status_code == 422
    assert "Say why" in page.content.decode()
    assert 'value="35"' in page.content.decode()
    odd = client.post(
        reverse("shoots:units", args=[shoot.pk]), {**sent, "why": WHY, "turnaround_minutes": "soon"}
    )
    assert odd.status_code == 422
    answer = client.put(
        f"/api/shoots/{shoot.pk}/units/K-03/buffers", {"turnaround_minutes": 5}, "application/json"
    )
    assert answer.status_code == 422


def test_usual_minutes_come_back_by_a_button(unit, signed_in) -> None:
    client, shoot = signed_in("manager"), with_unit(unit)
    grant_minutes(shoot, "K-03", client.person, prep=None, turnaround=0, why=WHY)
    client.post(reverse("shoots:units", args=[shoot.pk]), {"act": "usual", "unit": "K-03"})
    assert Allocation.objects.get().turnaround_given is None


# Case 56.


def two_shoots(unit, by, room=None, **more):
    room = room or a_room()
    first = planned(by=by, room=room, photographer=by, title="Day one", **more)
    later = planned(by=by, room=room, photographer=by, title="Day two", start=14, end=18)
    services.add_extra_unit(first, unit.tag, by)
    return first, later


def test_gear_stays_on_set_by_a_button_and_both_lists_say_so(unit, signed_in) -> None:
    client = signed_in("manager")
    first, later = two_shoots(unit, client.person)
    page = client.get(reverse("shoots:units", args=[first.pk])).content.decode()
    assert "Day two" in page
    client.post(reverse("shoots:units", args=[first.pk]), {"act": "stay", "for": later.pk, "stays": ["K-03"]})
    assert later.booking.allocations.get().blocked.lower == later.booking.starts_at
    assert (
        "stays on set for “Day two”" in client.get(reverse("packing:list", args=[first.pk])).content.decode()
    )
    page = client.get(reverse("packing:list", args=[later.pk])).content.decode()
    assert "comes straight from “Day one”" in page


def test_over_the_api_it_stays_and_other_people_are_refused(unit, signed_in) -> None:
    client = signed_in("manager")
    first, later = two_shoots(unit, client.person)
    stranger = planned(room=first.room, start=20, end=21, photographer=a_person())
    address = f"/api/shoots/{first.pk}/stay"
    assert (
        client.post(address, {"for": stranger.pk, "units": ["K-03"]}, "application/json").status_code == 409
    )
    done = client.post(address, {"for": later.pk, "units": ["K-03"]}, "application/json")
    assert [one["unit"] for one in done.json()["units"]] == ["K-03"]


def test_in_another_room_the_gear_is_carried_and_has_its_turnaround(unit) -> None:
    runa = a_person()
    first, _ = two_shoots(unit, runa)
    elsewhere = planned(by=runa, photographer=runa, room=a_room(), start=14, end=18)
    with pytest.raises(Conflict, match="carried"):
        follow_on(first, elsewhere, ["K-03"], runa)


def test_an_inspection_that_is_due_stays_due_when_the_turnaround_is_waived(unit) -> None:
    runa = a_person()
    first, later = two_shoots(unit, runa)
    follow_on(first, later, ["K-03"], runa)
    type(unit).objects.filter(pk=unit.pk).update(inspection_due=date(2020, 1, 1))
    update_list(later)
    with pytest.raises(Conflict) as refused:
        pack_out(later, "K-03", runa)
    assert refused.value.code == "inspection-due"


# Cases 40 and 41.


def test_any_unit_is_promised_and_the_jobs_of_who_is_exchanged_follow(
    signed_in, mailoutbox, django_capture_on_commit_callbacks
) -> None:
    kind, manager = a_type(), signed_in("manager")
    for tag in ("U-1", "U-2"):
        a_unit(kind, tag=tag)
    runa = a_person(email="runa@tram-depot.example")
    a = planned(start=10, end=12, title="A", by=runa, photographer=runa)
    b = planned(start=12, end=14, title="B", by=runa, photographer=runa)
    services.assign_unit(the_recipe(a), "Key", "head", 1, "U-1", runa)
    services.assign_unit(the_recipe(b), "Key", "head", 1, "U-2", runa)
    mine = planned(start=11, end=13, title="C")
    with django_capture_on_commit_callbacks(execute=True):
        answer = manager.post(f"/api/shoots/{mine.pk}/units/any", {"type": kind.slug}, "application/json")
    assert answer.status_code == 201, answer.content
    body = answer.json()
    (moved,) = body["exchanged"]
    who = {"A": a, "B": b}[moved["title"]]
    assert Assignment.objects.get(shoot_recipe__shoot=who).unit.tag == moved["new"]
    assert body["units"] == [moved["old"]]
    said = f"{moved['new']} goes instead of {moved['old']} to {moved['title']}"
    assert [(one.subject, one.to) for one in mailoutbox] == [(said, ["runa@tram-depot.example"])]


def test_what_must_be_this_very_unit_is_not_exchanged_and_the_page_says_why(signed_in) -> None:
    kind, client = a_type(), signed_in("manager")
    a = with_unit(a_unit(kind, tag="U-1"), start=10, end=12, title="A")
    b = with_unit(a_unit(kind, tag="U-2"), start=12, end=14, title="B")
    for shoot, tag in ((a, "U-1"), (b, "U-2")):
        client.put(f"/api/shoots/{shoot.pk}/units/{tag}/fixed", {"fixed": True}, "application/json")
    mine = planned(start=11, end=13)
    sent = {"act": "any", "type": kind.slug, "count": "1"}
    page = client.post(reverse("shoots:units", args=[mine.pk]), sent)
    assert page.status_code == 409
    assert "needs a pinned unit moved" in page.content.decode()
    client.post(reverse("shoots:units", args=[b.pk]), {"act": "unfix", "unit": "U-2"})
    assert client.post(reverse("shoots:units", args=[mine.pk]), sent).status_code == 302
    assert b.booking.allocations.get().unit.tag == "U-1"


def test_a_photographer_asks_for_their_own_shoot_only(kind, unit) -> None:
    mine, other = a_person("photographer"), a_person("photographer")
    shoot = planned(by=mine)
    with pytest.raises(NotAllowed):
        add_any(shoot, kind.slug, 1, other)
    assert add_any(shoot, kind.slug, 1, mine)[0][0].unit == unit
    with pytest.raises(NotAllowed):
        fix_unit(shoot, unit.tag, True, other)


# Case 57.


def test_a_longer_turnaround_lists_what_would_clash_on_the_page_of_the_type(kind, unit, signed_in) -> None:
    booked(10, 12, unit, title="First")
    booked(15, 16, unit, title="Next")
    client = signed_in("manager")
    address = reverse("booking:type-clashes", args=[kind.slug])
    assert "Nothing that is promised would clash" in client.get(address).content.decode()
    kind.turnaround_minutes = 240
    kind.save()
    page = client.get(address).content.decode()
    assert "First" in page
    assert "60 min short" in page
    assert address in client.get(reverse("catalogue:type", args=[kind.slug])).content.decode()
    assert "60 min short" in client.get(reverse("booking:unit-promises", args=["K-03"])).content.decode()
    (found,) = client.get(f"/api/gear-types/{kind.slug}/would-clash").json()
    assert (found["unit"], found["before"], found["after"], found["short_minutes"]) == (
        "K-03",
        "First",
        "Next",
        60,
    )


def test_a_type_that_is_not_there_is_said(signed_in) -> None:
    client = signed_in("assistant")
    assert client.get(reverse("booking:type-clashes", args=["nothing"])).status_code == 404
    assert client.get("/api/gear-types/nothing/would-clash").status_code == 404


def test_a_page_of_fifty_units_needs_few_queries(kind, signed_in, django_assert_max_num_queries) -> None:
    client, shoot = signed_in("manager"), planned()
    promise_units(shoot.booking, [a_unit(kind).pk for _ in range(50)], None)
    with django_assert_max_num_queries(16):
        assert client.get(reverse("shoots:units", args=[shoot.pk])).status_code == 200
