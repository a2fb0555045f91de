"""Is the port free, and if not, who has it?"""

from __future__ import annotations

import errno
import json
import socket
import urllib.error
import urllib.request

from .sentences import CannotStart

__all__ = ["address_of", "listen_on", "refuse_taken_port"]


def listen_on(host: str, port: int) -> socket.socket:
    """A socket bound to the address, for the web server to inherit. Raises CannotStart when it is taken."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    bound = socket.socket(family, socket.SOCK_STREAM)
    try:
        bound.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        bound.bind((host, port))
    except OSError as error:
        bound.close()
        raise _why_not(host, port, error) from None
    return bound


def refuse_taken_port(host: str, port: int) -> None:
    """Nothing when the port can be had; raises CannotStart with the name of who has it."""
    with listen_on(host, port) as bound:
        bound.listen()


def address_of(host: str, port: int) -> str:
    """The address to type into a browser on this machine."""
    shown = {"0.0.0.0": "127.0.0.1", "::": "::1", "": "127.0.0.1"}.get(host, host)
    return f"http://[{shown}]:{port}/" if ":" in shown else f"http://{shown}:{port}/"


def _why_not(host: str, port: int, error: OSError) -> CannotStart:
    if error.errno == errno.EADDRINUSE:
        if is_fullstop(address_of(host, port)):
            return CannotStart(
                f"Fullstop already runs at {address_of(host, port)}. Open that, or start a second one with: "
                f"python3 manage.py up --port {port + 1}"
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


def is_fullstop(address: str, patience_s: float = 3.0) -> bool:
    """Does a service of this project answer there? It says so at /healthz."""
    try:
        with urllib.request.urlopen(f"{address}healthz", timeout=patience_s) as answer:
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
