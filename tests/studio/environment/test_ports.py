"""A port that cannot be had: by whom is it taken, and which one is free?"""

from __future__ import annotations

import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, HTTPServer

import pytest

from studio.environment import ports
from studio.environment.sentences import CannotStart


@pytest.fixture(autouse=True)
def impatient(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ports, "PATIENCE_S", 0.1)
    monkeypatch.setattr(ports, "ANSWER_WITHIN_S", 1.0)


@contextmanager
def service(answer: bytes, status: int = 200) -> Iterator[int]:
    """A web service on some port that gives one answer to everything."""

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            self.send_response(status)
            self.end_headers()
            self.wfile.write(answer)

        def log_message(self, *_: object) -> None:
            pass

    with HTTPServer(("127.0.0.1", 0), Handler) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield server.server_port
        server.shutdown()


@pytest.mark.parametrize("status", [200, 503])
def test_our_own_service_is_named_with_its_address(status: int) -> None:
    with service(b'{"service": "fullstop"}', status) as port, pytest.raises(CannotStart) as refused:
        ports.refuse_taken_port("127.0.0.1", port)
    assert str(refused.value).startswith("Fullstop already runs")
    assert f"http://127.0.0.1:{port}/" in str(refused.value)
    assert f"--port {port + 1}" in str(refused.value)


@pytest.mark.parametrize("answer", [b"<html>hello</html>", b'{"service": "other"}', b"[1]", b"\xff\xfe"])
def test_another_service_is_not_taken_for_ours(answer: bytes) -> None:
    with (
        service(answer) as port,
        pytest.raises(CannotStart, match=f"Port {port} on 127.0.0.1 is taken by another"),
    ):
        ports.refuse_taken_port("127.0.0.1", port)


def test_a_start_from_this_folder_is_known_before_it_answers(
    tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("FULLSTOP_DATA", str(tmp_path_factory.mktemp("data")))
    with ports.listen_on("127.0.0.1", 0) as bound:
        port = bound.getsockname()[1]
        ports.sign_for(port)
        with pytest.raises(CannotStart, match="Fullstop already runs, or is just starting"):
            ports.refuse_taken_port("127.0.0.1", port)


def test_nobody_else_gets_a_port_that_is_held_for_the_web_server() -> None:
    with ports.listen_on("127.0.0.1", 0) as bound, pytest.raises(CannotStart):
        ports.listen_on("127.0.0.1", bound.getsockname()[1])


def test_an_address_of_another_machine_is_refused() -> None:
    # 192.0.2.0/24 belongs to no machine (RFC 5737, TEST-NET-1).
    with pytest.raises(CannotStart, match="is not an address of this machine"):
        ports.refuse_taken_port("192.0.2.1", 8000)


def test_a_free_port_is_free_again_after_the_look() -> None:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    ports.refuse_taken_port("127.0.0.1", port)
    ports.refuse_taken_port("127.0.0.1", port)


@pytest.mark.parametrize(
    ("host", "address"),
    [
        ("127.0.0.1", "http://127.0.0.1:8000/"),
        ("0.0.0.0", "http://127.0.0.1:8000/"),
        ("::1", "http://[::1]:8000/"),
        ("::", "http://[::1]:8000/"),
        ("studio.example", "http://studio.example:8000/"),
    ],
)
def test_the_printed_address_can_be_opened_on_this_machine(host: str, address: str) -> None:
    assert ports.address_of(host, 8000) == address
