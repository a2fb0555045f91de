"""Shoots from a table: looked at first, then planned all together or not at all."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from django.urls import reverse

from gear.errors import Invalid
from studio.shoots.importing import import_shoots
from studio.shoots.models import Shoot
from tests.builders import a_person, a_room, a_unit
from tests.gear.booking.times import a_type

pytestmark = pytest.mark.django_db

_NEXT_YEAR = datetime.now(UTC).year + 1


@pytest.fixture
def room():
    return a_room(name="Hall")


def table(*lines: str, header: str = "title;room;starts;ends;units") -> str:
    return "\n".join([header, *lines])


def a_line(
    title: str = "Gloves", starts: str = "03-01", ends: str = "03-31", units: str = "", room: str = "Hall"
) -> str:
    return f"{title};{room};{_NEXT_YEAR}-{starts};{_NEXT_YEAR}-{ends};{units}"


def test_until_31_march_is_stored_as_1_april_midnight(room) -> None:
    """Case 7."""
    (row,) = import_shoots(table(a_line()), a_person())
    assert row.outcome == "new"
    assert row.shoot.booking.ends_wall == f"{_NEXT_YEAR}-04-01T00:00"
    there = row.shoot.booking.ends_at + timedelta(hours=2)
    assert (there.month, there.day, there.hour) == (4, 1, 0)


def test_a_time_that_does_not_exist_is_planned_an_hour_later_with_a_warning(room, signed_in) -> None:
    """Case 14, on the page; in 2027 the clocks of Paris go forward on 28 March."""
    client = signed_in("manager")
    text = table("Gloves;Hall;2027-03-28 02:30;2027-03-28 12:00;")
    page = client.post(reverse("shoots:import"), {"text": text, "act": "look"}).content.decode()
    assert "does not exist in Europe/Paris" in page
    assert not Shoot.objects.exists()
    assert client.post(reverse("shoots:import"), {"text": text, "act": "plan"}).status_code == 302
    assert Shoot.objects.get().booking.starts_wall == "2027-03-28T03:30"


def test_the_same_table_again_plans_nothing_twice(room) -> None:
    by = a_person()
    import_shoots(table(a_line()), by)
    (row,) = import_shoots(table(a_line()), by)
    assert (row.outcome, Shoot.objects.count()) == ("there", 1)


def test_a_look_keeps_nothing_and_says_the_same(room) -> None:
    by = a_person()
    looked = import_shoots(table(a_line()), by, dry_run=True)
    assert not Shoot.objects.exists()
    assert looked == import_shoots(table(a_line()), by)


def test_one_row_that_is_refused_keeps_all_out_and_each_is_named(room) -> None:
    a_unit(a_type(), tag="K-03")
    text = table(
        a_line("First", units="K-03"),
        a_line("Second", starts="03-15", units="K-03"),
        a_line("Third", room="Attic"),
        a_line("Fourth", starts="02-31"),
    )
    with pytest.raises(Invalid) as refused:
        import_shoots(text, a_person())
    assert not Shoot.objects.exists()
    said = {problem.where: problem.expected for problem in refused.value.problems}
    assert set(said) == {"rows.3", "rows.4", "rows.5"}
    assert "“First”" in said["rows.3"]
    assert "no room 'Attic'" in said["rows.4"]
    outcomes = [row.outcome for row in import_shoots(text, a_person(), dry_run=True)]
    assert outcomes == ["new", "refused", "refused", "refused"]


def test_a_room_whose_name_two_have_is_asked_for_with_its_place(room) -> None:
    other = a_room(name="Hall")
    (row,) = import_shoots(table(a_line()), a_person(), dry_run=True)
    assert "two rooms" in row.problem
    (row,) = import_shoots(table(a_line(room=f"{other.place.name}: Hall")), a_person())
    assert row.shoot.room == other


def test_a_table_without_its_columns_is_refused(room, signed_in) -> None:
    with pytest.raises(Invalid, match="no column room, starts, ends"):
        import_shoots("title\nGloves", a_person())
    page = signed_in("manager").post(reverse("shoots:import"), {"text": "title\nGloves", "act": "look"})
    assert page.status_code == 422
    assert "Gloves</textarea>" in page.content.decode()


def test_a_photographer_imports_their_own_and_confirms_none(room) -> None:
    mine = a_person("photographer")
    (row,) = import_shoots(table(a_line()), mine)
    assert row.shoot.photographer == mine
    header = "title;room;starts;ends;state;photographer"
    firm = table(f"A;Hall;{_NEXT_YEAR}-05-01;{_NEXT_YEAR}-05-02;confirmed;", header=header)
    (row,) = import_shoots(firm, mine, dry_run=True)
    assert "Only the studio manager confirms" in row.problem
    other = table(
        f"A;Hall;{_NEXT_YEAR}-05-01;{_NEXT_YEAR}-05-02;;{a_person('photographer').username}", header=header
    )
    (row,) = import_shoots(other, mine, dry_run=True)
    assert row.outcome == "refused"


def test_over_the_api_it_is_looked_at_and_planned(room, signed_in) -> None:
    client = signed_in("manager")
    looked = client.post(
        "/api/shoots/import", {"csv": table(a_line()), "dry_run": True}, "application/json"
    ).json()
    assert [(row["outcome"], row["shoot"]) for row in looked] == [("new", None)]
    done = client.post("/api/shoots/import", {"csv": table(a_line())}, "application/json").json()
    assert done[0]["shoot"] == Shoot.objects.get().pk
    bad = client.post("/api/shoots/import", {"csv": table(a_line(ends="02-01"))}, "application/json")
    assert (bad.status_code, bad.json()["problems"][0]["where"]) == (422, "rows.2")


def test_an_assistant_imports_none(signed_in) -> None:
    assert signed_in("assistant").get(reverse("shoots:import")).status_code == 403
