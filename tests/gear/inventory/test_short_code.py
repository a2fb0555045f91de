"""Short codes: no look-alikes, and no single slip of the pen reads as another unit."""

from itertools import pairwise

import pytest
from django.db import IntegrityError, connection, transaction
from django.db.migrations.executor import MigrationExecutor
from hypothesis import given
from hypothesis import strategies as st

from gear.errors import Conflict, Gone, Invalid
from gear.inventory.entry import UnitEntry
from gear.inventory.importing import import_units
from gear.inventory.models import Unit
from gear.inventory.queries import unit_by_mark, units
from gear.inventory.services import add_unit
from gear.inventory.short_code import (
    ALPHABET,
    CODES,
    LENGTH,
    check_value,
    code_of,
    is_code,
    random_code,
    sum_is_right,
    was_misread,
)
from tests.builders import a_gear_type, a_unit

ANY_CODE = st.integers(0, CODES - 1).map(code_of)
CAPITALS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"

PUBLISHED = ["0000000218250097", "000000021694233X"]
"""Two ORCID iDs from ORCID's own page on the structure of its identifier, whose last character is the ISO/IEC 7064
MOD 11-2 check (X is ten). Written down from memory of that page."""


@pytest.mark.parametrize("identifier", PUBLISHED)
def test_the_system_gives_the_check_of_published_identifiers(identifier):
    values = [10 if character == "X" else int(character) for character in identifier]
    assert check_value(values[:-1], 11) == values[-1]
    assert sum_is_right(values, 11)


@pytest.mark.parametrize("pair", ["0O", "1I", "1L", "IL", "2Z", "5S", "6G", "8B", "UV", "0Q", "OQ"])
def test_no_two_characters_look_alike(pair):
    assert not set(pair) <= set(ALPHABET)


@pytest.mark.parametrize("character", "0O1IL")
def test_the_worst_look_alikes_are_in_no_code(character):
    assert character not in ALPHABET


def test_the_alphabet_is_as_long_as_a_prime():
    assert len(set(ALPHABET)) == len(ALPHABET) == 23


@given(ANY_CODE)
def test_a_code_is_six_characters_that_check(code):
    assert len(code) == LENGTH
    assert is_code(code)


@given(ANY_CODE)
def test_every_single_wrong_character_is_caught(code):
    wrong = [code[:i] + c + code[i + 1 :] for i in range(LENGTH) for c in CAPITALS if c != code[i]]
    assert len(wrong) == 6 * 35
    assert [other for other in wrong if is_code(other)] == []
    assert [other for other in wrong if not was_misread(other)] == []


@given(ANY_CODE)
def test_every_swap_of_two_characters_is_caught_not_only_of_neighbours(code):
    swapped = []
    for i in range(LENGTH):
        for j in range(i + 1, LENGTH):
            if code[i] != code[j]:
                letters = list(code)
                letters[i], letters[j] = letters[j], letters[i]
                swapped.append("".join(letters))
    assert [other for other in swapped if is_code(other)] == []
    assert any(a != b for a, b in pairwise(code)) == bool(swapped)


def test_one_in_twenty_three_of_all_strings_checks():
    """The price of one check character: a wild guess is believed once in 23."""
    found = sum(is_code(f"22222{a}"[:4] + b + a) for a in ALPHABET for b in ALPHABET)
    assert found == 23


def test_two_numbers_never_share_a_code():
    assert len({code_of(number) for number in range(0, CODES, 997)}) == len(range(0, CODES, 997))
    assert code_of(0)[:5] == "22222"
    assert code_of(CODES - 1)[:5] == "YYYYY"


@pytest.mark.parametrize("number", [-1, CODES])
def test_there_is_no_code_beyond_the_last(number):
    with pytest.raises(ValueError, match="is not in"):
        code_of(number)


@pytest.mark.parametrize("text", ["LAMP01", "K-03", "ABCDE", "K7M2PXX", "", "K-03-A", "äöüßéx"])
def test_what_can_be_no_slip_in_a_code_is_not_taken_for_one(text):
    assert not was_misread(text)


@pytest.mark.django_db
def test_every_unit_has_a_code_of_its_own_however_it_was_made():
    kind = a_gear_type()
    a_unit(kind)
    Unit.objects.create(tag="K-01", gear_type=kind)
    Unit.objects.bulk_create([Unit(tag=f"B-{n:04d}", gear_type=kind) for n in range(500)])
    codes = list(Unit.objects.values_list("code", flat=True))
    assert len(set(codes)) == len(codes) == 502
    assert [code for code in codes if not is_code(code)] == []


@pytest.mark.django_db
def test_an_import_gives_codes_and_a_second_one_keeps_them():
    kind = a_gear_type()
    rows = f"tag,gear_type,shelf\nK-01,{kind.slug},A\nK-02,{kind.slug},A\n"
    import_units(rows)
    codes = dict(Unit.objects.values_list("tag", "code"))
    import_units(rows.replace(",A\n", ",B\n"))
    assert dict(Unit.objects.values_list("tag", "code")) == codes
    assert set(Unit.objects.values_list("shelf", flat=True)) == {"B"}


@pytest.mark.django_db
def test_a_code_drawn_twice_is_drawn_again(monkeypatch):
    taken = a_unit().code
    draws = iter([taken, taken, code_of(77)])
    monkeypatch.setattr("gear.inventory.models.random_code", lambda: next(draws))
    assert a_unit().code == code_of(77)


@pytest.mark.django_db
def test_the_database_refuses_a_second_unit_with_the_code_and_a_code_of_other_characters():
    first, second = a_unit(), a_unit()
    for code in (first.code, "K0M2PX", ""):
        with pytest.raises(IntegrityError), transaction.atomic():
            Unit.objects.filter(pk=second.pk).update(code=code)


@pytest.mark.django_db
@pytest.mark.parametrize(
    "form",
    [
        "{tag}",
        " {tag}\n",
        "{code}",
        "FULLSTOP:{code}",
        "FULLSTOP:{tag}",
        "https://studio.example/gear/{tag}/",
        "/gear/{tag}/",
        "http://10.0.0.7:8000/gear/{tag}/?way=in",
    ],
)
def test_tag_code_label_and_address_name_the_same_unit(form):
    a_unit()
    unit = a_unit(tag="K-03")
    text = form.format(tag=unit.tag, code=unit.code)
    assert unit_by_mark(text) == unit
    assert list(units(search=text)) == [unit]


@pytest.mark.django_db
def test_small_letters_and_a_gap_in_the_middle_are_read_too():
    unit = a_unit()
    assert unit_by_mark(f"{unit.code[:3].lower()} {unit.code[3:].lower()}") == unit
    assert unit_by_mark(f"fullstop:{unit.code.lower()}") == unit


@pytest.mark.django_db
@pytest.mark.parametrize("before", ["", "FULLSTOP:"])
def test_a_wrong_character_says_so(before):
    code = a_unit().code
    wrong = code[:2] + ("2" if code[2] != "2" else "3") + code[3:]
    with pytest.raises(Invalid, match=r"one character is wrong\. Read it again") as refused:
        unit_by_mark(before + wrong)
    assert refused.value.code == "misread"


@pytest.mark.django_db
@pytest.mark.parametrize(
    "text", ["ZZ-99", "https://elsewhere.example/x/K-03/", "FULLSTOP:ZZ-99", "x" * 9000, "/"]
)
def test_what_no_unit_is_marked_with_goes_to_the_found_tray(text):
    a_unit()
    with pytest.raises(Gone, match="found tray") as refused:
        unit_by_mark(text)
    assert len(refused.value.sentence) < 150


@pytest.mark.django_db
def test_a_right_code_of_no_unit_goes_to_the_found_tray():
    a_unit()
    with pytest.raises(Gone, match="found tray"):
        unit_by_mark(next(code for code in iter(random_code, "") if not Unit.objects.filter(code=code)))


@pytest.mark.django_db
@pytest.mark.parametrize("text", ["", "  ", "\x00", "FULLSTOP:"])
def test_nothing_is_asked_for_again(text):
    with pytest.raises(Invalid, match="Type or scan"):
        unit_by_mark(text)


@pytest.mark.django_db
def test_a_new_tag_is_never_the_code_of_another_unit():
    unit = a_unit()
    with pytest.raises(Conflict, match="is the short code of another unit"):
        add_unit(UnitEntry(tag=unit.code, gear_type=unit.gear_type.slug), None)
    with pytest.raises(Invalid):
        import_units(f"tag,gear_type\n{unit.code},{unit.gear_type.slug}\n")
    assert Unit.objects.count() == 1


@pytest.mark.django_db
def test_where_a_tag_and_a_code_meet_all_the_same_nobody_guesses():
    unit = a_unit()
    other = a_unit(tag=unit.code)
    with pytest.raises(Conflict, match=f"also the short code of {unit.tag}"):
        unit_by_mark(unit.code)
    assert unit_by_mark(other.code) == other


@pytest.mark.django_db
def test_the_page_of_a_unit_shows_its_code_and_the_search_says_what_was_misread(signed_in):
    unit = a_unit()
    client = signed_in("assistant")
    assert unit.code in client.get(f"/gear/{unit.tag}/").content.decode()
    wrong = unit.code[:-1] + ("2" if unit.code[-1] != "2" else "3")
    page = client.get("/gear/", {"q": wrong}).content.decode()
    assert "one character is wrong" in page
    assert "one character is wrong" not in client.get("/gear/", {"q": "zzz"}).content.decode()


@pytest.mark.django_db(transaction=True)
def test_units_from_before_the_codes_are_given_theirs():
    before, after = [("inventory", "0003_search_and_imports")], [("inventory", "0004_short_codes")]
    leaves = MigrationExecutor(connection).loader.graph.leaf_nodes()
    try:
        old = MigrationExecutor(connection).migrate(before).apps
        kind = old.get_model("catalogue", "GearType").objects.create(slug="old", name="Old", kind="strobe")
        old_unit = old.get_model("inventory", "Unit")
        old_unit.objects.bulk_create([old_unit(tag=f"K-{n:03d}", gear_type=kind) for n in range(300)])
        MigrationExecutor(connection).migrate(after)
        with connection.cursor() as cursor:
            cursor.execute("select code from inventory_unit")
            codes = [row[0] for row in cursor.fetchall()]
    finally:
        MigrationExecutor(connection).migrate(leaves)
    assert len(set(codes)) == 300
    assert [code for code in codes if not is_code(code)] == []
