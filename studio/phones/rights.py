"""May what somebody noted without a network still count, now that it arrives?"""

from __future__ import annotations

from datetime import datetime
from typing import Literal

from studio.people.models import Person
from studio.people.policy import may

__all__ = ["judged"]


def judged(
    maker: Person, sender: Person, act: str, acted_at: datetime
) -> tuple[Literal["review", "refused"], str] | None:
    """None where it counts. Else what becomes of it, and the sentence.

    A right that was withdrawn reaches back to nothing: what was done before is a fact to be looked at, what was done
    after it is refused and kept. What one person noted and another one sends is looked at as well, since nobody can
    prove who held the phone.
    """
    needed = ("gear", "report") if act in ("damaged", "missing") else ("packing", "change")
    if not maker.is_active or not may(maker, *needed):
        since = f"{maker.rights_since:%Y-%m-%d %H:%M} UTC"
        if acted_at < maker.rights_since:
            return (
                "review",
                f"{maker} could do this until {since}, and did it before. The manager looks at it.",
            )
        return (
            "refused",
            f"{maker} may not do this since {since}. It was not done, and is kept as it was sent.",
        )
    if maker != sender:
        return (
            "review",
            f"{maker} was signed in when it was noted, {sender} sent it. The manager looks at it.",
        )
    return None
