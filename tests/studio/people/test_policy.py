"""Who may do what: every address declares it, the one table knows it, and the gate holds to it."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver

from gear.access import declared_access
from studio.people.models import Role
from studio.people.policy import POLICY, may, reach
from tests.builders import a_person

METHODS = ("GET", "POST", "PUT", "PATCH", "DELETE")
SAMPLES = {
    "pk": "1",
    "position": "1",
    "tag": "K-01",
    "slug": "some-type",
    "number": "1",
    "name": "placement",
    "device": "6b1c2f0e-0d7b-4b59-8a0e-2f5cf6ad3d11",
}


def every_pattern(resolver: URLResolver | None = None, before: str = "") -> Iterator[tuple[str, URLPattern]]:
    for entry in (resolver or get_resolver()).url_patterns:
        if isinstance(entry, URLResolver):
            yield from every_pattern(entry, before + str(entry.pattern))
        else:
            yield before + str(entry.pattern), entry


ADDRESSES = sorted(dict(every_pattern()).items())


def concrete(address: str, pattern: URLPattern) -> str:
    """The address with a sample in each of its places."""
    parts = []
    for part in address.split("<"):
        if ">" in part:
            place, rest = part.split(">", 1)
            kind, _, name = place.rpartition(":")
            parts.append(SAMPLES.get(name, "1" if kind == "int" else "strobe") + rest)
        else:
            parts.append(part)
    return "/" + "".join(parts)


def methods_of(pattern: URLPattern) -> tuple[str, ...]:
    view = getattr(pattern.callback, "cls", None) or getattr(pattern.callback, "view_class", None)
    if view is None:
        return ("GET", "POST")
    actions = getattr(pattern.callback, "actions", None)
    known = actions if actions else [m for m in METHODS if hasattr(view, m.lower())]
    return tuple(m for m in METHODS if m.lower() in {k.lower() for k in known})


def test_there_are_addresses():
    assert len(ADDRESSES) > 40


@pytest.mark.parametrize(("address", "pattern"), ADDRESSES, ids=[address for address, _ in ADDRESSES])
def test_every_address_declares_a_pair_that_the_table_knows(address, pattern):
    for method in methods_of(pattern):
        declared = declared_access(pattern.callback, method)
        assert declared is not None, f"{method} {address} declares no access"
        assert declared[0] == "public" or declared in POLICY


@pytest.mark.django_db
@pytest.mark.parametrize(("address", "pattern"), ADDRESSES, ids=[address for address, _ in ADDRESSES])
def test_nobody_gets_in_without_signing_in(address, pattern):
    for method in methods_of(pattern):
        declared = declared_access(pattern.callback, method)
        if declared and declared[0] == "public":
            continue
        answer = Client().generic(method, concrete(address, pattern))
        assert answer.status_code in (302, 401, 403)
        if answer.status_code == 302:
            assert answer.headers["Location"].startswith("/sign-in")


@pytest.mark.django_db
@pytest.mark.parametrize("role", [role.value for role in Role])
def test_the_gate_refuses_what_the_table_refuses(role):
    client = Client()
    person = a_person(role)
    client.force_login(person)
    refused = 0
    for address, pattern in ADDRESSES:
        for method in methods_of(pattern):
            declared = declared_access(pattern.callback, method)
            if declared and declared[0] != "public" and reach(person, *declared) == "none":
                assert client.generic(method, concrete(address, pattern)).status_code == 403, (
                    f"{method} {address}"
                )
                refused += 1
    assert (refused > 0) == (role != Role.MANAGER)


@pytest.mark.django_db
def test_own_reaches_ones_own_things_only():
    mine, other = a_person("photographer"), a_person("photographer")
    assert may(mine, "recipe", "change", owner=mine)
    assert not may(mine, "recipe", "change", owner=other)
    assert may(a_person("manager"), "recipe", "change", owner=other)


@pytest.mark.django_db
def test_a_view_that_declares_nothing_is_closed_even_to_a_manager(rf):
    from django.core.exceptions import PermissionDenied

    from studio.people.gate import PolicyGate

    request = rf.get("/")
    request.user = a_person("manager")
    with pytest.raises(PermissionDenied):
        PolicyGate(lambda r: None).process_view(request, lambda r: None, (), {})
