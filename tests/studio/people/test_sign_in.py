"""Signing in and out, with the password hashing that the service really uses."""

from __future__ import annotations

import pytest
from django.contrib.auth.hashers import identify_hasher, make_password
from django.test import Client
from django.urls import reverse

from studio import settings as real
from tests.builders import a_person

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def argon2(settings):
    settings.PASSWORD_HASHERS = real.PASSWORD_HASHERS


def test_passwords_are_kept_as_argon2():
    assert identify_hasher(make_password("tram-depot-7")).algorithm == "argon2"


def test_the_right_password_signs_in_and_leads_on():
    a_person("assistant", username="teo")
    answer = Client().post(
        reverse("people:sign-in") + "?next=/gear/", {"username": "teo", "password": "tram-depot-7"}
    )
    assert (answer.status_code, answer.headers["Location"]) == (302, "/gear/")


def test_a_wrong_password_is_said_and_nobody_is_signed_in():
    a_person("assistant", username="teo")
    client = Client()
    answer = client.post(reverse("people:sign-in"), {"username": "teo", "password": "guess"})
    assert answer.status_code == 200
    assert client.get("/").status_code == 302


def test_somebody_who_left_cannot_sign_in():
    a_person("assistant", username="teo", is_active=False)
    client = Client()
    client.post(reverse("people:sign-in"), {"username": "teo", "password": "tram-depot-7"})
    assert client.get("/").status_code == 302


def test_signing_in_leads_nowhere_else():
    a_person("assistant", username="teo")
    answer = Client().post(
        reverse("people:sign-in") + "?next=https://elsewhere.example/",
        {"username": "teo", "password": "tram-depot-7"},
    )
    assert answer.headers["Location"] == "/"


def test_signing_out_ends_it():
    client = Client()
    client.force_login(a_person("manager"))
    assert client.get("/").status_code == 200
    client.post(reverse("people:sign-out"))
    assert client.get("/").status_code == 302
