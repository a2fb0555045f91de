"""The store over the API: the same acts, the same words."""

import pytest

from gear.inventory.services import import_units
from tests.builders import a_gear_type, a_unit


def send(client, method, address, body, version=None):
    headers = {} if version is None else {"If-Match": f'"{version}"'}
    return getattr(client, method)(address, body, content_type="application/json", headers=headers)


def test_units_are_listed_filtered_and_read(signed_in):
    a_unit(tag="K-01", serial="H5")
    a_unit(tag="K-02", condition="repair")
    client = signed_in("assistant")
    assert client.get("/api/units/").json()["count"] == 2
    assert [u["tag"] for u in client.get("/api/units/?condition=repair").json()["results"]] == ["K-02"]
    assert [u["tag"] for u in client.get("/api/units/?search=h5&kind=strobe").json()["results"]] == ["K-01"]
    unit = client.get("/api/units/K-01").json()
    assert (unit["kind"], unit["condition"], unit["case"], unit["version"]) == ("strobe", "ready", None, 1)


def test_a_unit_is_entered_and_changed(signed_in):
    gear_type = a_gear_type()
    client = signed_in()
    made = send(client, "post", "/api/units/", {"tag": "K-01", "gear_type": gear_type.slug})
    assert (made.status_code, made.json()["gear_type"]) == (201, gear_type.slug)
    changed = send(client, "patch", "/api/units/K-01", {"shelf": "B1"}, version=1)
    assert (changed.json()["shelf"], changed.json()["version"]) == ("B1", 2)
    stale = send(client, "patch", "/api/units/K-01", {"shelf": "B2"}, version=1)
    assert (stale.status_code, stale.json()["code"]) == (412, "stale")


@pytest.mark.parametrize(
    ("body", "status", "where"),
    [
        ({"tag": "K-02", "gear_type": "lamp"}, 422, "gear_type"),
        ({"tag": "k 2"}, 422, "tag"),
        ({"tag": "K-02", "gear_type": "lamp", "condition": "lost"}, 422, "condition"),
        ({"tag": 7, "gear_type": []}, 422, "tag"),
        ([], 422, None),
    ],
)
def test_a_bad_unit_is_refused_with_its_fields(body, status, where, signed_in):
    answer = send(signed_in(), "post", "/api/units/", body)
    assert answer.status_code == status
    assert answer.json()["sentence"]
    assert where is None or where in [p["where"] for p in answer.json()["problems"]]


def test_a_patch_without_a_version_is_refused(signed_in):
    a_unit(tag="K-01")
    answer = send(signed_in(), "patch", "/api/units/K-01", {"shelf": "B1"})
    assert (answer.status_code, answer.json()["code"]) == (428, "say-which-version")


def test_a_fault_and_its_release(signed_in):
    unit = a_unit(tag="K-01")
    fault = send(signed_in("assistant"), "post", "/api/units/K-01/faults", {"text": "Does not fire"})
    assert (fault.status_code, fault.json()["condition_after"]) == (201, "quarantine")
    body = {"condition": "ready", "text": "New cable, tested", "version": 2}
    assert send(signed_in("assistant"), "post", "/api/units/K-01/condition", body).status_code == 403
    assert send(signed_in(), "post", "/api/units/K-01/condition", body).status_code == 201
    unit.refresh_from_db()
    assert unit.condition == "ready"


def test_care_is_written_and_read(signed_in):
    a_unit(tag="K-01")
    client = signed_in("assistant")
    send(client, "post", "/api/units/K-01/care", {"kind": "note", "text": "Lent to Tilde"})
    assert [e["text"] for e in client.get("/api/units/K-01/care").json()] == ["Lent to Tilde"]
    bad = send(client, "post", "/api/units/K-01/care", {"kind": "fault", "text": "x"})
    assert bad.json()["problems"][0]["where"] == "kind"


@pytest.mark.parametrize("role", ["photographer", "assistant"])
def test_only_the_manager_enters_and_changes(role, signed_in):
    a_unit(tag="K-01")
    client = signed_in(role)
    assert send(client, "post", "/api/units/", {}).status_code == 403
    assert send(client, "patch", "/api/units/K-01", {}).status_code == 403


def test_a_stranger_gets_nothing(client, db):
    assert client.get("/api/units/").status_code in (401, 403)
    assert client.get("/api/units/export.csv").status_code in (401, 403)


def test_a_unit_that_is_not_there(signed_in, db):
    client = signed_in()
    for odd in ("K-99", "%00", "x" * 300):
        assert client.get(f"/api/units/{odd}").status_code == 404
    assert client.get("/api/units/?condition=broken").json()["problems"][0]["where"] == "condition"


def test_the_export_is_the_file_that_the_import_takes(signed_in):
    a_unit(tag="K-01", notes="=1+1")
    answer = signed_in("assistant").get("/api/units/export.csv")
    text = b"".join(answer.streaming_content).decode()
    assert "'=1+1" in text
    assert import_units(text, None, dry_run=True).changes_nothing


def test_fifty_units_need_few_queries(signed_in, django_assert_max_num_queries):
    for _ in range(50):
        a_unit()
    client = signed_in()
    with django_assert_max_num_queries(8):
        client.get("/api/units/")
