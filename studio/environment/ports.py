"""Is the port free, and if not, who has it?"""

from __future__ import annotations

import errno
import json
import os
import socket
import time
import urllib.error
import urllib.request

from .data_folder import data_folder, give_to_owner, make_folder
from .locks import open_lock, try_lock
from .sentences import CannotStart

__all__ = ["address_of", "is_fullstop", "listen_on", "refuse_taken_port", "sign_for"]


# A service whose starter was just killed still has the port for a moment.
PATIENCE_S = 2.0
ANSWER_WITHIN_S = 3.0


def listen_on(host: str, port: int) -> socket.socket:
    """A socket bound to the address, for the web server to inherit. Raises CannotStart when it is taken."""
    give_up_at = time.monotonic() + PATIENCE_S
    while True:
        bound = socket.socket(socket.AF_INET6 if ":" in host else socket.AF_INET, socket.SOCK_STREAM)
        try:
            bound.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            bound.bind((host, port))
            # Two sockets can be bound to one address until one listens; gunicorn calls listen again, which is harmless.
            bound.listen()
            return bound
        except OSError as error:
            bound.close()
            if error.errno != errno.EADDRINUSE or time.monotonic() > give_up_at:
                raise _why_not(host, port, error) from None
        time.sleep(0.1)


def refuse_taken_port(host: str, port: int) -> None:
    """Nothing when the port can be had; raises CannotStart with the name of who has it."""
    listen_on(host, port).close()


def address_of(host: str, port: int) -> str:
    """The address to type into a browser on this machine."""
    shown = {"0.0.0.0": "127.0.0.1", "::": "::1", "": "127.0.0.1"}.get(host, host)
    return f"http://[{shown}]:{port}/" if ":" in shown else f"http://{shown}:{port}/"


def sign_for(port: int) -> int:
    """Show, for as long as the returned descriptor is open, that the port is served from this data folder."""
    path = make_folder(data_folder()) / f"up-{port}.lock"
    descriptor = open_lock(path)
    give_to_owner(path)
    try_lock(descriptor)
    return descriptor


def _is_served_from_here(port: int) -> bool:
    try:
        descriptor = os.open(data_folder() / f"up-{port}.lock", os.O_RDWR)
    except OSError:
        return False
    try:
        return not try_lock(descriptor)
    finally:
        os.close(descriptor)


def _why_not(host: str, port: int, error: OSError) -> CannotStart:
    if error.errno == errno.EADDRINUSE:
        if _is_served_from_here(port) or is_fullstop(address_of(host, port)):
            return CannotStart(
                f"Fullstop already runs, or is just starting, at {address_of(host, port)}. Open that, or start a "
                f"second one with: python3 manage.py up --port {port + 1}"
            )
        return CannotStart(
            f"Port {port} on {host} is taken by another program. Stop it (`ss -ltnp` or `lsof -i :{port}` names it), "
            f"or choose another port: python3 manage.py up --port {port + 1}"
        )
    if error.errno == errno.EACCES:
        return CannotStart(
            f"This user may not open port {port}; those below 1024 are the system's. Choose another: "
            "python3 manage.py up --port 8000"
        )
    if error.errno == errno.EADDRNOTAVAIL or isinstance(error, socket.gaierror):
        return CannotStart(
            f"{host!r} is not an address of this machine. Use --host 127.0.0.1 for this machine only, or "
            "--host 0.0.0.0 for all that can reach it."
        )
    return CannotStart(f"Port {port} on {host} cannot be opened: {error.strerror}.")


def is_fullstop(address: str) -> bool:
    """Does a service of this project answer there? It says so at /healthz."""
    try:
        with urllib.request.urlopen(f"{address}healthz", timeout=ANSWER_WITHIN_S) as answer:
            body = answer.read(10_000)
    except urllib.error.HTTPError as refused:
        body = refused.read(10_000)
    except (OSError, ValueError):
        return False
    try:
        said = json.loads(body)
    except ValueError:
        return False
    return isinstance(said, dict) and said.get("service") == "fullstop"
