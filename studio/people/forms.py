"""What a manager types about somebody."""

from __future__ import annotations

from typing import Any

from django import forms

from studio.people.entry import PersonEntry
from studio.people.models import Person

__all__ = ["PersonForm"]


class PersonForm(forms.ModelForm):
    """The service judges it, so that a page and a program are refused alike."""

    version = forms.IntegerField(required=False, widget=forms.HiddenInput)

    class Meta:
        model = Person
        fields = ["first_name", "last_name", "username", "email", "role", "is_active"]
        labels = {
            "username": "Name to sign in with",
            "email": "Mail",
            "role": "Role",
            "is_active": "Works here and may sign in",
        }
        help_texts = {
            "username": "Letters, digits and @ . + - _; capitals make no difference.",
            "email": "For what changes about their shoots, and for the link to choose a password.",
            "role": "",
            "is_active": "Closing an account ends its sessions and calendar addresses at once; what was done stays.",
        }

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        if self.instance.pk:
            self.fields["version"].initial = self.instance.version
        else:
            del self.fields["is_active"]

    def entry(self) -> PersonEntry:
        """What the form says."""
        return PersonEntry(**{name: value for name, value in self.cleaned_data.items() if name != "version"})
