"""The catalogue over the API, and the schema it publishes."""

import pytest
from django.urls import include, path
from drf_spectacular.generators import SchemaGenerator
from drf_spectacular.validation import validate_schema

from gear.specs import KINDS
from tests.builders import STROBE, a_gear_type

BODY = {"slug": "key-500", "name": "Key 500", "maker": "Halden Works", "kind": "strobe", "spec": STROBE}


def send(client, method, address, body, version=None):
    headers = {} if version is None else {"If-Match": f'"{version}"'}
    return getattr(client, method)(address, body, content_type="application/json", headers=headers)


def test_types_are_listed_filtered_and_read(signed_in):
    a_gear_type(slug="key", name="Key 500")
    a_gear_type("gel", {"mired_shift": -26, "transmittance": 0.7})
    client = signed_in("assistant")
    assert client.get("/api/gear-types/").json()["count"] == 2
    assert [t["slug"] for t in client.get("/api/gear-types/?kind=strobe&search=500").json()["results"]] == [
        "key"
    ]
    assert client.get("/api/gear-types/key").json()["spec"]["energy_ws"] == 500
    assert client.get("/api/gear-types/?kind=lamp").json()["problems"][0]["where"] == "kind"


def test_a_type_is_entered_and_changed_with_its_version(signed_in):
    client = signed_in()
    made = send(client, "post", "/api/gear-types/", BODY)
    assert (made.status_code, made.json()["version"]) == (201, 1)
    changed = send(client, "put", "/api/gear-types/key-500", made.json() | {"notes": "Loud fan"}, version=1)
    assert (changed.status_code, changed.json()["version"]) == (200, 2)
    stale = send(client, "put", "/api/gear-types/key-500", BODY, version=1)
    assert (stale.status_code, stale.json()["code"]) == (412, "stale")
    assert send(client, "put", "/api/gear-types/key-500", BODY).status_code == 428


def test_a_problem_of_the_sheet_has_its_dotted_path(signed_in):
    spec = STROBE | {"output": [{"f_number_iso100": 45}, {"setting_stops": -6, "f_number_iso100": -1}]}
    answer = send(signed_in(), "post", "/api/gear-types/", BODY | {"spec": spec})
    assert answer.status_code == 422
    assert answer.json()["problems"] == [
        {"where": "spec.output.1.f_number_iso100", "expected": "expects a number above 0, not “-1”"}
    ]


@pytest.mark.parametrize("role", ["photographer", "assistant"])
def test_only_the_manager_changes_the_catalogue(role, signed_in):
    a_gear_type(slug="key")
    client = signed_in(role)
    assert send(client, "post", "/api/gear-types/", BODY).status_code == 403
    assert send(client, "put", "/api/gear-types/key", BODY).status_code == 403


def test_the_schema_of_each_kind_is_published_to_everyone(client, db):
    assert set(client.get("/api/gear-types/schema").json()) == set(KINDS)
    schema = client.get("/api/gear-types/schema/strobe").json()
    assert "energy_ws" in schema["required"]
    assert client.get("/api/gear-types/schema/lamp").status_code == 404


def test_the_api_schema_tells_the_sheets_apart_by_kind(db):
    routes = [path("api/", include(f"gear.{area}.api_urls")) for area in ("catalogue", "inventory")]
    schema = SchemaGenerator(patterns=routes).get_schema(request=None, public=True)
    validate_schema(schema)
    sheet = schema["components"]["schemas"]["SpecSheet"]
    assert set(sheet["discriminator"]["mapping"]) == set(KINDS)
    assert "energy_ws" in schema["components"]["schemas"]["StrobeSpec"]["properties"]
    assert "OutputPoint" in schema["components"]["schemas"]
