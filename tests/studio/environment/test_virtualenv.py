"""The virtual environment follows the lock, whatever an earlier start left."""

from __future__ import annotations

import base64
import hashlib
import json
import shutil
import subprocess
import tomllib
import zipfile
from importlib import metadata
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from studio.environment import virtualenv
from studio.environment.data_folder import project_folder
from studio.environment.sentences import CannotStart


def a_wheel(folder: Path, version: str, name: str = "lamp", asks: str = "") -> str:
    """A package with one module, ready for pip; returns the line that pins it in a lock."""
    info = f"{name}-{version}.dist-info"
    needs = f"Requires-Dist: {asks}\n" if asks else ""
    about = f"Name: {name}\nVersion: {version}\nProvides-Extra: bulb\n{needs}"
    files = {
        f"{name}.py": f"version = {version!r}\n",
        f"{info}/METADATA": f"Metadata-Version: 2.1\n{about}",
        f"{info}/WHEEL": "Wheel-Version: 1.0\nGenerator: test\nRoot-Is-Purelib: true\nTag: py3-none-any\n",
    }
    rows = []
    for path, text in files.items():
        digest = base64.urlsafe_b64encode(hashlib.sha256(text.encode()).digest()).rstrip(b"=").decode()
        rows.append(f"{path},sha256={digest},{len(text)}")
    files[f"{info}/RECORD"] = "\n".join([*rows, f"{info}/RECORD,,"]) + "\n"
    built = folder / f"{name}-{version}-py3-none-any.whl"
    with zipfile.ZipFile(built, "w") as wheel:
        for path, text in files.items():
            wheel.writestr(path, text)
    return f"{name}=={version} --hash=sha256:{hashlib.sha256(built.read_bytes()).hexdigest()}\n"


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with wheels, two locks and an environment made from the first; copied for each test."""
    folder = tmp_path_factory.mktemp("environment")
    (folder / "runtime.lock").write_text(a_wheel(folder, "1.0"))
    (folder / "test.lock").write_text(
        (folder / "runtime.lock").read_text() + "# and the tools of the tests\n"
    )
    with pytest.MonkeyPatch.context() as patch:
        use(folder, patch)
        virtualenv.ensure("runtime", folder / "venv")
    return folder


@pytest.fixture
def folder(built: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    copied = tmp_path / "a copy"
    shutil.copytree(built, copied, symlinks=True)
    use(copied, monkeypatch)
    return copied


def use(folder: Path, patch: pytest.MonkeyPatch) -> None:
    """Take locks and wheels from the folder, and nothing from any registry."""
    patch.setattr(virtualenv, "LOCKS", {name: folder / f"{name}.lock" for name in ("runtime", "test")})
    patch.setenv("PIP_CONFIG_FILE", "/dev/null")
    patch.setenv("PIP_NO_INDEX", "1")
    patch.setenv("PIP_FIND_LINKS", folder.as_uri())


def lamp_in(folder: Path) -> str:
    """The version that the environment's Python imports."""
    command = [str(folder / "venv/bin/python"), "-I", "-c", "import lamp; print(lamp.version)"]
    return subprocess.run(command, capture_output=True, text=True).stdout.strip()


def test_a_copied_environment_is_used_as_it_is(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    python = virtualenv.ensure("runtime", folder / "venv")
    assert python == folder / "venv/bin/python"
    assert lamp_in(folder) == "1.0"
    assert capsys.readouterr().err == ""


def test_a_changed_lock_is_installed(folder: Path) -> None:
    (folder / "runtime.lock").write_text(a_wheel(folder, "2.0"))
    virtualenv.ensure("runtime", folder / "venv")
    assert lamp_in(folder) == "2.0"


def test_a_release_that_came_out_after_the_lock_changes_nothing(folder: Path) -> None:
    """A pinned package asks for another with an extra; pip by itself would look for the newest release of that."""
    stand = a_wheel(folder, "1.0", name="stand", asks="lamp[bulb]>=1.0")
    a_wheel(folder, "2.0")
    (folder / "runtime.lock").write_text((folder / "runtime.lock").read_text() + stand)
    shutil.rmtree(folder / "venv")
    virtualenv.ensure("runtime", folder / "venv")
    assert lamp_in(folder) == "1.0"


def test_the_test_lock_serves_the_other_commands_too(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    virtualenv.ensure("test", folder / "venv")
    assert "test.lock" in capsys.readouterr().err
    virtualenv.ensure("runtime", folder / "venv")
    assert capsys.readouterr().err == ""


def test_an_installation_that_was_killed_is_made_anew(folder: Path) -> None:
    (folder / "venv/fullstop.json").write_text('{"state": "building"}')
    shutil.rmtree(next((folder / "venv/lib").glob("python*/site-packages/lamp-1.0.dist-info")))
    (next((folder / "venv/lib").glob("python*/site-packages")) / "half.py").touch()
    virtualenv.ensure("runtime", folder / "venv")
    assert lamp_in(folder) == "1.0"
    assert not list((folder / "venv/lib").glob("python*/site-packages/half.py"))


def test_an_environment_whose_python_is_gone_is_made_anew(folder: Path) -> None:
    (folder / "venv/bin/python").unlink()
    virtualenv.ensure("runtime", folder / "venv")
    assert lamp_in(folder) == "1.0"


def test_a_package_with_another_hash_is_refused_and_what_was_there_still_works(folder: Path) -> None:
    before = (folder / "runtime.lock").read_text()
    pin = a_wheel(folder, "2.0")
    (folder / "runtime.lock").write_text(
        pin[:-5] + "0000\n" if not pin.endswith("0000\n") else pin[:-5] + "1111\n"
    )
    with pytest.raises(CannotStart, match="A fetched package is not the one"):
        virtualenv.ensure("runtime", folder / "venv")
    assert lamp_in(folder) == "1.0"
    (folder / "runtime.lock").write_text(before)
    virtualenv.ensure("runtime", folder / "venv")
    assert json.loads((folder / "venv/fullstop.json").read_text())["state"] == "ready"


@pytest.mark.parametrize(
    ("pin", "sentence"),
    [
        ("a-lamp-that-nobody-has==1.0", "the package registry did not answer, or has nothing"),
        ("lamp==9.0", "has no build of a package in runtime"),
    ],
)
def test_what_the_registry_does_not_have_is_said(folder: Path, pin: str, sentence: str) -> None:
    (folder / "runtime.lock").write_text(f"{pin} --hash=sha256:{64 * '0'}\n")
    with pytest.raises(CannotStart, match=sentence):
        virtualenv.ensure("runtime", folder / "venv")


def test_the_users_own_habits_of_pip_do_not_lead_it_elsewhere(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PIP_TARGET", str(folder / "elsewhere"))
    monkeypatch.setenv("PIP_USER", "1")
    (folder / "runtime.lock").write_text(a_wheel(folder, "2.0"))
    virtualenv.ensure("runtime", folder / "venv")
    assert lamp_in(folder) == "2.0"
    assert not (folder / "elsewhere").exists()


@pytest.mark.parametrize("name", ["runtime", "test"])
def test_every_pin_of_our_locks_has_a_hash(name: str) -> None:
    pins = pins_of(name)
    assert len(pins) > 50
    assert [pin for pin, options in pins.items() if "--hash=sha256:" not in options] == []


def test_the_test_lock_holds_every_pin_of_the_runtime_lock() -> None:
    assert pins_of("runtime").keys() - pins_of("test").keys() == set()


@pytest.mark.parametrize("name", ["runtime", "test"])
def test_our_locks_are_whole(name: str) -> None:
    """Nothing is looked for beside the lock, so whatever a pinned package needs is pinned, at a version it takes.

    Followed from pyproject.toml by what the installed packages say themselves (core metadata, Requires-Dist).
    """
    pins = {canonicalize_name(Requirement(pin).name): Requirement(pin).specifier for pin in pins_of(name)}
    project = tomllib.loads((project_folder() / "pyproject.toml").read_text())
    open_ends = [Requirement(line) for line in project["project"]["dependencies"]]
    open_ends += [Requirement(line) for line in project["dependency-groups"]["test"] if name == "test"]
    seen: set[str] = set()
    missing = []
    while open_ends:
        needed = open_ends.pop()
        if str(needed) in seen:
            continue
        seen.add(str(needed))
        version = next((pin.version for pin in pins.get(canonicalize_name(needed.name), ())), None)
        if version is None or not needed.specifier.contains(version, prereleases=True):
            missing.append(str(needed))
            continue
        for further in map(Requirement, metadata.requires(needed.name) or ()):
            extras = [*needed.extras, ""]
            if further.marker is None or any(further.marker.evaluate({"extra": extra}) for extra in extras):
                open_ends.append(further)
    assert missing == []
    assert len(seen) > 60


def pins_of(name: str) -> dict[str, str]:
    """Each requirement of a lock with its options."""
    text = (Path(virtualenv.__file__).parent / f"{name}.lock").read_text().replace("\\\n", " ")
    lines = [line.strip() for line in text.splitlines() if "==" in line and not line.lstrip().startswith("#")]
    return {line.split(" --hash")[0].strip(): line for line in lines}
