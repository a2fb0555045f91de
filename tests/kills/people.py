"""People at work while machines die under them: they send again, with the same key, until they are answered."""

from __future__ import annotations

import random
import threading
import time
import uuid
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any

import httpx

__all__ = ["Acknowledged", "Worker"]

_UNSETTLED = {"in-progress", "busy"}
_DAYS_AHEAD = 40


@dataclass
class Acknowledged:
    """What somebody was told is done."""

    shoots: dict[str, int] = field(default_factory=dict)
    """Title of a shoot to its id."""
    states: dict[int, str] = field(default_factory=dict)
    units: dict[int, set[str]] = field(default_factory=dict)
    bought: int = 0
    notes: list[str] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)
    answers: Counter[int] = field(default_factory=Counter)
    sent_again: int = 0


class Worker(threading.Thread):
    """Somebody who plans shoots, takes units, buys tape and reports faults, one after the other, until told to stop."""

    def __init__(self, name: str, session: str, ports: Sequence[int], seed: dict[str, Any]) -> None:
        super().__init__(name=name, daemon=True)
        self.told = Acknowledged()
        self.trouble: BaseException | None = None
        self._chance = random.Random(name)
        self._ports = list(ports)
        self._seed = seed
        self._stop_now = threading.Event()
        self._number = 0
        csrf = "r" * 32
        self._browser = httpx.Client(
            cookies={"sessionid": session, "csrftoken": csrf}, headers={"X-CSRFToken": csrf}, timeout=30
        )

    def finish(self) -> None:
        """Let the act that was begun come to its end."""
        self._stop_now.set()

    def run(self) -> None:
        try:
            while not self._stop_now.is_set():
                self._number += 1
                self._plan_a_shoot()
                self._send(
                    "post", f"stock/{self._seed['item']}/movements", {"kind": "purchase", "quantity": "1"}
                )
                self.told.bought += 1
                self._write_a_note()
                if self._number % 4 == 0:
                    self._report_a_fault_and_mend_it()
        except BaseException as trouble:
            self.trouble = trouble

    def _plan_a_shoot(self) -> None:
        starts = datetime.now(UTC).replace(minute=0) + timedelta(
            days=_DAYS_AHEAD + self._chance.randrange(60), hours=self._chance.randrange(24)
        )
        title = f"{self.name} {self._number}"
        asked = {
            "title": title,
            "room": self._seed["room"],
            "starts": f"{starts:%Y-%m-%dT%H:%M}+00:00",
            "ends": f"{starts + timedelta(hours=4):%Y-%m-%dT%H:%M}+00:00",
            "recipes": [self._seed["recipe"]],
        }
        shoot = self._send("post", "shoots/", asked).json()["id"]
        self.told.shoots[title] = shoot
        self.told.states[shoot] = "hold"
        self.told.units[shoot] = set()
        for _ in range(2):
            tag = f"K-{self._chance.randrange(1, 25):02d}"
            job = {"unit": tag, "recipe": 1, "light": "Key", "job": "head"}
            if self._send("post", f"shoots/{shoot}/units", job).status_code == 201:
                self.told.units[shoot] = {tag}
        for act, state in (("confirm", "confirmed"), ("cancel", "cancelled"), ("uncancel", "hold")):
            if (
                self._chance.random() < 0.6
                and self._send("post", f"shoots/{shoot}/{act}", {}).status_code == 200
            ):
                if act == "uncancel" and self.told.states[shoot] != "cancelled":
                    continue
                self.told.states[shoot] = state

    def _write_a_note(self) -> None:
        text = f"note {self.name} {self._number}"
        tag = f"K-{self._chance.randrange(1, 25):02d}"
        if self._send("post", f"units/{tag}/care", {"kind": "note", "text": text}).status_code == 201:
            self.told.notes.append(text)

    def _report_a_fault_and_mend_it(self) -> None:
        text = f"fault {self.name} {self._number}"
        tag = f"K-{self._chance.randrange(1, 25):02d}"
        if self._send("post", f"units/{tag}/faults", {"text": text}).status_code == 201:
            self.told.faults.append(text)
        for _ in range(3):
            version = self._read(f"units/{tag}")["version"]
            said = {"condition": "ready", "text": f"looked at by {self.name}", "version": version}
            if self._send("post", f"units/{tag}/condition", said).status_code in (201, 422):
                return

    def _send(self, method: str, path: str, body: dict[str, Any]) -> httpx.Response:
        """Ask for a change until it is answered, each time with the same key."""
        key = {"Idempotency-Key": uuid.uuid4().hex}
        first = True
        while True:
            answer = self._try(method, path, json=body, headers=key)
            if answer is not None and not self._is_unsettled(answer):
                self.told.answers[answer.status_code] += 1
                assert answer.status_code in (200, 201, 409, 412, 422), (path, body, answer.text[:500])
                return answer
            self.told.sent_again += 1 if first else 0
            first = False
            time.sleep(0.1)

    def _read(self, path: str) -> dict[str, Any]:
        while True:
            answer = self._try("get", path)
            if answer is not None and answer.status_code == 200:
                found: dict[str, Any] = answer.json()
                return found
            time.sleep(0.1)

    def _try(self, method: str, path: str, **more: Any) -> httpx.Response | None:
        port = self._chance.choice(self._ports)
        try:
            return self._browser.request(method, f"http://127.0.0.1:{port}/api/{path}", **more)
        except httpx.HTTPError:
            return None

    def _is_unsettled(self, answer: httpx.Response) -> bool:
        if answer.status_code >= 500:
            return True
        return answer.status_code == 409 and answer.json().get("code") in _UNSETTLED
