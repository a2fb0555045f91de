from __future__ import annotations

import pytest


@pytest.fixture(autouse=True)
def quick_passwords(settings) -> None:
    """People are made by the dozen here, and nobody signs in with a password."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
