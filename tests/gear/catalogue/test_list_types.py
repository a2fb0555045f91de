"""The list of gear types: by kind, and found by words."""

from django.urls import reverse

from gear.catalogue.queries import gear_types
from tests.builders import a_gear_type, a_unit

GEL = {"mired_shift": -26, "transmittance": 0.7}


def test_the_list_shows_types_with_how_many_units_there_are(signed_in):
    gear_type = a_gear_type(name="Tram 500")
    a_unit(gear_type)
    page = signed_in("photographer").get(reverse("catalogue:types"))
    assert page.status_code == 200
    assert "Tram 500" in page.content.decode()
    assert gear_types().get().unit_count == 1


def test_a_kind_narrows_the_list(db):
    a_gear_type()
    gel = a_gear_type("gel", GEL)
    assert list(gear_types("gel")) == [gel]


def test_search_overlooks_accents_and_capitals_and_wants_every_word(db):
    found = a_gear_type(name="Réflecteur 60", maker="Halden Works")
    a_gear_type(name="Reflector 60", maker="Quay")
    assert list(gear_types(search="REFLECTEUR halden")) == [found]


def test_an_odd_search_is_only_a_search(signed_in):
    a_gear_type()
    client = signed_in()
    for odd in ["%", "'; drop table", "\x00", "x" * 300, "\\"]:
        assert client.get(reverse("catalogue:types"), {"q": odd, "kind": odd, "page": odd}).status_code == 200


def test_the_empty_catalogue_says_what_to_do_next(signed_in):
    assert "Enter the first one" in signed_in().get(reverse("catalogue:types")).content.decode()
    assert (
        "The studio manager enters them"
        in signed_in("assistant").get(reverse("catalogue:types")).content.decode()
    )


def test_fifty_types_need_few_queries(signed_in, django_assert_max_num_queries):
    for _ in range(50):
        a_gear_type()
    client = signed_in()
    with django_assert_max_num_queries(15):
        client.get(reverse("catalogue:types"))
