"""The manager uploads a file, sees what it would do, and confirms exactly that."""

import json
from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone

from gear.catalogue.models import GearType
from gear.inventory.models import ImportDraft, Unit
from tests.builders import a_gear_type

TWO = b"tag,gear_type,shelf\nK-01,key,A1\nK-02,key,A2\n"


@pytest.fixture
def manager(signed_in):
    a_gear_type(slug="key")
    return signed_in()


def upload(client, content=TWO, what="units", name="store.csv"):
    return client.post(reverse("inventory:import"), {"what": what, "file": SimpleUploadedFile(name, content)})


def digest_on(page):
    return page.content.decode().split('name="digest" value="')[1].split('"')[0]


def test_upload_look_confirm(manager):
    shown = upload(manager)
    assert shown.status_code == 302
    page = manager.get(shown.url)
    assert "2 new, 0 changed" in page.content.decode()
    assert not Unit.objects.exists()
    done = manager.post(shown.url, {"digest": digest_on(page)})
    assert done.url == reverse("inventory:units")
    assert Unit.objects.count() == 2
    assert not ImportDraft.objects.exists()


def test_confirming_twice_does_it_once(manager):
    shown = upload(manager).url
    digest = digest_on(manager.get(shown))
    manager.post(shown, {"digest": digest})
    again = manager.post(shown, {"digest": digest})
    assert again.status_code == 404
    assert "Upload the file again" in again.content.decode()
    assert Unit.objects.count() == 2


def test_what_was_not_shown_is_not_done(manager):
    shown = upload(manager).url
    digest = digest_on(manager.get(shown))
    Unit.objects.create(tag="K-01", gear_type=GearType.objects.get(), shelf="Z9")
    answer = manager.post(shown, {"digest": digest})
    assert answer.status_code == 409
    assert "the store changed since the dry run" in answer.content.decode()
    assert Unit.objects.get().shelf == "Z9"
    assert manager.post(shown, {"digest": digest_on(answer)}).status_code == 302
    assert Unit.objects.count() == 2


def test_a_file_with_a_bad_row_shows_it_and_offers_no_button(manager):
    page = manager.get(upload(manager, TWO + b"K-03,lamp,A3\n").url).content.decode()
    assert "1 of 3 rows need mending" in page
    assert "gear_type" in page
    assert "“lamp” is not in the catalogue" in page
    assert 'name="digest"' not in page


def test_a_confirmation_of_a_bad_file_does_nothing(manager):
    shown = upload(manager, TWO + b"K-03,lamp,A3\n").url
    assert manager.post(shown, {"digest": "x"}).status_code == 422
    assert not Unit.objects.exists()


@pytest.mark.parametrize(
    "content", [b"", b"PK\x03\x04", b"\x00", b"tag\n", b"\xff\xfe", b"nothing,here\n1,2\n"]
)
def test_what_cannot_be_read_is_refused_beside_the_form(content, manager):
    answer = upload(manager, content)
    assert answer.status_code == 422
    assert 'class="problems"' in answer.content.decode()
    assert not ImportDraft.objects.exists()


def test_no_file_is_said(manager):
    answer = manager.post(reverse("inventory:import"), {"what": "units"})
    assert answer.status_code == 422
    assert "Choose a file first." in answer.content.decode()


def test_an_upload_can_be_discarded(manager):
    shown = upload(manager).url
    manager.post(shown, {"discard": "1"})
    assert not ImportDraft.objects.exists()
    assert not Unit.objects.exists()


def test_an_old_upload_is_gone(manager):
    shown = upload(manager).url
    ImportDraft.objects.update(expires_at=timezone.now() - timedelta(seconds=1))
    assert manager.get(shown).status_code == 404
    upload(manager)
    assert ImportDraft.objects.count() == 1, "a new upload clears old ones away"


def test_the_upload_of_somebody_else_is_not_shown(manager, signed_in):
    shown = upload(manager).url
    assert signed_in().get(shown).status_code == 404


def test_gear_types_come_in_the_same_way(manager):
    gel = {"slug": "gel", "name": "Gel", "kind": "gel", "spec": {"mired_shift": -26, "transmittance": 0.7}}
    document = json.dumps({"gear_types": [gel]}).encode()
    shown = upload(manager, document, "gear-types", "types.json").url
    manager.post(shown, {"digest": digest_on(manager.get(shown))})
    assert GearType.objects.get(slug="gel").spec["transmittance"] == 0.7


@pytest.mark.parametrize("role", ["photographer", "assistant"])
def test_only_the_manager_imports(role, signed_in):
    client = signed_in(role)
    assert client.get(reverse("inventory:import")).status_code == 403
    assert upload(client).status_code == 403


def test_the_page_documents_every_column_and_offers_a_template(manager):
    page = manager.get(reverse("inventory:import")).content.decode()
    assert "turnaround_minutes" in page
    template = manager.get(reverse("inventory:import-template"))
    assert template.content.decode("utf-8-sig").startswith("tag,code,gear_type,serial")


def test_everyone_may_export(signed_in):
    answer = signed_in("assistant").get(reverse("inventory:export"))
    assert b"".join(answer.streaming_content).decode("utf-8-sig").startswith("tag,")


def test_a_long_dry_run_shows_a_page_of_rows_in_few_queries(manager, django_assert_max_num_queries):
    many = b"tag,gear_type\n" + b"".join(b"K-%d,key\n" % n for n in range(300))
    shown = upload(manager, many).url
    with django_assert_max_num_queries(15):
        page = manager.get(shown).content.decode()
    assert page.count("is entered") == 100
