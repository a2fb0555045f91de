"""The embedded database: it starts wherever it is put, is shared, outlives any kill, and ends with its last user."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from contextlib import suppress
from pathlib import Path

import pytest

from studio.environment.processes import living_in

from .clients import (
    ask,
    becomes_true,
    client,
    cluster,
    environment,
    first_answer,
    keeper,
    postmaster,
    wait_for_end,
)

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="looks into /proc")


def test_starts_on_a_path_with_spaces(data: Path) -> None:
    assert ask(data / "a folder with spaces", "SELECT current_database()", kind="test-server") == [
        "[('fullstop',)]"
    ]


def test_starts_on_a_path_longer_than_a_socket_address_can_be(data: Path) -> None:
    # A Unix socket's path has 108 bytes on Linux (unix(7), sun_path).
    assert ask(data / ("long " * 30).strip(), "SELECT 1", kind="test-server") == ["[(1,)]"]


def test_starts_on_a_path_with_characters_that_mean_something_to_postgresql(data: Path) -> None:
    # A comma separates hosts for libpq and folders for the server, which takes quotes as well.
    assert ask(data / 'gear, "lights" & 100% café', "SELECT 1", kind="test-server") == ["[(1,)]"]


def test_names_sort_and_fold_alike_on_every_machine(data: Path) -> None:
    how = "SELECT datlocprovider, datlocale, pg_encoding_to_char(encoding) FROM pg_database WHERE datname = 'fullstop'"
    assert ask(data, how, kind="test-server") == ["[('b', 'C.UTF-8', 'UTF8')]"]


def test_the_role_may_create_the_extensions_that_bookings_and_search_need(data: Path) -> None:
    wanted = [f"CREATE EXTENSION {name}" for name in ("btree_gist", "pg_trgm", "unaccent")]
    assert ask(data, *wanted, kind="test-server") == ["done"] * 3


def test_is_not_reachable_over_the_network(data: Path) -> None:
    assert ask(data, "SHOW listen_addresses", "SHOW unix_socket_permissions", kind="test-server") == [
        "[('',)]",
        "[('0700',)]",
    ]


def test_four_first_starts_at_once_share_one_server(data: Path) -> None:
    clients = [client(data, "SELECT pg_postmaster_start_time()") for _ in range(4)]
    started_at = {first_answer(user) for user in clients}
    for user in clients:
        user.communicate(timeout=30)
    assert len(started_at) == 1


def test_ends_when_its_last_user_was_killed(data: Path) -> None:
    first, second = client(data, "SELECT 1"), client(data, "SELECT 1")
    for user in (first, second):
        first_answer(user)
    first.kill()
    first.wait()
    assert not becomes_true(lambda: not living_in(cluster(data)), within_s=1), "the second still uses it"
    second.kill()
    second.wait()
    assert becomes_true(lambda: not living_in(cluster(data)), within_s=10)


def test_a_row_outlives_the_killing_of_everything(data: Path) -> None:
    ask(data, "CREATE TABLE kept (word text)")
    user = client(data, "INSERT INTO kept VALUES ('acknowledged')")
    first_answer(user)
    for pid in (*living_in(cluster(data)), keeper(data), user.pid):
        with suppress(ProcessLookupError):  # the server's helpers end by themselves when they see it killed
            os.kill(pid, signal.SIGKILL)
    user.wait()
    assert ask(data, "SELECT word FROM kept") == ["[('acknowledged',)]"]


def test_a_killed_server_is_started_again_where_its_users_find_it(data: Path) -> None:
    user = client(data, "SELECT 1")
    first_answer(user)
    before = postmaster(data)
    os.kill(before, signal.SIGKILL)
    assert becomes_true(lambda: living_in(cluster(data))[:1] not in ([], [before]), within_s=10)
    assert ask(data, "SELECT 1") == ["[(1,)]"]
    user.communicate(timeout=30)


def test_a_killed_keeper_is_replaced_by_the_next_user(data: Path) -> None:
    user = client(data, "SELECT 1")
    first_answer(user)
    os.kill(keeper(data), signal.SIGKILL)
    assert ask(data, "SELECT 1") == ["[(1,)]"]
    user.communicate(timeout=30)
    assert becomes_true(lambda: not living_in(cluster(data)), within_s=10)


def test_a_stale_pid_file_never_harms_the_program_that_has_its_number_now(data: Path) -> None:
    ask(data, "CREATE TABLE kept ()")
    wait_for_end(data)
    with subprocess.Popen([sys.executable, "-c", "input()"], stdin=subprocess.PIPE) as innocent:
        pid_file = (
            f"{innocent.pid}\n{cluster(data)}\n1700000000\n5432\n/tmp\n\n  5432001    123456\nready   \n"
        )
        (cluster(data) / "postmaster.pid").write_text(pid_file)
        assert ask(data, "SELECT count(*) FROM kept") == ["[(0,)]"]
        assert innocent.poll() is None
        innocent.communicate(b"\n")
        assert innocent.returncode == 0


@pytest.mark.parametrize("left", ["", "12", "not a number\n"])
def test_a_half_written_pid_file_does_not_stop_the_start(data: Path, left: str) -> None:
    ask(data, "SELECT 1")
    wait_for_end(data)
    (cluster(data) / "postmaster.pid").write_text(left)
    assert ask(data, "SELECT 1") == ["[(1,)]"]


def test_what_a_killed_first_start_left_is_cleared_away(data: Path) -> None:
    half_made = data / "server" / "making-123"
    half_made.mkdir(parents=True)
    (half_made / "PG_VERSION").write_text("18\n")
    ask(data, "SELECT 1")
    assert not half_made.exists()


def test_the_test_server_is_another_one_and_trusts_nothing_to_the_disk(data: Path) -> None:
    ask(data, "CREATE TABLE real_data ()")
    assert ask(data, "SELECT to_regclass('real_data')", "SHOW fsync", kind="test-server") == [
        "[(None,)]",
        "[('off',)]",
    ]
    assert ask(data, "SELECT to_regclass('real_data')", "SHOW fsync") == ["[('real_data',)]", "[('on',)]"]


def test_data_of_another_postgresql_are_left_alone_with_a_sentence(data: Path) -> None:
    ask(data, "SELECT 1")
    (cluster(data) / "PG_VERSION").write_text("15\n")
    _, complaint = client(data, "SELECT 1").communicate(timeout=30)
    assert "were made by PostgreSQL 15 and this environment brings PostgreSQL 18" in complaint
    assert (cluster(data) / "PG_VERSION").read_text() == "15\n"


def test_django_uses_it_when_no_database_is_named(data: Path) -> None:
    program = "from studio.environment.postgres import django_database as d; print(d()['NAME'], d()['HOST'])"
    said = subprocess.run(
        [sys.executable, "-c", program], env=environment(data), capture_output=True, text=True, timeout=60
    ).stdout
    assert said.startswith("fullstop /")
