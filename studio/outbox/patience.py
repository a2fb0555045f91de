"""How is work handed to a broker without keeping a request waiting when the broker is down or does not answer?

Handing over may fail: a relay finds what was left. So it gets a second, and after a failure nothing is handed over
for a while.
"""

from __future__ import annotations

import logging
from collections.abc import Callable
from threading import Thread
from time import monotonic

__all__ = ["PATIENCE_S", "QUIET_S", "HandOver"]

log = logging.getLogger(__name__)

PATIENCE_S = 1.0
"""For how long a request waits for a broker."""

QUIET_S = 15.0
"""For how long nothing is handed to a broker that failed or did not answer."""


class HandOver:
    """Hands work over; remembers, in this process, a broker that failed."""

    def __init__(self, patience_s: float = PATIENCE_S, quiet_s: float = QUIET_S) -> None:
        self.patience_s = patience_s
        self.quiet_s = quiet_s
        self._quiet_until = 0.0

    def send(self, send: Callable[[], object]) -> bool:
        """Whether it was handed over; never raises and never takes longer than its patience."""
        if monotonic() < self._quiet_until:
            return False
        trouble: list[str] = ["no answer"]

        def run() -> None:
            try:
                send()
            except Exception as error:
                trouble[0] = str(error) or type(error).__name__
            else:
                trouble.clear()

        thread = Thread(target=run, name="hand over to the broker", daemon=True)
        thread.start()
        thread.join(self.patience_s)
        if not trouble:
            return True
        self._quiet_until = monotonic() + self.quiet_s
        log.warning("the broker failed (%s): nothing is handed over for %.0f s", trouble[0], self.quiet_s)
        return False
