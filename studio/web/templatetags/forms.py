"""What the shared form templates ask about a form."""

from __future__ import annotations

from django import forms, template

__all__ = ["fields_with_errors"]

register = template.Library()


@register.filter
def fields_with_errors(form: forms.BaseForm) -> list[forms.BoundField]:
    """The fields that a person has to mend, in the order in which they stand on the page."""
    return [field for field in form if field.errors]
