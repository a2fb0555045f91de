"""docker-compose.yml without an engine: its parts, what they wait for and keep, and that what it names is there."""

from __future__ import annotations

import importlib.util
import os
import re
import shutil
import stat
import subprocess
import sys
import urllib.request
from pathlib import Path
from typing import Any

import pytest
import yaml
from celery.bin.beat import beat
from celery.bin.worker import worker
from django.test import RequestFactory
from gunicorn.config import Config
from gunicorn.util import import_app

from studio.environment.data_folder import project_folder

ROOT = project_folder()
TEXT = (ROOT / "docker-compose.yml").read_text()
COMPOSE: dict[str, Any] = yaml.safe_load(TEXT)
OPENED: dict[str, Any] = yaml.safe_load(
    (ROOT / "studio" / "environment" / "workers_elsewhere.yml").read_text()
)
SERVICES: dict[str, dict[str, Any]] = COMPOSE["services"]
OURS = ("schema", "web", "worker", "scheduler")
SECRETS = ("FULLSTOP_SECRET_KEY", "POSTGRES_PASSWORD", "RABBITMQ_PASSWORD")
IMAGE: list[str] = SERVICES["schema"]["build"]["dockerfile_inline"].splitlines()


def test_has_every_part_of_the_service() -> None:
    assert set(SERVICES) == {"database", "broker", *OURS}


@pytest.mark.parametrize("name", sorted(set(SERVICES) - {"schema"}))
def test_every_part_that_stays_up_says_whether_it_is_well(name: str) -> None:
    assert SERVICES[name]["healthcheck"]["test"][0] in ("CMD", "CMD-SHELL")


@pytest.mark.parametrize("name", ["web", "worker", "scheduler"])
def test_nothing_begins_before_the_schema_is_up_to_date(name: str) -> None:
    assert SERVICES[name]["depends_on"]["schema"] == {"condition": "service_completed_successfully"}


def test_the_schema_waits_for_the_database() -> None:
    assert SERVICES["schema"]["depends_on"]["database"] == {"condition": "service_healthy"}


def test_the_database_is_well_only_when_others_reach_it() -> None:
    assert "--host=127.0.0.1" in SERVICES["database"]["healthcheck"]["test"]


def test_the_broker_is_not_asked_before_it_has_its_cookie() -> None:
    shell, asked = SERVICES["broker"]["healthcheck"]["test"]
    assert shell == "CMD-SHELL"
    assert asked.startswith("test -s /var/lib/rabbitmq/.erlang.cookie && ")


@pytest.mark.parametrize("name", OURS)
def test_a_process_that_is_still_starting_can_be_stopped(name: str) -> None:
    assert SERVICES[name]["init"] is True


def test_what_must_outlive_a_container_is_on_a_named_volume() -> None:
    mounted = {mount.split(":")[0] for service in SERVICES.values() for mount in service["volumes"]}
    assert mounted == set(COMPOSE["volumes"])


def test_no_secret_has_a_value_here() -> None:
    for name in SECRETS:
        assert f"${{{name}:?" in TEXT
        assert f"${{{name}:-" not in TEXT
    assert ".env" in (ROOT / ".gitignore").read_text().splitlines()


def test_only_the_web_server_is_reached_from_outside_and_by_default_from_this_machine_only() -> None:
    assert {name: service["ports"] for name, service in SERVICES.items() if "ports" in service} == {
        "web": ["${FULLSTOP_PORT:-127.0.0.1:8000}:8000"]
    }


def test_database_and_broker_are_opened_at_an_address_that_somebody_chose() -> None:
    opened = {name: service["ports"] for name, service in OPENED["services"].items()}
    assert {name: [port.rpartition("}")[2] for port in ports] for name, ports in opened.items()} == {
        "database": [":5432:5432"],
        "broker": [":5672:5672"],
    }
    assert all(port.startswith("${FULLSTOP_OPEN_AT:?") for ports in opened.values() for port in ports)


@pytest.mark.skipif(not shutil.which("openssl"), reason="no openssl on this machine")
def test_the_lines_of_the_header_make_a_private_file_with_every_secret(tmp_path: Path) -> None:
    said = re.findall(r"^#   (\(umask[^\n]*\n#     [^\n]*)", TEXT, re.MULTILINE)
    assert len(said) == 1
    subprocess.run(["sh", "-ec", said[0].replace("\n#", "\n")], cwd=tmp_path, check=True)
    made = tmp_path / ".env"
    assert stat.S_IMODE(made.stat().st_mode) == 0o600
    values = dict(line.split("=") for line in made.read_text().splitlines())
    assert tuple(values) == SECRETS
    assert all(re.fullmatch("[0-9a-f]{64}", value) for value in values.values())
    assert len(set(values.values())) == len(SECRETS)


def test_every_variable_that_the_header_sets_is_used() -> None:
    named = set(re.findall(r"^#   echo ['\"]([A-Z_]+)=", TEXT, re.MULTILINE))
    used = set(
        re.findall(
            r"\$\{([A-Z_]+)", TEXT + (ROOT / "studio" / "environment" / "workers_elsewhere.yml").read_text()
        )
    )
    assert {"FULLSTOP_HOSTS", "WORKERS", "DATABASE_URL", "CELERY_BROKER_URL", "FULLSTOP_OPEN_AT"} <= named
    assert named - used == {"COMPOSE_FILE"}


def test_every_setting_reaches_the_containers_but_those_that_are_not_for_them() -> None:
    documented = set(re.findall(r"^``([A-Z_]+)``", (ROOT / "studio/settings.py").read_text(), re.M))
    assert len(documented) > 5
    assert documented - set(COMPOSE["x-fullstop"]["environment"]) == {"FULLSTOP_DEBUG"}
    assert set(COMPOSE["x-fullstop"]["environment"]) - documented == set()


@pytest.mark.parametrize("name", OURS)
def test_a_changed_setting_reaches_every_process_of_ours(name: str) -> None:
    assert SERVICES[name]["environment"] == COMPOSE["x-fullstop"]["environment"]


def test_one_image_is_built_once_and_never_fetched() -> None:
    assert [name for name, service in SERVICES.items() if "build" in service] == ["schema"]
    assert {(SERVICES[name]["image"], SERVICES[name]["pull_policy"]) for name in OURS} == {
        ("fullstop:local", "never")
    }


def test_the_image_installs_the_lock_with_its_hashes_and_copies_what_is_there() -> None:
    assert any("pip install" in line and "--require-hashes" in line for line in IMAGE)
    assert copied()
    assert [name for name in copied() if not (ROOT / name).exists()] == []


def test_what_is_copied_is_all_that_the_service_needs(tmp_path: Path) -> None:
    for name in copied():
        source, target = ROOT / name, tmp_path / name
        if source.is_dir():
            shutil.copytree(source, target, ignore=shutil.ignore_patterns("__pycache__"))
        elif "/" not in name:
            shutil.copy(source, target)
    given = {
        "DATABASE_URL": "postgresql://nobody@127.0.0.1:1/nothing",
        "CELERY_BROKER_URL": "amqp://nobody@127.0.0.1:1//",
        "FULLSTOP_SECRET_KEY": "x" * 50,
        "FULLSTOP_NO_VENV": "1",
        "FULLSTOP_DATA": str(tmp_path / "data"),
        "PATH": os.environ["PATH"],
    }
    for program in (
        ["manage.py", "check"],
        ["-c", "from studio.celery import app; app.loader.import_default_modules()"],
    ):
        ran = subprocess.run(
            [sys.executable, *program], cwd=tmp_path, env=given, capture_output=True, text=True
        )
        assert ran.returncode == 0, ran.stderr


def test_the_program_of_the_schema_is_there() -> None:
    python, option, module, *rest = SERVICES["schema"]["command"]
    assert (python, option, rest) == ("python", "-m", ["--no-demo"])
    assert importlib.util.find_spec(module) is not None


def test_the_web_server_takes_its_options() -> None:
    program, *arguments = filled("web")
    assert program == "gunicorn"
    taken = Config().parser().parse_args(arguments)
    assert (taken.workers, taken.threads) == (4, 4)
    assert callable(import_app(taken.args[0]))


@pytest.mark.parametrize(("name", "program"), [("worker", worker), ("scheduler", beat)])
def test_workers_and_scheduler_take_their_options(name: str, program: Any) -> None:
    celery, app, module, word, *options = filled(name)
    assert (celery, app, module, word) == ("celery", "-A", "studio", program.name)
    known = {name for parameter in program.params for name in parameter.opts}
    assert options
    assert [option for option in options if option.split("=")[0] not in known] == []


@pytest.mark.parametrize("hosts", ["localhost", "studio.example,localhost", ".studio.example", "*"])
def test_the_web_server_is_asked_under_a_name_that_it_answers_to(
    hosts: str, monkeypatch: pytest.MonkeyPatch, settings: Any
) -> None:
    asked: list[urllib.request.Request] = []
    monkeypatch.setattr(urllib.request, "urlopen", lambda request, timeout: asked.append(request))
    monkeypatch.setenv("FULLSTOP_HOSTS", hosts)
    exec(SERVICES["web"]["healthcheck"]["test"][-1], {})
    assert asked[0].full_url == "http://127.0.0.1:8000/healthz"
    settings.ALLOWED_HOSTS = hosts.split(",")
    assert RequestFactory().get("/healthz", headers={"host": asked[0].get_header("Host")}).get_host()


@pytest.mark.parametrize(
    "files", [[], ["-f", "docker-compose.yml", "-f", "studio/environment/workers_elsewhere.yml"]]
)
def test_docker_accepts_it(files: list[str]) -> None:
    docker = shutil.which("docker")
    if docker is None or subprocess.run([docker, "compose", "version"], capture_output=True).returncode:
        pytest.skip("docker compose is not installed")
    given = dict.fromkeys((*SECRETS, "FULLSTOP_OPEN_AT"), "10.8.0.1")
    ran = subprocess.run(
        [docker, "compose", *files, "config", "--quiet"], cwd=ROOT, env=given, capture_output=True, text=True
    )
    assert ran.returncode == 0, ran.stderr


def copied() -> list[str]:
    """What the image copies of the project, as paths in it."""
    return [path for line in IMAGE if line.startswith("COPY ") for path in line.split()[1:-1]]


def filled(name: str) -> list[str]:
    """The command of a service, with the values that its variables have when nobody sets them."""
    return [re.sub(r"\$\{[A-Z_]+:-([^}]*)\}", r"\1", word) for word in SERVICES[name]["command"]]
