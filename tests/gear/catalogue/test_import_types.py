"""Gear types come in from a JSON document: first shown, then all or nothing."""

import json

import pytest

from gear.catalogue.models import GearType
from gear.catalogue.queries import type_document
from gear.catalogue.services import import_gear_types
from gear.errors import Invalid
from tests.builders import STROBE, a_gear_type

ONE = {"slug": "key-500", "name": "Key 500", "maker": "Halden Works", "kind": "strobe", "spec": STROBE}
GEL = {
    "slug": "half-blue",
    "name": "Half blue",
    "kind": "gel",
    "spec": {"mired_shift": -68, "transmittance": 0.55},
}


def document(*entries):
    return json.dumps({"gear_types": entries})


def test_a_document_enters_its_types_and_again_changes_nothing(db):
    first = import_gear_types(document(ONE, GEL), None)
    assert (first.counts["new"], first.applied) == (2, True)
    again = import_gear_types(document(ONE, GEL), None)
    assert again.counts == {"new": 0, "changed": 0, "unchanged": 2, "refused": 0}
    assert GearType.objects.get(slug="key-500").version == 1


def test_a_dry_run_tells_old_and_new_and_changes_nothing(db):
    import_gear_types(document(ONE), None)
    louder = ONE | {"spec": STROBE | {"energy_ws": 600}}
    report = import_gear_types(document(louder, GEL), None, dry_run=True)
    assert [row.outcome for row in report.rows] == ["changed", "new"]
    change = report.rows[0].changes[0]
    assert (change.field, change.old, change.new) == ("spec.energy_ws", "500.0", "600.0")
    assert GearType.objects.get().spec["energy_ws"] == 500


@pytest.mark.parametrize(
    "text", [json.dumps([ONE, GEL]), f"{json.dumps(ONE)}\n\n{json.dumps(GEL)}\n"], ids=["list", "lines"]
)
def test_a_bare_list_and_json_lines_are_documents_too(text, db):
    assert import_gear_types(text, None).counts["new"] == 2


def test_one_bad_entry_keeps_all_out_and_names_field_and_row(db):
    bad = GEL | {"spec": {"mired_shift": -68, "transmittance": 7}}
    with pytest.raises(Invalid) as refused:
        import_gear_types(document(ONE, bad), None)
    assert [p.where for p in refused.value.problems] == ["row 2, spec.transmittance"]
    assert not GearType.objects.exists()


@pytest.mark.parametrize(
    ("entries", "said"),
    [
        ([ONE, ONE], "stands in entry 1 already"),
        ([ONE, ONE | {"name": "Other"}], "“key-500” stands in entry 1 already"),
        ([ONE, ONE | {"slug": "other"}], "“Halden Works Key 500” stands in entry 1 already"),
        ([ONE | {"kind": "flash"}], "expects one of strobe"),
        ([ONE | {"colour": "grey"}], "is not a field"),
        ([ONE | {"slug": "a b"}], "letters a to z"),
        ([{}], "is needed"),
    ],
)
def test_what_does_not_fit_is_said_in_the_dry_run(entries, said, db):
    report = import_gear_types(document(*entries), None, dry_run=True)
    assert any(said in problem.expected for row in report.rows for problem in row.problems)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "is empty"),
        ("{", "not readable JSON"),
        ("3", "no list of gear types"),
        ("[3]", "Entry 1 is not an object"),
        ('{"gear_types": [], "types": 1}', "types beside gear_types"),
    ],
)
def test_what_is_no_document_is_refused_in_a_sentence(text, said, db):
    with pytest.raises(Invalid, match=said):
        import_gear_types(text, None, dry_run=True)


def test_a_type_in_the_catalogue_keeps_its_kind(db):
    a_gear_type(slug="key-500")
    report = import_gear_types(document(GEL | {"slug": "key-500"}), None, dry_run=True)
    assert report.rows[0].problems[0].where == "kind"


def test_the_export_comes_back_as_it_went_out(db):
    import_gear_types(document(ONE, GEL), None)
    out = type_document()
    assert import_gear_types(out, None, dry_run=True).changes_nothing
    GearType.objects.all().delete()
    import_gear_types(out, None)
    assert type_document() == out
