"""What is the short code of a unit, and was one read rightly? No database.

Six characters of an alphabet without look-alikes and without vowels, the last of them a check character.

The check is a pure system in the sense of ISO/IEC 7064:2003, like its MOD 11-2: with values a of the characters,
places i counted from the right and from 0, the sum of a_i · 2^i leaves 1 when divided by the modulus. The modulus is
23, the size of the alphabet: it is prime, so one wrong character, or a swap of neighbours, changes the sum by
(a - b) · 2^i, which 23 does not divide; and it equals the size of the alphabet, so the check character needs no sign
of its own. The standard's own MOD 37-2 would need the digits and letters that are taken for each other on a worn label,
and its hybrid systems (MOD 37,36) let some swaps of neighbours through.
"""

from __future__ import annotations

import secrets
from collections.abc import Sequence

__all__ = [
    "ALPHABET",
    "LENGTH",
    "check_value",
    "code_of",
    "is_code",
    "random_code",
    "sum_is_right",
    "was_misread",
]

ALPHABET = "23456789CDFHJKMNPRTVWXY"
"""No 0 and O, 1, I and L, 2 has no Z, 5 no S, 6 no G, 8 no B, V no U; no Q; without A and E no word comes about."""

LENGTH = 6
CODES = len(ALPHABET) ** (LENGTH - 1)

_RADIX = 2


def sum_is_right(values: Sequence[int], modulus: int, radix: int = _RADIX) -> bool:
    """Whether a string of character values, its check value last, satisfies the pure system of that modulus."""
    total = 0
    for value in values:
        total = (total * radix + value) % modulus
    return total == 1


def check_value(values: Sequence[int], modulus: int, radix: int = _RADIX) -> int:
    """The value that goes after these so that `sum_is_right`."""
    total = 0
    for value in values:
        total = (total + value) * radix % modulus
    return (1 - total) % modulus


def code_of(number: int) -> str:
    """The code of a number from 0 up to `CODES`, its check character at the end. Raises ValueError beyond."""
    if not 0 <= number < CODES:
        raise ValueError(f"{number} is not in 0 to {CODES - 1}")
    values = []
    for _ in range(LENGTH - 1):
        number, value = divmod(number, len(ALPHABET))
        values.insert(0, value)
    values.append(check_value(values, len(ALPHABET)))
    return "".join(ALPHABET[value] for value in values)


def random_code() -> str:
    """Any code, each equally likely: neighbours on a shelf then differ in more than one character."""
    return code_of(secrets.randbelow(CODES))


def is_code(text: str) -> bool:
    """Whether this is a code with its right check character."""
    return (
        len(text) == LENGTH
        and all(character in ALPHABET for character in text)
        and sum_is_right([ALPHABET.index(character) for character in text], len(ALPHABET))
    )


def was_misread(text: str) -> bool:
    """Whether this looks like a code in which one character is wrong: at most one stands outside the alphabet, and the
    check fails."""
    strange = sum(character not in ALPHABET for character in text)
    return len(text) == LENGTH and text.isascii() and text.isalnum() and strange <= 1 and not is_code(text)
