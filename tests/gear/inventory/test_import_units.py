"""An inventory comes in from a spreadsheet: first shown, then all of it or nothing; and goes out the same."""

from datetime import date

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from gear.errors import Invalid
from gear.inventory.columns import NAMES, empty_template, inventory_file
from gear.inventory.models import CareEntry, Unit
from gear.inventory.queries import whole_inventory
from gear.inventory.services import import_units, report_fault
from gear.inventory.short_code import random_code
from tests.builders import a_gear_type, a_unit

FULL = (
    "tag;gear_type;serial;condition;shelf;case;prep_minutes;health;radio_channel;inspection_due;notes\r\n"
    "C-01;box;;ready;;;;;;;\r\n"
    'K-01;key;H-1;;A2;C-01;15;;7;2027-03-31;"two\nlines"\r\n'
    "B-01;cell;;repair;;C-01;;0,9;;;=hot\r\n"
).replace("0,9", "0.9")


@pytest.fixture
def catalogue(db):
    a_gear_type("case", slug="box")
    a_gear_type(slug="key")
    a_gear_type("battery", {"fit": "rail-48", "capacity_wh": 90}, slug="cell")


def test_a_file_enters_its_units_with_all_they_say(catalogue):
    report = import_units(FULL, None)
    assert (report.counts["new"], report.applied) == (3, True)
    unit = Unit.objects.get(tag="K-01")
    assert (unit.gear_type.slug, unit.case.tag, unit.shelf, unit.prep_minutes) == ("key", "C-01", "A2", 15)
    assert (unit.inspection_due, unit.notes, unit.radio_channel) == (date(2027, 3, 31), "two\nlines", 7)
    assert (Unit.objects.get(tag="B-01").condition, Unit.objects.get(tag="B-01").health) == ("repair", 0.9)


def test_the_same_file_again_changes_nothing(catalogue):
    import_units(FULL, None)
    again = import_units(FULL, None)
    assert again.counts == {"new": 0, "changed": 0, "unchanged": 3, "refused": 0}
    assert set(Unit.objects.values_list("version", flat=True)) == {1}


def test_a_dry_run_shows_old_and_new_and_changes_nothing(catalogue):
    import_units(FULL, None)
    report = import_units("tag,shelf\nK-01,B7\nC-01,\n", None, dry_run=True)
    changes = [[(c.field, c.old, c.new) for c in row.changes] for row in report.rows]
    assert changes == [[("shelf", "A2", "B7")], []]
    assert Unit.objects.get(tag="K-01").shelf == "A2"


def test_a_column_that_is_missing_stays_and_an_empty_cell_empties(catalogue):
    import_units(FULL, None)
    import_units("tag,shelf\nK-01,\n", None)
    unit = Unit.objects.get(tag="K-01")
    assert (unit.shelf, unit.serial, unit.version) == ("", "H-1", 2)


def test_one_bad_row_keeps_the_whole_file_out(catalogue):
    with pytest.raises(Invalid, match="1 of 4 rows") as refused:
        import_units(FULL + "K-02;key;;;;;soon;;;;\r\n", None)
    assert [(p.where, p.expected) for p in refused.value.problems] == [
        ("row 5, prep_minutes", "expects a whole number, not “soon”")
    ]
    assert not Unit.objects.exists()


@pytest.mark.parametrize(
    ("line", "column", "said"),
    [
        ("k 1,key,,,,,,", "tag", "expects 2 to 20"),
        (",key,,,,,,", "tag", "is needed"),
        ("K-01,,,,,,,", "gear_type", "is needed"),
        ("K-01,lamp,,,,,,", "gear_type", "is not in the catalogue"),
        ("K-01,key,broken,,,,,", "condition", "'ready', 'quarantine', 'repair', 'lost' or 'written-off'"),
        ("K-01,key,,C-09,,,,", "case", "is no case in the store"),
        ("K-01,key,,K-01,,,,", "case", "is not a case"),
        ("K-01,key,,,31/12/2027,,,", "inspection_due", "YYYY-MM-DD"),
        ("K-01,key,,,,7,,", "health", "at most 1.2"),
        ("K-01,key,,,,nan,,", "health", "number"),
        ("K-01,key,,,,,-5,", "prep_minutes", "at least 0"),
        ("K-01,key,,,,," + "9" * 30 + ",", "prep_minutes", "at most 43200"),
        ("K-01,key,,,,,," + "s" * 81, "shelf", "at most 80 characters; this has 81"),
        ("K-01,key", "cells", "has 2 cells"),
    ],
)
def test_each_problem_names_row_and_column_in_words(line, column, said, catalogue):
    header = "tag,gear_type,condition,case,inspection_due,health,prep_minutes,shelf\n"
    report = import_units(header + line + "\n", None, dry_run=True)
    assert [(row.row, row.outcome) for row in report.rows] == [(2, "refused")]
    problem = report.rows[0].problems[0]
    assert problem.where == column
    assert said in problem.expected


def test_a_tag_twice_in_the_file_is_refused(catalogue):
    report = import_units("tag,gear_type\nK-01,key\nk-01,key\n", None, dry_run=True)
    assert "K-01 stands in row 2 already" in report.rows[1].problems[0].expected


def test_cases_that_would_travel_in_each_other_are_refused(catalogue):
    import_units("tag,gear_type\nC-01,box\nC-02,box\n", None)
    report = import_units("tag,case\nC-01,C-02\nC-02,C-01\n", None, dry_run=True)
    assert report.refused
    assert "loop: C-01 in C-02 in C-01" in report.rows[0].problems[0].expected


def test_a_file_cannot_release_what_was_taken_out_of_use(catalogue):
    import_units(FULL, None)
    before = "".join(whole_inventory())
    report_fault("K-01", "Cable torn", None)
    with pytest.raises(Invalid, match="a file cannot release it"):
        import_units(before, None)
    assert Unit.objects.get(tag="K-01").condition == "quarantine"


def test_a_changed_condition_and_health_go_into_the_history(catalogue):
    import_units(FULL, None)
    import_units("tag,condition,health\nB-01,lost,0.8\n", None)
    kinds = CareEntry.objects.filter(unit__tag="B-01").values_list("kind", "condition_after", "health")
    assert set(kinds) == {("condition", "lost", None), ("measurement", "", 0.8)}


def test_a_file_without_a_tag_column_is_refused(catalogue):
    with pytest.raises(Invalid, match="no column “tag”"):
        import_units("serial\nx\n", None, dry_run=True)


def test_the_empty_template_has_every_column_and_no_rows():
    assert empty_template() == "\ufeff" + ",".join(NAMES) + "\r\n"


def test_an_exported_inventory_comes_back_byte_by_byte(catalogue):
    import_units(FULL, None)
    a_unit(Unit.objects.get(tag="K-01").gear_type, tag="K-09", notes="'=x\r\n", serial="-3", shelf=' ä;"')
    out = "".join(whole_inventory())
    assert "'-3" in out
    assert import_units(out, None, dry_run=True).changes_nothing
    Unit.objects.all().delete()
    import_units(out, None)
    assert "".join(whole_inventory()) == out


LINE = st.text(st.characters(exclude_characters="\x00", exclude_categories=["Cs"]), max_size=20)
TRICKY = LINE | st.text("'=+-@\t\r\n ,;\"", max_size=8)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    serial=TRICKY,
    shelf=TRICKY,
    note=TRICKY,
    notes=TRICKY,
    health=st.none() | st.floats(0.05, 1.2),
    condition=st.sampled_from(["ready", "lost", "repair"]),
    due=st.none() | st.dates(),
    minutes=st.none() | st.integers(0, 43200),
)
def test_any_unit_that_goes_out_comes_back_the_same(
    catalogue, serial, shelf, note, notes, health, condition, due, minutes
):
    unit = Unit.objects.filter(tag="X-01").first() or a_unit(a_gear_type(), tag="X-01")
    for name, value in {
        "serial": serial, "shelf": shelf, "condition_note": note, "notes": notes, "health": health,
        "condition": condition, "inspection_due": due, "prep_minutes": minutes,
    }.items():  # fmt: skip
        setattr(unit, name, value)
    unit.save()
    out = "".join(inventory_file([unit]))
    assert import_units(out, None, dry_run=True).changes_nothing
    Unit.objects.filter(tag="X-01").delete()
    import_units(out, None)
    assert "".join(inventory_file(Unit.objects.filter(tag="X-01"))) == out


def test_twenty_thousand_rows_are_read_and_entered_in_seconds(catalogue, django_assert_max_num_queries):
    text = "tag,gear_type,shelf\n" + "".join(f"K-{n},key,A\n" for n in range(20_000))
    with django_assert_max_num_queries(40):
        assert import_units(text, None).counts["new"] == 20_000


def test_the_file_carries_short_codes_so_that_labels_name_their_units_in_an_empty_store_too(catalogue):
    import_units(FULL, None)
    codes = dict(Unit.objects.values_list("tag", "code"))
    out = "".join(whole_inventory())
    Unit.objects.all().delete()
    import_units(out, None)
    assert dict(Unit.objects.values_list("tag", "code")) == codes


def test_an_empty_cell_keeps_the_code_and_gives_one_to_a_new_unit(catalogue):
    import_units(FULL, None)
    code = Unit.objects.get(tag="K-01").code
    import_units("tag,code,gear_type\nK-01,,key\nK-02,,key\n", None)
    assert Unit.objects.get(tag="K-01").code == code
    assert Unit.objects.get(tag="K-02").code


@pytest.mark.parametrize("cell", ["that of another", "a new one", "a misread one"])
def test_a_label_is_never_given_another_meaning(cell, catalogue):
    import_units(FULL, None)
    mine, other = Unit.objects.get(tag="K-01"), Unit.objects.get(tag="C-01")
    code = {"that of another": other.code, "a new one": random_code(), "a misread one": mine.code[:5] + "0"}[
        cell
    ]
    with pytest.raises(Invalid):
        import_units(f"tag,code\nK-01,{code}\n", None)
    if cell == "that of another":
        with pytest.raises(Invalid, match="code"):
            import_units(f"tag,code,gear_type\nK-09,{code},key\n", None)
    assert Unit.objects.get(tag="K-01").code == mine.code


def test_one_code_for_two_new_units_is_refused(catalogue):
    code = random_code()
    with pytest.raises(Invalid):
        import_units(f"tag,code,gear_type\nK-08,{code},key\nK-09,{code},key\n", None)
    assert not Unit.objects.exists()
