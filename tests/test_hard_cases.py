"""Every hard case of booking is held by tests that are there and that assert something."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from tests.hard_cases import CASES

HERE = Path(__file__).parent


def the_test(name: str) -> ast.FunctionDef:
    path, _, function = name.partition("::")
    tree = ast.parse((HERE / path).read_text(encoding="utf-8"))
    return next(one for one in tree.body if isinstance(one, ast.FunctionDef) and one.name == function)


@pytest.mark.parametrize("number", CASES)
def test_a_case_is_held_by_tests_that_assert_something(number: int) -> None:
    rule, names = CASES[number]
    assert rule
    assert names
    for name in names:
        inside = list(ast.walk(the_test(name)))
        asserts = [one for one in inside if isinstance(one, ast.Assert)]
        refusals = [one for one in inside if isinstance(one, ast.Attribute) and one.attr == "raises"]
        delegated = [
            one for one in inside if isinstance(one, ast.Call) and _called(one).startswith(("booked", "had"))
        ]
        assert asserts or refusals or delegated, f"{name} asserts nothing"
        skipped = [one for one in the_test(name).decorator_list if "mark.skip" in ast.unparse(one)]
        assert not skipped, f"{name} is skipped"


def _called(call: ast.Call) -> str:
    return call.func.id if isinstance(call.func, ast.Name) else ""
