"""What must hold for charging between two shoots."""

from __future__ import annotations

from collections import defaultdict
from itertools import pairwise, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recipes.rig import charging
from recipes.rig.charging import ChargeJob, Charger, plan_charging

JOBS = st.lists(
    st.tuples(st.sampled_from(["rail", "clip"]), st.floats(0.5, 4.0), st.sampled_from([0.0, 0.25, 0.5])),
    max_size=6,
).map(lambda rows: [ChargeJob(f"B-{n}", *row) for n, row in enumerate(rows, 1)])
CHARGERS = st.lists(
    st.tuples(st.sampled_from([("rail",), ("clip",), ("rail", "clip")]), st.integers(1, 2)), max_size=2
).map(lambda rows: [Charger(f"C-{n}", *row) for n, row in enumerate(rows, 1)])


def rails(*hours: float) -> list[ChargeJob]:
    return [ChargeJob(f"B-{number}", "rail", full_h) for number, full_h in enumerate(hours, 1)]


@given(JOBS, CHARGERS, st.floats(0.0, 12.0), st.floats(0.0, 12.0))
def test_a_slot_charges_one_fitting_battery_at_a_time_and_in_time(jobs, chargers, hours_h, attended_h):
    plan = plan_charging(jobs, chargers, hours_h, attended_h)
    fits = {charger.tag: charger.fits for charger in chargers}
    fit = {job.tag: job.fit for job in jobs}
    by_slot = defaultdict(list)
    for slot in plan.slots:
        assert fit[slot.battery] in fits[slot.charger]
        assert slot.ends_h <= hours_h + 1e-6
        assert slot.starts_h <= attended_h + 1e-6
        by_slot[slot.charger, slot.slot].append(slot)
    for row in by_slot.values():
        row.sort(key=lambda slot: slot.starts_h)
        assert all(one.ends_h <= later.starts_h + 1e-9 for one, later in pairwise(row))


@given(JOBS, CHARGERS, st.floats(0.0, 12.0))
def test_every_battery_is_full_or_named_as_short(jobs, chargers, hours_h):
    plan = plan_charging(jobs, chargers, hours_h)
    charged = {slot.battery: slot.ends_h - slot.starts_h for slot in plan.slots}
    missing = {short.battery: short.missing_h for short in plan.short}
    for job in jobs:
        assert charged.get(job.tag, 0.0) + missing.get(job.tag, 0.0) == pytest.approx(job.needed_h, abs=1e-6)


@settings(max_examples=60)
@given(JOBS, CHARGERS, st.floats(0.0, 12.0), st.floats(0.0, 12.0))
def test_a_proven_shortfall_is_one_that_no_sharing_out_avoids(jobs, chargers, hours_h, attended_h):
    plan = plan_charging(jobs, chargers, hours_h, attended_h)
    assert plan.proven
    slots = [charger for charger in chargers for _ in range(charger.slots)]
    possible = False
    for choice in product(range(len(slots)), repeat=len(jobs)):
        rows = defaultdict(list)
        for job, index in zip(jobs, choice, strict=True):
            rows[index].append(job)
        possible = possible or all(
            all(job.fit in slots[index].fits for job in row)
            and sum(job.needed_h for job in row) <= hours_h + 1e-9
            and sum(job.needed_h for job in row) - max(job.needed_h for job in row)
            <= min(attended_h, hours_h) + 1e-9
            for index, row in rows.items()
        )
    assert plan.all_full == possible


def test_longest_first_alone_would_miss_this_plan():
    # 3+3 in one slot, 2+2+2 in the other: longest first by free slot puts 3+2 and 3+2 and strands a 2.
    plan = plan_charging(rails(3, 3, 2, 2, 2), [Charger("C-1", ("rail",), 2)], 6.0)
    assert plan.all_full


def test_a_battery_that_fits_everywhere_leaves_the_slot_that_another_needs():
    # The clip fits two chargers; in the first it would be in the way of the foot, which fits that alone. And the rails
    # find room in no order of length, as above.
    jobs = [*rails(3, 3, 2, 2, 2), ChargeJob("B-6", "clip", 4.0), ChargeJob("B-7", "foot", 3.0)]
    chargers = [Charger("C-1", ("foot", "clip")), Charger("C-2", ("clip",)), Charger("C-3", ("rail",), 2)]
    plan = plan_charging(jobs, chargers, 6.0)
    assert plan.all_full
    assert {slot.battery: slot.charger for slot in plan.slots}["B-6"] == "C-2"


def test_one_battery_too_many_for_many_like_slots_is_proven_at_once():
    # Tried slot by slot, as if they differed, eight are filled in more orders than the search has steps.
    plan = plan_charging(rails(*[3.0] * 9), [Charger("C-1", ("rail",), 8)], 5.0)
    assert (len(plan.short), plan.proven) == (1, True)


def test_each_battery_is_told_its_slot_of_the_charger():
    plan = plan_charging(rails(2, 2), [Charger("C-1", ("rail",), 2)], 3.0)
    assert [(slot.charger, slot.slot) for slot in plan.slots] == [("C-1", 1), ("C-1", 2)]


def test_overnight_nobody_changes_the_batteries():
    two = rails(2, 3)
    one_slot = [Charger("C-1", ("rail",), 1)]
    assert plan_charging(two, one_slot, 14.0).all_full
    assert plan_charging(two, one_slot, 14.0, attended_h=2.0).all_full
    left = plan_charging(two, one_slot, 14.0, attended_h=1.0)
    assert [short.why for short in left.short] == ["nobody is there to change it"]


def test_the_longest_runs_on_through_the_night():
    plan = plan_charging(rails(3, 2), [Charger("C-1", ("rail",), 1)], 14.0, attended_h=2.0)
    assert [(slot.battery, slot.starts_h, slot.ends_h) for slot in plan.slots] == [
        ("B-2", 0.0, 2.0),
        ("B-1", 2.0, 5.0),
    ]


def test_the_last_battery_goes_on_as_people_leave():
    # 3 + 3 in one slot, 2 + 2 + 2 in the other: the last one is put on after four hours.
    assert plan_charging(rails(3, 3, 2, 2, 2), [Charger("C-1", ("rail",), 2)], 8.0, attended_h=4.0).all_full


def test_only_the_longest_of_a_slot_may_run_on_alone():
    # 1 then 5 in one slot, 2 + 2 + 2 in the other; people leave after four hours.
    plan = plan_charging(rails(5, 1, 2, 2, 2), [Charger("C-1", ("rail",), 2)], 6.0, attended_h=4.0)
    assert plan.all_full


def test_what_is_put_on_as_people_leave_charges_until_time_is_up():
    plan = plan_charging(rails(2, 3, 10), [Charger("C-1", ("rail",))], 14.0, attended_h=5.0)
    (short,) = plan.short
    assert (short.battery, short.missing_h, short.why) == ("B-3", 1.0, "time is up before it is full")


def test_when_not_all_can_be_full_the_shortest_go_first():
    plan = plan_charging(rails(3, 1, 1), [Charger("C-1", ("rail",))], 2.0)
    assert [slot.battery for slot in plan.slots] == ["B-2", "B-3"]


def test_when_not_all_can_be_full_the_next_goes_where_a_slot_is_free_first():
    plan = plan_charging(rails(1, 2, 4), [Charger("C-1", ("rail",), 2)], 3.0)
    assert [(slot.battery, slot.slot, slot.starts_h) for slot in plan.slots] == [
        ("B-1", 1, 0.0),
        ("B-2", 2, 0.0),
        ("B-3", 1, 1.0),
    ]


def test_a_battery_that_runs_out_of_time_says_how_full_it_will_be():
    plan = plan_charging(rails(4), [Charger("C-1", ("rail",))], 3.0)
    (short,) = plan.short
    assert (short.missing_h, short.charged) == (pytest.approx(1.0), pytest.approx(0.75))
    assert short.why == "time is up before it is full"


def test_a_battery_that_no_charger_fits():
    half_full = ChargeJob("B-1", "rail", 2.0, charged=0.5)
    (short,) = plan_charging([half_full], [Charger("C-1", ("clip",))], 9.0).short
    assert (short.why, short.charged) == ("no charger here fits rail", 0.5)


def test_two_seconds_short_is_short():
    assert plan_charging(rails(2), [Charger("C-1", ("rail",))], 2.0).all_full
    (short,) = plan_charging(rails(2), [Charger("C-1", ("rail",))], 2.0 - 0.0005).short
    assert short.missing_h == pytest.approx(0.0005)


def test_no_slot_left_in_time():
    plan = plan_charging(rails(2, 2), [Charger("C-1", ("rail",))], 2.0)
    assert [(short.why, short.charged) for short in plan.short] == [("no slot is free in time", 0.0)]


def test_full_batteries_need_no_slot():
    plan = plan_charging([ChargeJob("B-1", "rail", 2.0, charged=1.0)], [], 1.0)
    assert plan.all_full
    assert plan.slots == ()


def test_a_search_that_gives_up_does_not_claim_a_proof(monkeypatch):
    monkeypatch.setattr(charging, "SEARCH_STEPS", 3)
    plan = plan_charging(rails(3, 3, 2, 2, 2), [Charger("C-1", ("rail",), 2)], 6.0)
    assert not plan.all_full
    assert not plan.proven


@pytest.mark.parametrize(
    ("make", "sentence"),
    [
        (lambda: ChargeJob("B-1", "rail", 0.0), "full_h of B-1 is 0"),
        (lambda: ChargeJob("B-1", "rail", 1.0, charged=1.5), "charged of B-1 is 1.5"),
        (lambda: Charger("C-1", ("rail",), 0), "slots of C-1 is 0"),
        (lambda: plan_charging([], [], -1.0), "hours_h is -1"),
    ],
)
def test_figures_that_cannot_be_are_refused_by_name(make, sentence):
    with pytest.raises(ValueError, match=sentence):
        make()
