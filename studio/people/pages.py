"""Signing in and out, and the accounts of those who work here."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.views import (
    LoginView,
    LogoutView,
    PasswordChangeView,
    PasswordResetConfirmView,
)
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse, reverse_lazy
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from gear.access import declares, everyone
from gear.errors import Invalid, Refusal
from studio.people import services
from studio.people.forms import PersonForm
from studio.people.models import Person
from studio.people.queries import everybody, somebody

sign_in = everyone(LoginView.as_view(template_name="people/sign_in.html", redirect_authenticated_user=True))
sign_out = everyone(LogoutView.as_view())
change_password = declares("account", "change")(
    PasswordChangeView.as_view(
        template_name="people/change_password.html", success_url=reverse_lazy("web:today")
    )
)
choose_password = everyone(
    PasswordResetConfirmView.as_view(
        template_name="people/choose_password.html",
        success_url=reverse_lazy("people:sign-in"),
        reset_url_token="new",
    )
)


@declares("people", "read")
@require_GET
def people(request: HttpRequest) -> HttpResponse:
    """Everybody who has an account."""
    return render(request, "people/list.html", {"people": everybody()})


@declares("people", "change")
@require_http_methods(["GET", "POST"])
def person_new(request: HttpRequest) -> HttpResponse:
    """Open an account; its link comes next."""
    form = PersonForm(request.POST or None)
    refusal = None
    if form.is_valid():
        try:
            made = services.add_person(form.entry(), request.user)
            return _with_a_link(request, made)
        except Refusal as caught:
            refusal = _shown(form, caught)
    return render(
        request, "people/new.html", {"form": form, "refusal": refusal}, status=_status(form, refusal)
    )


@declares("people", "read", POST="change")
@require_http_methods(["GET", "POST"])
def person(request: HttpRequest, pk: int) -> HttpResponse:
    """One account: what it says, the way in, and what became of it."""
    found = somebody(pk)
    form = PersonForm(request.POST or None, instance=somebody(pk))
    refusal = None
    if form.is_valid():
        try:
            saved = services.change_person(
                found, form.entry(), request.user, version=form.cleaned_data["version"]
            )
            messages.success(request, f"The account of {saved} is written down.")
            return redirect("people:person", pk)
        except Refusal as caught:
            refusal = _shown(form, caught)
    context = {"person": found, "form": form, "refusal": refusal}
    return render(request, "people/person.html", context, status=_status(form, refusal))


@declares("people", "change")
@require_POST
def new_link(request: HttpRequest, pk: int) -> HttpResponse:
    """A link to choose a password with, shown this once."""
    return _with_a_link(request, somebody(pk))


def _with_a_link(request: HttpRequest, person: Person) -> HttpResponse:
    who, secret = services.key_to_choose_a_password(person, request.user)
    address = request.build_absolute_uri(reverse("people:choose-password", args=[who, secret]))
    mailed = services.mail_the_link(person, address, request.user)
    context = {"person": person, "address": address, "mailed": mailed}
    answer = render(request, "people/link.html", context)
    answer["Cache-Control"] = "no-store"
    return answer


def _shown(form: PersonForm, refusal: Refusal) -> Refusal:
    for problem in refusal.problems if isinstance(refusal, Invalid) else ():
        if problem.where in form.fields:
            form.add_error(problem.where, problem.expected)
    return refusal


def _status(form: PersonForm, refusal: Refusal | None) -> int:
    return refusal.status if refusal else 422 if form.is_bound else 200
