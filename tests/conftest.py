"""What every test may ask for."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from hypothesis import settings as hypothesis_settings

from tests.builders import a_person

# Properties are about what is true, not about how busy the machine is.
hypothesis_settings.register_profile("house", deadline=None)
hypothesis_settings.load_profile("house")


@pytest.fixture
def signed_in(db: None) -> Callable[[str], Client]:
    """``signed_in("assistant")`` is a client of somebody with that role; ``client.person`` is who."""

    def sign_in(role: str = "manager") -> Client:
        client = Client()
        client.person = a_person(role)
        client.force_login(client.person)
        return client

    return sign_in


@pytest.fixture(autouse=True)
def _quick_passwords(settings: Any) -> None:
    """Argon2 takes half a second on purpose; tests that make people need not pay for it."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
