"""How a refusal gets beside the field it names."""

from __future__ import annotations

from django import forms

from gear.errors import FieldProblem, Refusal

__all__ = ["show_problems", "typed"]


def show_problems(form: forms.Form, refusal: Refusal) -> tuple[FieldProblem, ...]:
    """Put each problem beside its field; returns those that belong to none."""
    form.is_valid()
    left = []
    for problem in getattr(refusal, "problems", ()):
        if problem.where not in form.fields:
            left.append(problem)
        elif problem.where not in form.errors:
            words = problem.expected
            form.add_error(problem.where, words[:1].upper() + words[1:] + ("" if words[-1] in ".?" else "."))
    return tuple(left)


def typed(form: forms.Form) -> dict[str, str]:
    """What was typed, without the fields that were left empty."""
    values = {name: str(form.data.get(name, "")) for name in form.fields}
    return {name: value for name, value in values.items() if value.strip()}
