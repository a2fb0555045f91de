"""Refusals: what was asked cannot be done, said in a sentence that a person can act on.

Services raise them; pages show the sentence beside the form, the API answers with the status and the same
sentence.
"""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["Conflict", "FieldProblem", "Gone", "Invalid", "NotAllowed", "Refusal", "StaleEdit"]


@dataclass(frozen=True)
class FieldProblem:
    """One field of the input, and what it expects. ``where`` is a field name or a dotted path."""

    where: str
    expected: str


class Refusal(Exception):
    """The base of them all. ``sentence`` says what and how to mend it; ``code`` is stable for programs."""

    status = 400
    code = "refused"

    def __init__(self, sentence: str, *, ways_out: tuple[str, ...] = (), code: str | None = None) -> None:
        self.sentence = sentence
        self.ways_out = ways_out
        if code:
            self.code = code
        super().__init__(sentence)


class Invalid(Refusal):
    """The input says something that cannot be; ``problems`` name the fields."""

    status = 422
    code = "invalid"

    def __init__(self, sentence: str, problems: tuple[FieldProblem, ...] = (), **more: object) -> None:
        self.problems = problems
        super().__init__(sentence, **more)  # type: ignore[arg-type]


class Conflict(Refusal):
    """The world does not allow it: somebody else has it, or its state forbids it."""

    status = 409
    code = "conflict"


class StaleEdit(Refusal):
    """Somebody saved in between; nothing was overwritten."""

    status = 412
    code = "stale"


class Gone(Refusal):
    """What was named does not exist."""

    status = 404
    code = "not-found"


class NotAllowed(Refusal):
    """This person may not do this."""

    status = 403
    code = "not-allowed"
