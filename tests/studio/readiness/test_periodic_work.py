from __future__ import annotations

import pytest
from celery import current_app
from django.conf import settings
from django.core.management import call_command

pytestmark = pytest.mark.django_db


@pytest.fixture
def done(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The tasks that were done, by name; they do nothing here."""
    names: list[str] = []
    current_app.loader.import_default_modules()
    for entry in settings.CELERY_BEAT_SCHEDULE.values():
        task = current_app.tasks[entry["task"]]
        monkeypatch.setattr(task, "run", lambda name=entry["task"]: names.append(name))
    return names


def test_without_a_broker_all_that_the_scheduler_would_hand_out_is_done(done: list[str]) -> None:
    call_command("tick", once=True)
    assert sorted(done) == sorted(entry["task"] for entry in settings.CELERY_BEAT_SCHEDULE.values())


def test_work_that_fails_keeps_no_other_from_being_done(
    done: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    first = next(iter(settings.CELERY_BEAT_SCHEDULE.values()))["task"]

    def fail() -> None:
        raise RuntimeError("no")

    monkeypatch.setattr(current_app.tasks[first], "run", fail)
    call_command("tick", once=True)
    assert len(done) == len(settings.CELERY_BEAT_SCHEDULE) - 1
