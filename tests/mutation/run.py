"""Would a test notice if a module of the calculation were wrong?

    python -m tests.mutation.run recipes/light recipes/checks --sample 300

changes one small thing at a time (`mutants.py`) and runs the tests that touch the line, those named after the module
first and then the quickest, up to a limit of seconds. What no test notices is written out, to be read: it wants a
test, or it is no mistake. Not part of the usual run.

Which tests touch which line is measured first, by one run of them all, and kept in a folder. Then the tests are
collected once; every mutant is tried in a process of its own, forked from there, with the changed code put in place
(`swap.py`). Only the recipe document is loaded anew for each of its mutants (`anew.py`).
"""

from __future__ import annotations

import argparse
import importlib
import json
import os
import random
import re
import resource
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.mutation.mutants import Mutant, mutants_of
from tests.mutation.swap import put_in_place

ROOT = Path(__file__).resolve().parents[2]
TESTS = ["tests/recipes", "tests/reference", "tests/gear/test_specs.py"]
NOT_ASKED = [
    "tests/recipes/records",
    "tests/recipes/test_look.py",
    "tests/reference/test_renderer.py",
    "tests/reference/test_silver.py",
]
"""With a database, or slower than all the others."""
LOADED_ANEW = re.compile(r"recipes/look\w*\.py")
TESTS_ANEW = ["tests/recipes/test_look_limits.py", "tests/recipes/test_look.py"]
PYTEST = ["-q", "-p", "no:django", "-p", "no:cacheprovider", "-p", "no:xdist", "-p", "no:benchmark"]
PYTEST += ["--confcutdir=tests/recipes", *TESTS, *(f"--ignore={path}" for path in NOT_ASKED)]
A_FEW = 3
MEASURING = "[run]\nsource = recipes\ndata_file = {}\n"


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    asked.add_argument("where", nargs="+", help="folders or modules, such as recipes/light")
    asked.add_argument("--sample", type=int, help="so many mutants by chance; all without it")
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--limit", type=float, default=10.0, help="seconds of tests for a mutant")
    asked.add_argument("--again", type=Path, help="only those that stand in this list of an earlier run")
    asked.add_argument("--kept", type=Path, help="folder of what was measured")
    given = asked.parse_args()
    os.chdir(ROOT)
    kept = given.kept or Path(tempfile.mkdtemp(prefix="mutants-"))
    touching = measured(kept)
    modules = [module for where in given.where for module in _modules(where)]
    tries = [(module, mutant) for module in modules for mutant in mutants_of(module.read_text())]
    print(f"{len(tries)} mutants of {len(modules)} modules", flush=True)
    if given.again:
        left = set(given.again.read_text().splitlines())
        tries = [(module, mutant) for module, mutant in tries if _said(module, mutant) in left]
    if given.sample:
        random.Random(given.seed).shuffle(tries)
        tries = tries[: given.sample]
    _quick_hypothesis()
    raise SystemExit(pytest.main(PYTEST, plugins=[Trying(tries, touching, given.limit)]))


def _said(module: Path, mutant: Mutant) -> str:
    """Where it is, what it does, and the line as it stands."""
    line = mutant.text.splitlines()[mutant.line - 1].strip()
    return f"{module}:{mutant.line}:{mutant.column}: {mutant.what}  |  {line}"


def _modules(where: str) -> list[Path]:
    place = Path(where)
    return [place] if place.is_file() else sorted(place.rglob("*.py"))


@dataclass(frozen=True)
class Touching:
    """Which tests touch which line of which module, and how long each test takes in s."""

    lines: dict[str, dict[int, list[str]]]
    seconds: dict[str, float]

    def nearest(self, module: Path, line: int, limit_s: float) -> list[str]:
        """The tests of a line, those named after the module first, then the quickest.

        Where hardly any test runs it, since it runs when the module is loaded or its answer is kept, those of all files
        that touch the module.
        """
        lines = self.lines.get(str(module), {})
        tests = lines.get(line, [])
        if len(tests) < A_FEW:
            tests = self._of_files({test for tests in lines.values() for test in tests})
        chosen: list[str] = []
        total = 0.0
        for test in sorted(tests, key=lambda test: (f"/test_{module.stem}.py" not in test, self._of(test))):
            total += self._of(test)
            if chosen and total > limit_s:
                break
            chosen.append(test)
        return chosen

    def _of_files(self, tests: set[str]) -> list[str]:
        files = {test.partition("::")[0] for test in tests}
        return sorted(test for test in self.seconds if test.partition("::")[0] in files)

    def _of(self, test: str) -> float:
        return self.seconds.get(test, 0.01)


def measured(kept: Path) -> Touching:
    """From the folder where it is kept, or by one run of the tests."""
    told, data = kept / "told.txt", kept / "lines.json"
    if not data.exists():
        kept.mkdir(parents=True, exist_ok=True)
        settings = kept / "coverage.cfg"
        settings.write_text(MEASURING.format(kept / "coverage"))
        command = [sys.executable, "-m", "pytest", *PYTEST, "-vv", "--durations=0", "--durations-min=0"]
        command += ["--cov", f"--cov-config={settings}", "--cov-context=test", "--cov-report="]
        run = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
        told.write_text(run.stdout + run.stderr)
        if run.returncode:
            raise SystemExit(f"the tests fail as they are; see {told}")
        data.write_text(json.dumps(_lines(kept / "coverage")))
    seconds: dict[str, float] = {}
    for taken, test in re.findall(
        r"^([\d.]+)s (?:call|setup|teardown) +(\S.*)$", told.read_text(), re.MULTILINE
    ):
        seconds[test] = seconds.get(test, 0.0) + float(taken)
    lines = json.loads(data.read_text())
    return Touching(
        {module: {int(line): tests for line, tests in of.items()} for module, of in lines.items()}, seconds
    )


def _lines(measured_by_coverage: Path) -> dict[str, dict[int, list[str]]]:
    from coverage import CoverageData

    data = CoverageData(str(measured_by_coverage))
    data.read()
    return {
        str(Path(file).relative_to(ROOT)): {
            line: sorted({test.partition("|")[0] for test in tests if "::" in test})
            for line, tests in data.contexts_by_lineno(file).items()
        }
        for file in data.measured_files()
    }


def _quick_hypothesis() -> None:
    """A failing example need not be the smallest."""
    import hypothesis

    phases = (hypothesis.Phase.explicit, hypothesis.Phase.generate)
    hypothesis.settings.register_profile(
        "mutants", phases=phases, database=None, deadline=None, derandomize=True
    )
    hypothesis.settings.load_profile("mutants")


class Trying:
    """Instead of running the tests, tries the mutants with them."""

    def __init__(self, tries: list[tuple[Path, Mutant]], touching: Touching, limit_s: float) -> None:
        self.tries, self.touching, self.limit_s = tries, touching, limit_s

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        if session.testsfailed:
            raise SystemExit("not all tests can be collected")
        items = {item.nodeid: item for item in session.items}
        asked = self.touching
        killed, left = 0, 0
        for module, mutant in self.tries:
            tests = [
                items[test] for test in asked.nearest(module, mutant.line, self.limit_s) if test in items
            ]
            noticed = (
                _is_noticed_anew(module, mutant)
                if LOADED_ANEW.fullmatch(str(module))
                else bool(tests) and self._is_noticed(session, module, mutant, tests)
            )
            if noticed:
                killed += 1
                if killed % 100 == 0:
                    print(f"{killed + left} tried, {killed} killed", flush=True)
                continue
            left += 1
            print(_said(module, mutant), flush=True)
        print(f"{killed + left} tried, {killed} killed, {left} left", flush=True)
        return True

    def _is_noticed(
        self, session: pytest.Session, module: Path, mutant: Mutant, tests: list[pytest.Item]
    ) -> bool:
        child = os.fork()
        if not child:
            # Of the processor's time, since others may be at work; one that runs for ever is ended by the system.
            resource.setrlimit(resource.RLIMIT_CPU, (int(5 * self.limit_s + 20),) * 2)
            os._exit(_tested(session, module, mutant, tests))
        _, ended = os.waitpid(child, 0)
        status = os.waitstatus_to_exitcode(ended)
        if status == NOT_IN_PLACE:
            raise SystemExit(f"{module}:{mutant.line}: {mutant.what} could not be put in place")
        return status != 0


def _is_noticed_anew(module: Path, mutant: Mutant) -> bool:
    """By a fresh interpreter that loads the changed module."""
    with tempfile.NamedTemporaryFile("w", suffix=".py") as changed:
        changed.write(mutant.source())
        changed.flush()
        name = ".".join(module.with_suffix("").parts)
        command = [sys.executable, "-m", "pytest", "-q", "-x", "-p", "tests.mutation.anew", "-p", "no:django"]
        command += ["-p", "no:cacheprovider", "--confcutdir=tests/recipes", *TESTS_ANEW]
        env = {**os.environ, "MUTANT_OF": name, "MUTANT": changed.name}
        run = subprocess.run(command, cwd=ROOT, env=env, capture_output=True, check=False)
    return run.returncode != 0


NOT_IN_PLACE = 9


def _tested(session: pytest.Session, module: Path, mutant: Mutant, tests: list[pytest.Item]) -> int:
    """1 when a test fails or the changed module cannot even be loaded, else 0."""
    session.config.pluginmanager.unregister(name="terminalreporter")
    loaded = importlib.import_module(".".join(module.with_suffix("").parts))
    try:
        put_in_place(loaded, mutant.source())
    except ValueError as error:
        return NOT_IN_PLACE if "free vars" in str(error) else 1
    except Exception:
        return 1
    for test, after in zip(tests, [*tests[1:], None], strict=True):
        session.config.hook.pytest_runtest_protocol(item=test, nextitem=after)
        if session.testsfailed:
            return 1
    return 0


if __name__ == "__main__":
    main()
