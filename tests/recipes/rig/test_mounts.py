"""What must hold for mounts and adapters."""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from recipes.rig.mounts import mount_fit, same_mount


@dataclass(frozen=True)
class Ring:
    head_side: str
    modifier_side: str


RING = Ring("bayonet-four", "three-claw")


def test_the_same_mount_fits_directly_and_spares_the_adapter():
    fit = mount_fit("bayonet-four", "Bayonet Four", [RING])
    assert (fit.how, fit.adapter, fit.fits) == ("directly", None, True)


def test_an_adapter_that_is_there_joins_two_mounts():
    fit = mount_fit("bayonet-four", "three-claw", [Ring("bayonet-four", "screw"), RING])
    assert (fit.how, fit.adapter) == ("adapter", RING)


def test_an_adapter_works_one_way_only():
    assert not mount_fit("three-claw", "bayonet-four", [RING]).fits


def test_two_adapters_in_a_row_do_not_count():
    chain = [Ring("bayonet-four", "screw"), Ring("screw", "three-claw")]
    assert mount_fit("bayonet-four", "three-claw", chain).how == "not at all"


@pytest.mark.parametrize(("one", "other"), [("16 mm", "16mm"), ("Bayonet-Four", "bayonet four")])
def test_spelling_does_not_part_what_belongs_together(one, other):
    assert same_mount(one, other)


@pytest.mark.parametrize(("one", "other"), [("16 mm", "28 mm"), ("", ""), ("-", " ")])
def test_different_or_unnamed_mounts_are_not_the_same(one, other):
    assert not same_mount(one, other)
