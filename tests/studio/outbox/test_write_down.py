"""What follows from a change is written down in the transaction of the change: both are there, or neither."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.db import transaction

from gear.changes import announce, announce_together
from gear.inventory.services import report_fault
from studio.outbox.models import Message
from studio.outbox.services import changes_in, put
from tests.builders import a_unit
from tests.studio.outbox.helpers import Heard

pytestmark = pytest.mark.django_db(transaction=True)


class Undone(Exception):
    pass


def undone(act: Callable[[], object]) -> None:
    """It happens in a transaction, or a savepoint, that is rolled back."""

    def run() -> None:
        with transaction.atomic():
            act()
            raise Undone

    with pytest.raises(Undone):
        run()


def test_a_change_is_written_down_with_it(heard: Heard) -> None:
    unit = a_unit(tag="K-01")
    with transaction.atomic():
        report_fault("K-01", "hums", None)
        (message,) = Message.objects.all()
        assert (message.topic, message.body) == ("changes", {"unit": [unit.pk]})


def test_a_change_that_is_rolled_back_was_never_written_down(heard: Heard) -> None:
    a_unit(tag="K-01")
    undone(lambda: report_fault("K-01", "hums", None))
    assert not Message.objects.exists()
    assert heard.bodies == []


def test_all_changes_of_one_transaction_are_one_message(heard: Heard) -> None:
    with transaction.atomic():
        announce("unit", [7, 3])
        announce("shoot", [1])
        announce("unit", [3, 5])
    assert heard.bodies == [{"unit": [3, 5, 7], "shoot": [1]}]
    assert Message.objects.count() == 1


def test_however_much_is_announced_it_is_done_once(heard: Heard) -> None:
    with transaction.atomic():
        announce_together({"unit": [7], "shoot": []})
        announce_together({"unit": [3], "stock": [1]})
    assert heard.bodies == [{"unit": [3, 7], "stock": [1]}]


def test_what_a_savepoint_took_back_is_not_in_the_message(heard: Heard) -> None:
    with transaction.atomic():
        announce("unit", [1])
        undone(lambda: announce("unit", [2]))
    assert heard.bodies == [{"unit": [1]}]


def test_a_message_whose_beginning_was_taken_back_is_written_anew(heard: Heard) -> None:
    with transaction.atomic():
        undone(lambda: announce("unit", [1]))
        announce("unit", [2])
    assert heard.bodies == [{"unit": [2]}]


def test_two_transactions_are_two_messages(heard: Heard) -> None:
    for _ in range(2):
        with transaction.atomic():
            announce("unit", [1])
    assert len(heard.bodies) == 2


def test_an_announcement_of_nothing_writes_nothing(heard: Heard) -> None:
    announce("unit", [])
    assert not Message.objects.exists()


def test_nothing_is_done_before_the_commit(heard: Heard) -> None:
    with transaction.atomic():
        put("note", "later")
        assert heard.bodies == []
    assert heard.bodies == ["later"]


def test_a_message_says_its_changes_as_changes() -> None:
    assert [(c.topic, c.ids) for c in changes_in({"unit": [3, 5], "room": [1]})] == [
        ("room", (1,)),
        ("unit", (3, 5)),
    ]
