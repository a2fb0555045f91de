"""Findings on a page: the worst first, numbers with units, remedies for those who may."""

from __future__ import annotations

from dataclasses import asdict, replace
from typing import Any

import pytest
from django.template.loader import render_to_string

from recipes.checks.findings import Finding
from studio.web.templatetags.findings import amount, by_severity, margin_figure, signed_amount
from tests.studio.web.samples import FINDINGS

MAY_RUN = {"readiness": {"run": "all"}}


def _page(findings: Any = FINDINGS, **context: Any) -> str:
    return render_to_string("web/findings.html", {"findings": findings, **context})


def test_gaps_come_first_and_what_is_in_order_last() -> None:
    shuffled = [FINDINGS[i] for i in (4, 3, 2, 0, 5, 1)]
    assert [group.heading for group in by_severity(shuffled)] == ["2 gaps", "1 tight", "1 unknown", "2 ok"]


def test_a_finding_keeps_its_number_so_that_a_remedy_names_the_right_one() -> None:
    gaps = by_severity([FINDINGS[4], FINDINGS[0]])[0]
    assert gaps.items[0].number == 1


def test_what_only_follows_from_a_gap_stands_after_it_and_is_not_counted() -> None:
    gap = FINDINGS[0]
    follows = replace(gap, sentence="It is dark for want of that.", follows="Key")
    for findings in ([follows, gap], [asdict(follows), asdict(gap)]):
        (group,) = by_severity(findings)
        assert group.heading == "1 gap"
        assert [item.number for item in group.items] == [1, 0]
        assert "It is dark for want of that." in _page(findings)


def test_stored_findings_show_the_same_as_computed_ones() -> None:
    assert _page([asdict(finding) for finding in FINDINGS]) == _page()


@pytest.mark.parametrize(
    ("value", "unit", "shown"),
    [
        (0.00125, "s", "0.00125 s"),
        (12400.0, "lx", "12 400 lx"),
        (0.7, "stops", "+0.7 stops"),
        (-1.26, "stops", "−1.3 stops"),
        (4.0, "kg", "4 kg"),
        (0.0, "kg", "0 kg"),
        (-3.456, "m", "−3.46 m"),
        (float("inf"), "h", "∞ h"),
        (None, "kg", "–"),
    ],
)
def test_a_number_is_shown_at_three_figures_with_its_unit(value: float | None, unit: str, shown: str) -> None:
    assert amount(value, unit).replace("\u00a0", " ").replace("\u202f", " ") == shown


def test_a_margin_is_always_signed() -> None:
    assert (signed_amount(0.08), signed_amount(-2.3), signed_amount(0.0)) == ("+0.08", "−2.3", "0")
    assert margin_figure(-1.234, "stops") == "−1.2"


def test_the_page_says_value_limit_margin_and_spread() -> None:
    page = _page(FINDINGS[:1]).replace("\u00a0", " ")
    for words in (
        "+2.9 stops",
        "+1.0 stops",
        "−1.2",
        "short, ±0.2",
        "1.2 stops too bright",
        "<td>−1.2 stops</td>",
    ):
        assert words in page


def test_an_estimated_figure_looks_different_from_a_measured_one() -> None:
    assert 'class="estimated"' in _page([FINDINGS[2]])
    assert 'class="estimated"' not in _page([FINDINGS[0]])


def test_a_caution_stands_with_the_finding() -> None:
    assert '<p class="caution">A falling head injures people.' in _page([FINDINGS[1]])


def test_what_is_in_order_is_folded_away() -> None:
    page = _page()
    assert page.index("2 in order") < page.index("lies inside the sync window")
    assert page.index('<details class="findings-ok">') < page.index("lies inside the sync window")


def test_a_remedy_the_service_can_apply_is_a_button_for_those_who_may() -> None:
    page = _page([FINDINGS[4], FINDINGS[0]], mend_url="/mend", fingerprint="abc", may=MAY_RUN)
    assert page.count("Do this") == 1
    for hidden in ('name="fingerprint" value="abc"', 'name="finding" value="1"', 'name="remedy" value="0"'):
        assert hidden in page


@pytest.mark.parametrize("context", [{"may": MAY_RUN}, {"mend_url": "/mend", "may": {}}])
def test_a_remedy_is_only_said_where_it_cannot_be_applied(context: dict[str, Any]) -> None:
    page = _page(FINDINGS[:1], **context)
    assert "one stop of ND" in page
    assert "Do this" not in page


def test_nothing_checked_says_so() -> None:
    assert "Nothing has been checked yet." in _page([])


def test_the_words_of_a_finding_are_text_not_markup() -> None:
    page = _page([Finding("x", "gap", "<b>", "<script>alert(1)</script>", caution="<i>", missing="<u>")])
    assert "<script>" not in page
    assert "<i>" not in page
