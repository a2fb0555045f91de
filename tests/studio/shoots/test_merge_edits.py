"""Two people change the same shoot: the second gets 412 and sees mine, theirs and as it was; nothing is lost."""

from __future__ import annotations

import re

import pytest

from gear.booking.interval import period
from gear.booking.services import move_booking, promise_units
from studio.shoots import services
from studio.shoots.merging import merged, read, said_of, signed
from studio.shoots.models import Shoot
from studio.shoots.services import Changes
from tests.builders import a_person, a_room, a_unit
from tests.gear.booking.times import a_type
from tests.studio.shoots.series import TUESDAY, a_weekly, planned_on, shoots_of, taken_on, wall

pytestmark = pytest.mark.django_db


@pytest.fixture
def other():
    return a_person(first_name="Dora")


def opened(client, shoot: Shoot) -> dict[str, str]:
    """The edit form as the browser holds it."""
    page = client.get(f"/shoots/{shoot.pk}/edit").content.decode()
    return {
        "was": hidden(page, "was"),
        "version": hidden(page, "version"),
        "title": shoot.title,
        "room": str(shoot.room_id),
        "starts": wall(),
        "ends": wall(0, "13:00"),
        "travellers": "1",
        "notes": "",
    }


def hidden(page: str, name: str) -> str:
    found = re.search(rf'name="{name}" value="([^"]*)"', page)
    assert found, name
    return found[1]


def carried(page: str) -> dict[str, str]:
    return {name: hidden(page, name) for name in ("was", "mine", "theirs")}


@pytest.fixture
def client(signed_in):
    return signed_in()


@pytest.fixture
def shoot(client) -> Shoot:
    return planned_on(TUESDAY, client.person)


def test_the_second_sees_both_changes_with_412_and_nothing_is_saved(client, shoot, other) -> None:
    form = opened(client, shoot)
    services.edit_shoot(shoot, Changes(title="Evening"), other)
    late = client.post(f"/shoots/{shoot.pk}/edit", {**form, "title": "Gloves", "notes": "Bring cake"})
    page = late.content.decode()
    assert late.status_code == 412
    assert "Before: Tram portraits" in page
    assert "Theirs: <b>Evening</b>" in page
    assert "Mine: <b>Gloves</b>" in page
    assert "Bring cake" in page
    shoot.refresh_from_db()
    assert (shoot.title, shoot.notes) == ("Evening", "")


def test_changes_of_different_things_are_saved_together(client, shoot, other) -> None:
    form = opened(client, shoot)
    services.edit_shoot(shoot, Changes(starts=wall(0, "10:00"), ends=wall(0, "14:00")), other)
    late = client.post(f"/shoots/{shoot.pk}/edit", {**form, "notes": "Bring cake"})
    page = late.content.decode()
    assert "do not touch the same thing" in page
    assert client.post(f"/shoots/{shoot.pk}/merge", carried(page)).status_code == 302
    shoot.refresh_from_db()
    shoot.booking.refresh_from_db()
    assert (shoot.notes, shoot.booking.starts_wall) == ("Bring cake", wall(0, "10:00"))


@pytest.mark.parametrize(("whose", "title"), [("mine", "Gloves"), ("theirs", "Evening")])
def test_what_both_changed_is_as_the_person_decides(client, shoot, other, whose, title) -> None:
    form = opened(client, shoot)
    services.edit_shoot(shoot, Changes(title="Evening"), other)
    page = client.post(f"/shoots/{shoot.pk}/edit", {**form, "title": "Gloves"}).content.decode()
    client.post(f"/shoots/{shoot.pk}/merge", {**carried(page), "choice:title": whose})
    shoot.refresh_from_db()
    assert shoot.title == title


def test_undecided_nothing_is_saved(client, shoot, other) -> None:
    form = opened(client, shoot)
    services.edit_shoot(shoot, Changes(title="Evening"), other)
    page = client.post(f"/shoots/{shoot.pk}/edit", {**form, "title": "Gloves"}).content.decode()
    again = client.post(f"/shoots/{shoot.pk}/merge", carried(page))
    assert again.status_code == 422
    assert "Say for each whose stands" in again.content.decode()
    shoot.refresh_from_db()
    assert shoot.title == "Evening"


def test_a_third_save_in_between_is_looked_at_again(client, shoot, other) -> None:
    form = opened(client, shoot)
    services.edit_shoot(shoot, Changes(title="Evening"), other)
    page = client.post(f"/shoots/{shoot.pk}/edit", {**form, "title": "Gloves"}).content.decode()
    services.edit_shoot(shoot, Changes(title="Night"), other)
    again = client.post(f"/shoots/{shoot.pk}/merge", {**carried(page), "choice:title": "mine"})
    assert again.status_code == 412
    assert "Theirs: <b>Night</b>" in again.content.decode()
    shoot.refresh_from_db()
    assert shoot.title == "Night"


def test_a_clash_of_the_merged_time_is_said_on_the_merge_page(client, shoot, other) -> None:
    head = a_unit(a_type(), tag="K-03")
    form = opened(client, shoot)
    services.add_extra_unit(shoot, head.tag, other)
    blocker = taken_on(TUESDAY, title="Evening gloves")
    move_booking(blocker, period(wall(0, "15:00"), wall(0, "17:00"), "Europe/Paris"), other)
    promise_units(blocker, [head.pk], other)
    later = {**form, "starts": wall(0, "14:00"), "ends": wall(0, "16:00")}
    page = client.post(f"/shoots/{shoot.pk}/edit", later).content.decode()
    refused = client.post(f"/shoots/{shoot.pk}/merge", carried(page))
    assert refused.status_code == 409
    assert "Evening gloves" in refused.content.decode()
    assert hidden(refused.content.decode(), "mine")


def test_rooms_and_people_are_called_by_name(client, shoot, other) -> None:
    room = a_room(name="Paint shop")
    form = opened(client, shoot)
    services.edit_shoot(shoot, Changes(room=room, photographer=other), client.person)
    page = client.post(f"/shoots/{shoot.pk}/edit", {**form, "notes": "Bring cake"}).content.decode()
    assert "Paint shop" in page
    assert "Dora" in page
    assert "was nobody" in page


def test_what_a_browser_made_up_as_it_was_is_not_taken(client, shoot, other) -> None:
    said = said_of(shoot)
    assert read(signed(said)) == said
    assert read(signed(said)[:-2] + "xx") is None
    late = client.post(f"/shoots/{shoot.pk}/merge", {"was": "made up", "mine": signed(said), "theirs": "1"})
    assert late.status_code == 422


def test_an_edit_without_what_it_was_is_refused_with_412_as_before(client, shoot, other) -> None:
    form = opened(client, shoot)
    services.edit_shoot(shoot, Changes(title="Evening"), other)
    late = client.post(f"/shoots/{shoot.pk}/edit", {**form, "was": "", "title": "Gloves"})
    assert late.status_code == 412
    assert 'value="Gloves"' in late.content.decode()


def test_of_a_series_a_late_edit_of_the_following_is_not_merged_but_kept_in_its_form(client, other) -> None:
    series = a_weekly(by=client.person, count=3)
    first = shoots_of(series)[0]
    form = opened(client, first)
    services.edit_shoot(first, Changes(title="Evening"), other)
    late = client.post(f"/shoots/{first.pk}/edit", {**form, "title": "Gloves", "which": "following"})
    assert late.status_code == 412
    assert 'value="Gloves"' in late.content.decode()
    assert "Both changes" not in late.content.decode()


def test_both_who_did_the_same_have_no_conflict(shoot) -> None:
    was = said_of(shoot)
    both = {**was, "title": "Evening"}
    assert not merged(was, both, both).conflicts
    assert merged(was, both, {**was, "notes": "x"}).said == {**both, "notes": "x"}
