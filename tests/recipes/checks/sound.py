"""What is true of every finding, whichever check it comes from and whatever it was asked.

`conftest.py` holds every finding to this that any test of a check brings about.
"""

from __future__ import annotations

import math
import re
from types import ModuleType
from typing import get_args

from recipes.checks.findings import SEVERITY, Action, Finding, Working
from recipes.checks.prediction import Prediction
from recipes.checks.registry import CHECKS
from recipes.checks.setup import Setup
from tests.recipes.checks.setups import a_prediction

UNITS = set("stops s ms min h days mm m mm² m² kg kg·m N V A VA W Wh mired m/s 1/s".split())
NAMES = {check.explanation.name for check in CHECKS}
COUNTED = set("flashes batteries pieces units frames sockets".split())

NUMBER = re.compile(r"[+−-]?\d+(?:\.\d+)?")
ARITHMETIC = re.compile(r"(?:[\d\s.+*/(),-]|\b(?:log2|sin|cos|radians|min|max|sqrt|ceil)\b)+")
WRITTEN = {
    "·": "*",
    "−": "-",
    "²": "**2",
    "½": "0.5",
    "10⁶": "1000000",
    "^": "**",
    "√": "sqrt",
    "⌈": "ceil(",
    "⌉": ")",
}


def sound(finding: Finding) -> None:
    """Raises AssertionError when a finding contradicts itself."""
    assert finding.check in NAMES, finding
    assert finding.status in SEVERITY, finding
    assert isinstance(finding.about, str), finding
    assert finding.about, finding
    assert finding.sentence.endswith("."), finding
    assert isinstance(finding.estimated, bool), finding
    assert finding.unit in UNITS | COUNTED | {""}, finding
    assert finding.value is None or finding.unit, finding
    assert finding.missing or finding.status != "unknown", finding
    if finding.margin is not None:
        assert finding.status != "unknown", finding
        # A twentieth of a stop of setting is less than a head can be dialled to, so it is forgiven there.
        dust = 0.05 if finding.check == "power-range" else 1e-6
        assert finding.margin < 0 if finding.status == "gap" else finding.margin >= -dust, finding
    assert not (finding.status == "ok" and finding.remedies), finding
    for remedy in finding.remedies:
        assert remedy.action in get_args(Action), remedy
        assert re.fullmatch(r"[A-Z].*\.", remedy.sentence), remedy
        assert isinstance(remedy.arguments, tuple), remedy
        assert all(isinstance(text, str) for pair in remedy.arguments for text in pair), remedy
    words = [finding.sentence, finding.missing, finding.caution]
    words += [text for remedy in finding.remedies for text in (remedy.sentence, remedy.costs)]
    for text in words:
        reads_well(text)
    for working in finding.workings:
        can_be_followed(working)


def reads_well(text: str) -> None:
    assert "  " not in text, text
    assert not re.search(r"\b(nan|inf|None|safe)\b", text), text
    # What is too much or lacking is told as a plain number.
    assert not re.search(
        r"[-−]\d[\d.]*( [^ .,;]+)? (too|more|short|less|lower|higher|stronger|weaker)\b", text
    ), text


def can_be_followed(working: Working) -> None:
    """Whoever types the numbers of a sum into a pocket calculator gets its result, and reads what it is of."""
    parts = (working.name, working.formula, working.numbers, working.result)
    assert all(isinstance(part, str) for part in parts), working
    assert working.name, working
    assert working.formula or working.numbers, working
    assert working.result, working
    typed = (
        working.numbers.split(", ")[0]
        if not working.numbers.startswith(("min(", "max("))
        else working.numbers
    )
    typed = re.sub(r"(sin|cos) ([\d.]+)°", r"\1(radians(\2))", typed)
    for sign, meant in WRITTEN.items():
        typed = typed.replace(sign, meant)
    if (
        not ARITHMETIC.fullmatch(typed)
        or not re.search(r"[*/+-]", typed)
        or not NUMBER.search(working.result)
    ):
        return
    told = working.result.replace("−", "-").replace("1/", "1 / ", 1)
    number = NUMBER.search(told.removeprefix("1 / "))
    assert number
    last_digit = 10.0 ** -len(number[0].partition(".")[2])
    result = float(number[0])
    if told.startswith("1 / "):
        result, last_digit = 1 / result, last_digit / result**2
    sum_of = {name: getattr(math, name) for name in ("log2", "sin", "cos", "radians", "sqrt", "ceil")}
    computed = eval(typed, {"__builtins__": {}}, {**sum_of, "min": min, "max": max})
    # The numbers put in are rounded too.
    assert abs(computed - result) <= max(last_digit, 0.02 * abs(result)), (working, computed)


def said(check: ModuleType, setup: Setup, prediction: Prediction | None = None) -> str:
    """The findings of a check as one reads them: answer, figures, remedies (-) and sums (=), a blank line between."""
    return "\n\n".join(_as_read(finding) for finding in check.check(setup, prediction or a_prediction()))


def _as_read(finding: Finding) -> str:
    lines = [f"{finding.status}, {finding.about}: {finding.sentence}"]
    if finding.value is not None:
        limit = "nothing" if finding.limit is None else f"{finding.limit:.2f}"
        margin = "none" if finding.margin is None else f"{finding.margin:+.2f}"
        lines.append(f"{finding.value:.2f} against {limit}, margin {margin} {finding.unit}")
    for remedy in finding.remedies:
        arguments = "".join(f" {name}={value}" for name, value in remedy.arguments)
        costs = f" ({remedy.costs})" if remedy.costs else ""
        lines.append(f"- {remedy.sentence} [{remedy.action}{arguments}]{costs}")
    for working in finding.workings:
        parts = (working.name, working.formula, working.numbers, working.result)
        lines.append("= " + "; ".join(part for part in parts if part))
    return "\n".join(lines)
