"""docker-compose.yml: the parts, what they wait for, and what they keep."""

from __future__ import annotations

import shutil
import subprocess
from typing import Any

import pytest
import yaml

from studio.environment.data_folder import project_folder

COMPOSE: dict[str, Any] = yaml.safe_load((project_folder() / "docker-compose.yml").read_text())
SERVICES: dict[str, dict[str, Any]] = COMPOSE["services"]


def test_has_every_part_of_the_service() -> None:
    assert set(SERVICES) == {"database", "broker", "schema", "web", "worker", "scheduler"}


@pytest.mark.parametrize("name", sorted(set(SERVICES) - {"schema"}))
def test_every_part_that_stays_up_says_whether_it_is_well(name: str) -> None:
    assert SERVICES[name]["healthcheck"]["test"][0] in ("CMD", "CMD-SHELL")


@pytest.mark.parametrize("name", ["web", "worker", "scheduler"])
def test_nothing_begins_before_the_schema_is_up_to_date(name: str) -> None:
    assert SERVICES[name]["depends_on"]["schema"] == {"condition": "service_completed_successfully"}


def test_the_schema_waits_for_the_database() -> None:
    assert SERVICES["schema"]["depends_on"]["database"] == {"condition": "service_healthy"}


def test_what_must_outlive_a_container_is_on_a_named_volume() -> None:
    mounted = {mount.split(":")[0] for service in SERVICES.values() for mount in service["volumes"]}
    assert mounted == set(COMPOSE["volumes"])


def test_no_secret_has_a_value_here() -> None:
    text = (project_folder() / "docker-compose.yml").read_text()
    for name in ("POSTGRES_PASSWORD", "RABBITMQ_PASSWORD", "FULLSTOP_SECRET_KEY"):
        assert f"${{{name}:?" in text
        assert f"${{{name}:-" not in text
    assert ".env" in (project_folder() / ".gitignore").read_text().splitlines()


def test_the_image_installs_the_lock_with_its_hashes_and_copies_what_is_there() -> None:
    lines = SERVICES["web"]["build"]["dockerfile_inline"].splitlines()
    assert any("pip install" in line and "--require-hashes" in line for line in lines)
    copied = [line.split()[1] for line in lines if line.startswith("COPY")] + ["pyproject.toml"]
    assert [name for name in copied if not (project_folder() / name).exists()] == []


@pytest.mark.parametrize("name", ["web", "worker", "scheduler", "schema"])
def test_a_changed_setting_reaches_every_process_of_ours(name: str) -> None:
    assert SERVICES[name]["environment"] == COMPOSE["x-fullstop"]["environment"]


def test_docker_accepts_it() -> None:
    docker = shutil.which("docker")
    if docker is None or subprocess.run([docker, "compose", "version"], capture_output=True).returncode:
        pytest.skip("docker compose is not installed")
    secrets = dict.fromkeys(("POSTGRES_PASSWORD", "RABBITMQ_PASSWORD", "FULLSTOP_SECRET_KEY"), "x")
    ran = subprocess.run(
        [docker, "compose", "config", "--quiet"],
        cwd=project_folder(),
        env=secrets,
        capture_output=True,
        text=True,
    )
    assert ran.returncode == 0, ran.stderr
