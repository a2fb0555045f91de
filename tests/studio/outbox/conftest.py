"""What the tests of the outbox may ask for."""

from __future__ import annotations

import pytest

from studio.outbox import consumers
from tests.studio.outbox.helpers import Heard


@pytest.fixture
def heard(monkeypatch: pytest.MonkeyPatch) -> Heard:
    """The only consumer there is, of the topics ``note`` and ``changes``."""
    consumer = Heard()
    monkeypatch.setattr(consumers, "_consumers", {"note": consumer, "changes": consumer})
    return consumer
