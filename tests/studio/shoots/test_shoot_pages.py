from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from gear.booking.models import Booking
from studio.shoots import services
from studio.shoots.models import Shoot
from tests.builders import a_person, a_recipe, a_room, a_unit
from tests.gear.booking.times import a_type
from tests.studio.shoots.plans import planned, the_recipe

pytestmark = pytest.mark.django_db

HEAD = {"light": "Key", "job": "head", "number": "1"}


@pytest.fixture
def manager():
    return a_person()


def form_of(room, **more):
    return {
        "title": "Portraits",
        "room": room.pk,
        "starts": "2027-05-12T09:00",
        "ends": "2027-05-12T14:00",
        "state": "hold",
        **more,
    }


def test_a_shoot_is_planned_and_shown(signed_in) -> None:
    client, room, recipe = signed_in(), a_room(), a_recipe()
    made = client.post("/shoots/new", form_of(room, recipe_1=recipe.pk))
    shoot = Shoot.objects.get()
    assert made.headers["Location"] == f"/shoots/{shoot.pk}"
    page = client.get(f"/shoots/{shoot.pk}").content.decode()
    assert "Wed 12 May 2027, 09:00 to 14:00" in page
    assert recipe.title in page
    assert "jobs are still empty" in page


def test_a_shoot_that_goes_by_air_says_so_with_its_people(signed_in) -> None:
    client = signed_in()
    client.post("/shoots/new", form_of(a_room(), travels_by_air="on", travellers="3"))
    shoot = Shoot.objects.get()
    assert (shoot.travels_by_air, shoot.travellers) == (True, 3)
    assert "by air, 3 people" in client.get(f"/shoots/{shoot.pk}").content.decode()
    client.post(f"/shoots/{shoot.pk}/edit", form_of(shoot.room, version=shoot.version))
    shoot.refresh_from_db()
    assert (shoot.travels_by_air, shoot.travellers) == (False, 1)
    page = client.get(f"/shoots/{shoot.pk}").content.decode()
    assert "by air, " not in page
    assert "changed travel by air from yes to no" in page


def test_a_photographer_plans_their_own_and_is_not_asked_for_whom(signed_in) -> None:
    client = signed_in("photographer")
    client.post("/shoots/new", form_of(a_room()))
    assert Shoot.objects.get().photographer == client.person


def test_a_time_that_does_not_exist_is_refused_beside_its_field_with_the_next_one(signed_in) -> None:
    body = form_of(a_room(), starts="2027-03-28T02:30", ends="2027-03-28T12:00")
    refused = signed_in().post("/shoots/new", body)
    assert refused.status_code == 422
    assert "Take 03:30 instead." in refused.content.decode()
    assert 'value="2027-03-28T02:30"' in refused.content.decode()
    assert not Shoot.objects.exists()


def test_a_time_that_happens_twice_is_asked_about_with_the_first_marked(signed_in) -> None:
    client, body = signed_in(), form_of(a_room(), starts="2027-10-31T02:30", ends="2027-10-31T12:00")
    asked = client.post("/shoots/new", body)
    assert asked.status_code == 422
    assert "happens twice that night" in asked.content.decode()
    client.post("/shoots/new", {**body, "starts_which": "first"})
    assert Shoot.objects.get().booking.starts_at.isoformat() == "2027-10-31T00:30:00+00:00"


def test_the_second_of_two_equal_times_can_be_chosen(signed_in) -> None:
    body = form_of(a_room(), starts="2027-10-31T02:30", ends="2027-10-31T12:00", starts_which="second")
    signed_in().post("/shoots/new", body)
    assert Shoot.objects.get().booking.starts_at.isoformat() == "2027-10-31T01:30:00+00:00"


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"ends": "2027-05-12T09:00"}, "after the start"),
        ({"starts": "0001-01-01T00:00"}, "not one a studio can book"),
        ({"ends": "2090-05-12T09:00"}, "five years"),
        ({"starts": "soon"}, "is not a time"),
        ({"title": ""}, "required"),
        ({"room": "99999"}, "valid choice"),
    ],
)
def test_bad_input_keeps_what_was_typed_and_says_why(signed_in, changed, said) -> None:
    refused = signed_in().post("/shoots/new", {**form_of(a_room()), "notes": "kept words", **changed})
    assert refused.status_code == 422
    assert said in refused.content.decode()
    assert "kept words" in refused.content.decode()
    assert not Shoot.objects.exists()


def test_a_unit_is_taken_for_a_job_and_taken_off_again(signed_in) -> None:
    client, shoot = signed_in(), planned()
    here = the_recipe(shoot)
    a_unit(tag="K-03")
    page = client.get(f"/shoots/{shoot.pk}/recipes/{here.pk}/job", HEAD)
    assert "K-03" in page.content.decode()
    address = f"/shoots/{shoot.pk}/recipes/{here.pk}"
    assert client.post(f"{address}/job", {**HEAD, "unit": "K-03", "seen": ""}).status_code == 302
    assert here.assignments.get().unit.tag == "K-03"
    assert client.post(f"{address}/unassign", {**HEAD, "seen": "K-03"}).status_code == 302
    assert not here.assignments.exists()


def test_the_loser_of_a_race_reads_who_has_it_and_gets_a_button_for_what_is_free(signed_in, manager) -> None:
    kind = a_type()
    a_unit(kind, tag="K-03")
    a_unit(kind, tag="K-05")
    services.assign_unit(the_recipe(planned(title="Dancers")), "Key", "head", 1, "K-03", manager)
    here = the_recipe(planned())
    lost = signed_in().post(
        f"/shoots/{here.shoot_id}/recipes/{here.pk}/job", {**HEAD, "unit": "K-03", "seen": ""}
    )
    page = lost.content.decode()
    assert lost.status_code == 409
    assert "is with “Dancers”" in page
    assert '<button class="button" name="unit" value="K-05">' in page


def test_units_of_others_are_listed_with_who_has_them(signed_in, manager) -> None:
    a_unit(a_type(), tag="K-03")
    services.assign_unit(the_recipe(planned(title="Dancers")), "Key", "head", 1, "K-03", manager)
    here = the_recipe(planned())
    page = signed_in().get(f"/shoots/{here.shoot_id}/recipes/{here.pk}/job", HEAD).content.decode()
    assert "Dancers" in page
    assert "Nothing of this kind is free" in page


def test_two_jobs_swap_on_the_page(signed_in, manager) -> None:
    here = the_recipe(planned())
    for number, tag in ((1, "K-03"), (2, "K-05")):
        a_unit(tag=tag)
        services.assign_unit(here, "Key", "head", number, tag, manager)
    address = f"/shoots/{here.shoot_id}/recipes/{here.pk}/job"
    signed_in().post(address, {**HEAD, "swap_with": "K-05"})
    assert here.assignments.get(number=1).unit.tag == "K-05"


def test_an_extra_unit_that_is_taken_is_refused_on_the_desk_with_a_button(signed_in, manager) -> None:
    kind = a_type()
    a_unit(kind, tag="K-03")
    a_unit(kind, tag="K-05")
    services.add_extra_unit(planned(), "K-03", manager)
    refused = signed_in().post(f"/shoots/{planned().pk}/extra", {"unit": "K-03"})
    assert refused.status_code == 409
    assert "Take K-05</button>" in refused.content.decode()


def test_an_old_form_gets_412_and_shows_what_it_says_now(signed_in, manager) -> None:
    client, shoot = signed_in(), planned()
    body = {
        "title": "Mine",
        "room": shoot.room_id,
        "starts": shoot.booking.starts_wall,
        "ends": shoot.booking.ends_wall,
        "version": shoot.version,
    }
    services.edit_shoot(shoot, services.Changes(title="Theirs"), manager)
    late = client.post(f"/shoots/{shoot.pk}/edit", body)
    assert late.status_code == 412
    assert "Theirs" in late.content.decode()
    assert 'value="Mine"' in late.content.decode()


def test_a_lapsed_hold_shows_and_can_be_renewed(signed_in) -> None:
    client, shoot = signed_in(), planned()
    Booking.objects.filter(pk=shoot.booking_id).update(hold_until=timezone.now() - timedelta(minutes=1))
    assert "hold ended" in client.get(f"/shoots/{shoot.pk}").content.decode()
    client.post(f"/shoots/{shoot.pk}/hold", {"version": shoot.version})
    assert "hold ended" not in client.get(f"/shoots/{shoot.pk}").content.decode()


def test_another_shoot_in_the_same_room_is_pointed_out(signed_in, manager) -> None:
    room = a_room()
    planned(room=room, title="Dancers", by=manager)
    shoot = planned(room=room, by=manager)
    assert (
        "The same room is used at the same time by" in signed_in().get(f"/shoots/{shoot.pk}").content.decode()
    )


def test_an_assistant_reads_the_desk_and_finds_no_buttons(signed_in) -> None:
    client, shoot = signed_in("assistant"), planned()
    page = client.get(f"/shoots/{shoot.pk}").content.decode()
    assert "Suggest units" not in page
    assert client.post(f"/shoots/{shoot.pk}/suggest").status_code == 403


def test_a_photographer_does_not_change_anothers_shoot(signed_in) -> None:
    shoot = planned(by=a_person("photographer"))
    assert signed_in("photographer").post(f"/shoots/{shoot.pk}/cancel").status_code == 403


def test_what_does_not_exist_gets_404(signed_in) -> None:
    client = signed_in()
    assert client.get("/shoots/4711").status_code == 404
    assert client.get(f"/shoots/{planned().pk}/recipes/4711/job", HEAD).status_code == 404


def test_a_strange_job_in_the_address_gets_a_sentence(signed_in) -> None:
    here = the_recipe(planned())
    strange = signed_in().get(f"/shoots/{here.shoot_id}/recipes/{here.pk}/job", {"job": "juggler"})
    assert strange.status_code == 422


def test_the_list_of_fifty_shoots_takes_few_queries(
    signed_in, manager, django_assert_max_num_queries
) -> None:
    client, room, recipe = signed_in(), a_room(), a_recipe()
    for number in range(50):
        planned(recipe, start=10 + number, end=11 + number, by=manager, room=room)
    with django_assert_max_num_queries(15):
        assert client.get("/shoots/").status_code == 200


def test_a_desk_of_fifty_units_takes_few_queries(signed_in, manager, django_assert_max_num_queries) -> None:
    client = signed_in()
    shoot = planned(*[a_recipe() for _ in range(3)], by=manager)
    kind = a_type()
    for recipe in shoot.recipes.all():
        for number in range(1, 9):
            services.assign_unit(recipe, "Key", "head", number, a_unit(kind).tag, manager)
    for _ in range(30):
        services.add_extra_unit(shoot, a_unit(kind).tag, manager)
    with django_assert_max_num_queries(15):
        assert client.get(f"/shoots/{shoot.pk}").status_code == 200


def test_choosing_among_fifty_units_takes_few_queries(signed_in, django_assert_max_num_queries) -> None:
    client, here, kind = signed_in(), the_recipe(planned()), a_type()
    for _ in range(50):
        a_unit(kind)
    with django_assert_max_num_queries(15):
        page = client.get(f"/shoots/{here.shoot_id}/recipes/{here.pk}/job", HEAD)
    assert page.status_code == 200
