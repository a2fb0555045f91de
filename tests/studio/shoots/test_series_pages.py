"""Series on pages and over the API: shown before they are booked, listed whole, changed from where one stands."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from gear.booking import services as booking
from gear.booking.models import Series
from studio.shoots import services
from studio.shoots.models import Shoot
from studio.shoots.services import Changes
from tests.builders import a_person, a_recipe, a_room, a_unit
from tests.gear.booking.times import a_type
from tests.studio.shoots.series import TUESDAY, a_weekly, planned_on, shoots_of, taken_on, wall

pytestmark = pytest.mark.django_db
THIRD = TUESDAY + timedelta(weeks=2)


@pytest.fixture
def head():
    return a_unit(a_type(), tag="K-03")


def form_of(**more):
    return {
        "title": "Tram portraits",
        "room": more.pop("room", None) or a_room().pk,
        "starts": wall(),
        "ends": wall(0, "13:00"),
        "state": "confirmed",
        "repeat-each": "week",
        "repeat-ends": "count",
        "repeat-count": "4",
        **more,
    }


def a_head_on(shoot, head, by) -> None:
    services.add_extra_unit(shoot, head.tag, by)


def text(answer) -> str:
    return answer.content.decode()


def test_the_form_plans_a_series_and_goes_to_its_page(signed_in) -> None:
    client, recipe = signed_in(), a_recipe()
    made = client.post("/shoots/new", form_of(recipe_1=recipe.pk))
    series = Series.objects.get()
    assert made.headers["Location"] == f"/shoots/series/{series.pk}"
    page = text(client.get(made.headers["Location"]))
    assert "every week on Tuesday, 4 times" in page
    assert page.count("Tram portraits</a>") == 4
    assert all(shoot.recipes.get().revision == recipe.head for shoot in shoots_of(series))


def test_the_days_are_shown_before_anything_is_booked(signed_in) -> None:
    shown = signed_in().post("/shoots/new", form_of(act="show"))
    assert shown.status_code == 200
    assert "4 days, none clashes" in text(shown)
    assert text(shown).count("<li>\n") >= 4
    assert not Shoot.objects.exists()
    assert 'value="4"' in text(shown)


def test_without_a_repeat_it_is_one_shoot(signed_in) -> None:
    signed_in().post("/shoots/new", form_of(**{"repeat-each": ""}))
    assert Shoot.objects.count() == 1
    assert not Series.objects.exists()


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"repeat-count": ""}, "Give the number of times"),
        ({"repeat-count": "0"}, "greater than or equal to 1"),
        ({"repeat-ends": "until", "repeat-until": "soon"}, "Enter a valid date"),
        ({"repeat-weekdays": ["MO"]}, "not among the days chosen"),
        ({"repeat-count": "1"}, "nothing repeats"),
    ],
)
def test_a_rule_that_cannot_be_is_said_and_what_was_typed_stays(signed_in, changed, said) -> None:
    refused = signed_in().post("/shoots/new", form_of(**changed))
    assert refused.status_code == 422
    assert said in text(refused)
    assert 'value="Tram portraits"' in text(refused)
    assert not Shoot.objects.exists()


def test_a_shoot_is_repeated_with_its_units_after_its_clashes_were_shown(signed_in, head) -> None:
    client = signed_in()
    shoot = planned_on(TUESDAY, client.person)
    a_head_on(shoot, head, client.person)
    taken_on(THIRD, head, by=a_person(username="dora"))
    assert f"/shoots/{shoot.pk}/repeat" in text(client.get(f"/shoots/{shoot.pk}"))
    rule = {"repeat-each": "week", "repeat-ends": "count", "repeat-count": "4"}
    refused = client.post(f"/shoots/{shoot.pk}/repeat", {**rule, "act": "book"})
    assert refused.status_code == 409
    assert "1 of 4 clashes" in text(refused)
    assert "K-03" in text(refused)
    assert "dora" in text(refused)
    assert not Series.objects.exists()
    done = client.post(f"/shoots/{shoot.pk}/repeat", {**rule, "act": "leave-out"}, follow=True)
    assert "3 shoots are booked." in text(done)
    assert "1 that clash were left out" in text(done)
    assert "not booked" in text(done)


def test_the_series_says_what_was_changed_of_one_alone(signed_in, head) -> None:
    client = signed_in()
    series = a_weekly(by=client.person, count=3)
    second, third = shoots_of(series)[1:]
    services.edit_shoot(second, Changes(starts=wall(1, "15:00"), ends=wall(1, "16:00")), client.person)
    a_head_on(third, head, client.person)
    page = text(client.get(f"/shoots/series/{series.pk}"))
    assert '<td data-label="Its own">time</td>' in page
    assert '<td data-label="Its own">units</td>' in page
    assert page.count('<td data-label="Its own">–</td>') == 1


def test_a_day_that_was_left_out_is_tried_again_from_the_list(signed_in, head) -> None:
    client = signed_in()
    other = taken_on(THIRD, head)
    series = a_weekly(head, by=client.person, count=3, leave_out=True)
    again = f"/shoots/series/{series.pk}/days/{THIRD}/again"
    assert again in text(client.get(f"/shoots/series/{series.pk}"))
    refused = client.post(again)
    assert refused.status_code == 409
    assert "Gloves on slate" in text(refused)
    booking.cancel(other, client.person)
    client.post(again)
    assert len(shoots_of(series)) == 3


def test_an_edit_asks_whether_it_is_of_one_the_following_or_all(signed_in) -> None:
    client = signed_in()
    series = a_weekly(by=client.person, count=3)
    second = shoots_of(series)[1]
    page = text(client.get(f"/shoots/{second.pk}/edit"))
    assert "this and the following" in page
    body = {
        "title": "Evening",
        "room": second.room_id,
        "starts": wall(1),
        "ends": wall(1, "13:00"),
        "version": second.version,
        "which": "following",
    }
    assert client.post(f"/shoots/{second.pk}/edit", body).status_code == 302
    assert [s.title for s in shoots_of(series)] == ["Tram portraits", "Evening", "Evening"]


def test_a_single_shoot_is_not_asked_which(signed_in) -> None:
    client = signed_in()
    shoot = planned_on(TUESDAY, client.person)
    assert "this and the following" not in text(client.get(f"/shoots/{shoot.pk}/edit"))


def test_from_one_shoot_the_following_are_given_its_units_or_cancelled(signed_in, head) -> None:
    client = signed_in()
    series = a_weekly(by=client.person, count=3)
    second = shoots_of(series)[1]
    assert "Number 2, every week" in text(client.get(f"/shoots/{second.pk}"))
    a_head_on(second, head, client.person)
    client.post(f"/shoots/{second.pk}/series/take-over", {"which": "following"})
    assert [s.booking.allocations.count() for s in shoots_of(series)] == [0, 1, 1]
    client.post(f"/shoots/{second.pk}/series/cancel", {"which": "following"})
    assert [s.booking.state for s in shoots_of(series)] == ["confirmed", "cancelled", "cancelled"]


def test_what_cannot_be_done_to_all_is_listed_with_a_button_to_leave_those(signed_in, head) -> None:
    client = signed_in()
    series = a_weekly(by=client.person, count=3)
    taken_on(THIRD, head)
    first = shoots_of(series)[0]
    a_head_on(first, head, client.person)
    refused = client.post(f"/shoots/{first.pk}/series/take-over", {"which": "all"})
    assert refused.status_code == 409
    assert "1 of 3 cannot be changed" in text(refused)
    client.post(f"/shoots/{first.pk}/series/take-over", {"which": "all", "leave_out": "1"})
    assert [s.booking.allocations.count() for s in shoots_of(series)] == [1, 1, 0]


def test_a_series_goes_on_longer_from_its_page(signed_in) -> None:
    client = signed_in()
    series = a_weekly(by=client.person, count=2)
    first = shoots_of(series)[0]
    client.post(f"/shoots/{first.pk}/series/end", {"ends": "count", "count": "4"})
    assert len(shoots_of(series)) == 4


def test_the_assistant_reads_a_series_and_changes_nothing(signed_in) -> None:
    series, client = a_weekly(count=2), signed_in("assistant")
    page = text(client.get(f"/shoots/series/{series.pk}"))
    assert "Cancel all to come" not in page
    first = shoots_of(series)[0]
    for address in (f"/shoots/{first.pk}/repeat", f"/shoots/{first.pk}/series/cancel"):
        assert client.post(address, {"which": "all"}).status_code == 403
    assert {s.booking.state for s in shoots_of(series)} == {"confirmed"}


def test_a_long_series_takes_no_more_queries_than_a_short_one(signed_in, head) -> None:
    client = signed_in()
    short, long = (
        a_weekly(by=client.person, count=2),
        a_weekly(head, by=client.person, count=12),
    )
    counts = []
    for series in (short, long):
        with CaptureQueriesContext(
            connection,
        ) as queries:
            client.get(f"/shoots/series/{series.pk}")
        counts.append(len(queries))
    assert max(counts) <= 15


def test_over_the_api_a_shoot_is_rehearsed_and_repeated(signed_in, head) -> None:
    client = signed_in()
    shoot = planned_on(TUESDAY, client.person)
    a_head_on(shoot, head, client.person)
    taken_on(THIRD, head)
    rule = {"each": "week", "count": 4}
    send = {"content_type": "application/json"}
    seen = client.post(f"/api/shoots/{shoot.pk}/repeat", {**rule, "rehearse": True}, **send)
    assert (seen.status_code, seen.json()["series"]) == (200, None)
    assert [line["clash"] is None for line in seen.json()["lines"]] == [True, True, False, True]
    refused = client.post(f"/api/shoots/{shoot.pk}/repeat", rule, **send)
    assert (refused.status_code, refused.json()["code"]) == (409, "series-clashes")
    assert "K-03" in refused.json()["sentence"]
    made = client.post(f"/api/shoots/{shoot.pk}/repeat", {**rule, "leave_out": True}, **send)
    assert made.status_code == 201
    whole = client.get(f"/api/series/{made.json()['series']}").json()
    assert whole["rrule"] == "FREQ=WEEKLY;COUNT=4"
    assert [day["shoot"] is None for day in whole["days"]] == [False, False, True, False]
    assert client.get(f"/api/shoots/{shoot.pk}/").json()["series"] == whole["id"]


def test_over_the_api_the_following_are_changed_from_a_version(signed_in) -> None:
    client = signed_in()
    series = a_weekly(by=client.person, count=3)
    second = shoots_of(series)[1]
    address, send = f"/api/shoots/{second.pk}/series", {"content_type": "application/json"}
    body = {"which": "following", "title": "Evening"}
    assert client.patch(address, body, **send).status_code == 428
    stale = client.patch(address, body, headers={"If-Match": '"99"'}, **send)
    assert stale.status_code == 412
    done = client.patch(address, body, headers={"If-Match": f'"{second.version}"'}, **send)
    assert (done.status_code, done.json()["reached"]) == (200, 2)
    cancelled = client.post(f"{address}/cancel", {"which": "all"}, **send)
    assert cancelled.json()["reached"] == 3
    assert client.post(f"{address}/cancel", {"which": "some"}, **send).status_code == 422
