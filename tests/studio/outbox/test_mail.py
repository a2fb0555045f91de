"""Mail leaves after the commit, and a repetition can be told as one."""

from __future__ import annotations

from typing import Any

import pytest
from django.core import mail
from django.utils import timezone

from studio.outbox.mail import TOPIC, body_of
from studio.outbox.models import Message
from studio.outbox.services import deliver, put

pytestmark = pytest.mark.django_db(transaction=True)

BODY = body_of("Gap in Lookbook", "K-01 hums.", ["runa@tram-depot.example", "ilo@tram-depot.example"])


def test_a_mail_leaves_with_its_subject_to_whom_it_concerns(mailoutbox: list[Any]) -> None:
    put(TOPIC, BODY)
    (letter,) = mailoutbox
    assert (letter.subject, letter.body) == ("Gap in Lookbook", "K-01 hums.")
    assert letter.to == ["ilo@tram-depot.example", "runa@tram-depot.example"]


def test_a_mail_that_cannot_leave_waits(mailoutbox: list[Any], monkeypatch: pytest.MonkeyPatch) -> None:
    with monkeypatch.context() as closed:
        closed.setattr(mail.EmailMessage, "send", lambda *_: (_ for _ in ()).throw(OSError("closed")))
        put(TOPIC, BODY)
    assert mailoutbox == []
    message = Message.objects.get()
    assert message.last_failure == "OSError: closed"
    assert deliver(message.pk)
    assert len(mailoutbox) == 1


def test_the_same_mail_sent_again_has_the_same_id_and_another_has_another(mailoutbox: list[Any]) -> None:
    first = put(TOPIC, BODY)
    Message.objects.update(done_at=None, due_at=timezone.now())
    deliver(first)
    put(TOPIC, BODY)
    ids = [letter.message()["Message-ID"] for letter in mailoutbox]
    assert ids[0] == ids[1] != ids[2]
