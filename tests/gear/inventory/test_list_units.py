"""The list of units: narrowed by kind, condition, case and words."""

import pytest
from django.urls import reverse

from gear.inventory.queries import units
from tests.builders import a_gear_type, a_unit


def tags(**asked):
    return [unit.tag for unit in units(**asked)]


@pytest.fixture
def store(db):
    strobe = a_gear_type(name="Kéy 500", maker="Halden Works")
    case = a_unit(a_gear_type("case"), tag="C-01")
    a_unit(strobe, tag="K-01", serial="H5-204", case=case)
    a_unit(strobe, tag="K-02", serial="H5-311", condition="repair")


def test_the_list_shows_what_and_where(signed_in, store):
    page = signed_in("assistant").get(reverse("inventory:units")).content.decode()
    assert all(word in page for word in ("K-01", "K-02", "C-01", "H5-204", "In repair"))


def test_filters_narrow(store):
    assert tags(kind="strobe") == ["K-01", "K-02"]
    assert tags(condition="repair") == ["K-02"]
    assert tags(case="C-01") == ["K-01"]
    assert tags(kind="stand") == []


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("k-02", ["K-02"]),
        ("204", ["K-01"]),
        ("key halden", ["K-01", "K-02"]),
        ("key 204", ["K-01"]),
        ("100%", []),
        ("_", []),
    ],
)
def test_search_looks_at_tag_serial_name_and_maker(words, found, store):
    assert tags(search=words) == found


def test_odd_filters_are_no_error(signed_in, store):
    client = signed_in()
    for odd in ["%", "\x00", "x" * 300, "-1", "'"]:
        answer = client.get(
            reverse("inventory:units"), dict.fromkeys(("q", "kind", "condition", "case", "type", "page"), odd)
        )
        assert answer.status_code == 200


def test_nothing_found_says_what_to_do(signed_in, store):
    assert "Show all units" in signed_in().get(reverse("inventory:units"), {"q": "zzz"}).content.decode()


def test_a_page_of_fifty_units_needs_few_queries(signed_in, django_assert_max_num_queries, db):
    case = a_unit(a_gear_type("case"))
    for _ in range(50):
        a_unit(case=case)
    client = signed_in()
    with django_assert_max_num_queries(15):
        client.get(reverse("inventory:units"), {"q": "strobe"})
