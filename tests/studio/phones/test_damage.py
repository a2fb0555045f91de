"""Damage on set, noted on a phone without a network: what follows from it, until somebody has inspected the unit."""

from __future__ import annotations

from typing import Any

import pytest
from django.urls import reverse

from gear.inventory.models import Condition, Unit
from gear.shortages.models import Shortage
from studio.readiness.models import Readiness
from tests.builders import a_person
from tests.studio.phones.phone import Phone, a_list, states
from tests.studio.readiness.plans import a_checked_shoot

pytestmark = pytest.mark.django_db


def test_quarantine_at_once_and_every_coming_shoot_is_checked_again_and_its_owner_told(
    signed_in: Any, mailoutbox: list[Any], django_capture_on_commit_callbacks: Any
) -> None:
    """Case 96."""
    photographer = a_person("photographer", email="ilo@tram-depot.example")
    coming = a_checked_shoot(by=a_person(), title="Lookbook", photographer=photographer)
    unit = Unit.objects.get(tag="K-01")
    phone = Phone(signed_in("assistant"))
    today = a_list()
    phone.note("damaged", today, "K-01", note="dome cracked", listed=False)
    mailoutbox.clear()
    with django_capture_on_commit_callbacks(execute=True):
        assert states(phone.send()) == ["done"]
    unit.refresh_from_db()
    assert (unit.condition, unit.condition_note.startswith("dome cracked")) == (Condition.QUARANTINE, True)
    assert Shortage.objects.filter(booking=coming.booking, unit=unit, closed_at=None).exists()
    readiness = Readiness.objects.get(shoot_recipe__shoot=coming)
    assert any("K-01" in finding["sentence"] for finding in readiness.findings if finding["status"] == "gap")
    assert [letter.subject for letter in mailoutbox if photographer.email in letter.to] == ["Gap in Lookbook"]


def test_it_does_not_leave_until_the_manager_has_recorded_an_inspection(signed_in: Any) -> None:
    """Case 96."""
    phone, manager = Phone(signed_in("assistant")), signed_in("manager")
    shoot = a_checked_shoot(by=a_person())
    unit = Unit.objects.get(tag="K-01")
    phone.note("damaged", shoot, "K-01", note="dome cracked")
    assert states(phone.send()) == ["done"]

    def leaves() -> bool:
        manager.post(reverse("packing:tick", args=[shoot.pk]), {"tag": "K-01", "act": "out"})
        return bool(shoot.packing_lines.filter(unit=unit, out_at__isnull=False).exists())

    def released(client: Any, text: str) -> int:
        unit.refresh_from_db()
        body = {"condition": "ready", "text": text, "version": unit.version}
        return int(client.post(reverse("inventory:condition", args=["K-01"]), body).status_code)

    assert not leaves()
    assert released(phone.client, "looks fine") == 403
    assert released(manager, "") == 422
    assert not leaves()
    assert released(manager, "dome replaced, tested at full output") == 302
    assert unit.care.filter(kind="inspection", by=manager.person).exists()
    assert leaves()
