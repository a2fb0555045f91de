"""Signing in and out."""

from __future__ import annotations

from django.contrib.auth.views import LoginView, LogoutView, PasswordChangeView
from django.urls import reverse_lazy

from gear.access import declares, everyone

sign_in = everyone(LoginView.as_view(template_name="people/sign_in.html", redirect_authenticated_user=True))
sign_out = everyone(LogoutView.as_view())
change_password = declares("account", "change")(
    PasswordChangeView.as_view(
        template_name="people/change_password.html", success_url=reverse_lazy("web:today")
    )
)
