"""What phones wrote down with older pages is read as it was meant. The examples are frozen: they are never edited."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from typing import Any

import pytest

from gear.errors import Invalid
from studio.phones.formats import NEWEST, Act, key_of, read_act

FORMAT_1 = """{"format": 1, "id": "0b0e6ad4-6f3c-4c39-9d53-5d64d4a1f3c1", "n": 17, "shoot": 4, "tag": "K-03",
               "act": "out", "ms": 1795600800000}"""
FORMAT_2 = """{"format": 2, "key": "6b1c2f0e-0d7b-4b59-8a0e-2f5cf6ad3d11", "number": 18, "shoot": 4, "act": "missing",
               "mark": "FULLSTOP:K7M2PX", "note": "not in the case", "at": "2026-11-25T09:20:00+01:00"}"""
FORMAT_2_COUNT = """{"format": 2, "key": "6b1c2f0e-0d7b-4b59-8a0e-2f5cf6ad3d12", "number": 19, "shoot": 4,
                     "act": "count-in", "line": 12, "quantity": "8", "at": "2026-11-25T09:21:00+01:00"}"""
FORMAT_3 = """{"format": 3, "key": "c0a1cf3a-95a8-4a7e-8d53-3a4f2f7f0a01", "number": 20, "shoot": 4, "act": "damaged",
               "mark": "K-03", "note": "dome cracked", "at": "2026-11-25T08:30:00.250Z", "person": 2, "listed": true,
               "photo": "data:image/jpeg;base64,/9j/4A=="}"""


def test_format_1_knew_tags_and_milliseconds() -> None:
    assert read_act(json.loads(FORMAT_1)) == Act("out", 4, "K-03", datetime(2026, 11, 25, 10, 0, tzinfo=UTC))
    assert key_of(json.loads(FORMAT_1))[1] == 17


def test_format_2_knew_notes() -> None:
    act = read_act(json.loads(FORMAT_2))
    assert (act.act, act.mark, act.note) == ("missing", "FULLSTOP:K7M2PX", "not in the case")
    assert act.acted_at == datetime(2026, 11, 25, 8, 20, tzinfo=UTC)
    assert (act.made_by, act.listed, act.photo) == (None, False, None)


def test_format_2_knew_counted_things() -> None:
    act = read_act(json.loads(FORMAT_2_COUNT))
    assert (act.act, act.line_id, act.quantity) == ("count-in", 12, "8")


def test_format_3_says_who_was_signed_in_and_carries_a_picture() -> None:
    act = read_act(json.loads(FORMAT_3))
    assert (act.made_by, act.listed, act.photo) == (2, True, b"\xff\xd8\xff\xe0")


def test_the_newest_has_two_before_it() -> None:
    assert json.loads(FORMAT_3)["format"] == NEWEST


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"act": "juggle"}, "act"),
        ({"at": "yesterday"}, "at"),
        ({"at": "2026-11-25T09:20:00"}, "at"),
        ({"mark": "  "}, "names no thing"),
        ({"act": "count-in"}, "names its line"),
        ({"mark": "K\x00"}, "cannot be stored"),
        ({"format": 9}, "formats 1, 2, 3"),
        ({"format": None}, "formats 1, 2, 3"),
        ({"more": 1}, "more"),
    ],
)
def test_what_cannot_be_read_says_where(changed: dict[str, Any], said: str) -> None:
    with pytest.raises(Invalid, match=said):
        read_act(json.loads(FORMAT_3) | changed)


@pytest.mark.parametrize(
    "document", ["", None, [], {}, {"format": 3, "key": "x", "number": 1}, {"number": 0}]
)
def test_an_act_without_key_and_number_is_none(document: Any) -> None:
    with pytest.raises(Invalid):
        key_of(document)
