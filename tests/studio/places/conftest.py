from __future__ import annotations

import pytest


@pytest.fixture(autouse=True)
def quick_passwords(settings) -> None:
    """Nobody signs in with a password here."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
