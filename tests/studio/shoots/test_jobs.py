"""Facts about which jobs a look asks for. Common practice, no source."""

from __future__ import annotations

from gear.specs import parse_spec
from studio.shoots.fits import distance_from_wish, misfits
from studio.shoots.jobs import Slot, jobs_of
from tests.builders import STROBE, a_look

KEY = {"name": "Key", "role": "key", "bearing_deg": 40, "distance_m": 1.5, "height_m": 2.0}
BOUNCE = {"bearing_deg": -70, "distance_m": 2.6, "width_m": 1.2, "height_of_board_m": 2.0}
MAINS = {**STROBE, "supply": "mains", "battery_fit": None, "mains": {"peak_va": 2200}}
SOFTBOX = {"kind": "modifier", "shape": "rectangle", "width_m": 0.6, "height_m": 0.9, "efficiency": 0.6}
TRIGGER = {"kind": "trigger", "radio": ["northlight"]}
STAND = {"kind": "stand", "min_height_m": 1.0, "max_height_m": 2.6, "foot_radius_m": 0.5, "max_load_kg": 9.0}


def look(**light):
    return a_look(lights=[{**KEY, **light}])


def asked(a_look_, **assigned) -> set[str]:
    sheets = {_slot(name): parse_spec(sheet) for name, sheet in assigned.items()}
    return {job.slot.job for job in jobs_of(a_look_, sheets)}


def _slot(name: str) -> Slot:
    job = name.replace("_", "-")
    return Slot("" if job in ("camera", "lens", "trigger") else "Key", job)


def test_every_look_asks_for_a_camera_and_a_lens() -> None:
    assert {"camera", "lens"} <= asked(a_look(lights=[]))


def test_only_a_strobe_asks_for_a_trigger() -> None:
    assert "trigger" in asked(look())
    assert "trigger" not in asked(look(source="continuous"))


def test_a_light_stands_on_a_stand_unless_it_is_a_practical() -> None:
    assert "stand" in asked(look())
    assert "stand" not in asked(look(role="practical"))


def test_a_bounce_off_a_board_asks_for_the_board_and_its_stand() -> None:
    assert {"board", "board-stand"} <= asked(look(bounce=BOUNCE))
    assert not {"board", "board-stand"} & asked(look(bounce={**BOUNCE, "surface": "wall"}))


FILL = {"name": "Fill", "bearing_deg": 270, "distance_m": 1.0, "width_m": 1.0, "height_of_panel_m": 2.0}
SILK = {**FILL, "name": "Silk", "kind": "scrim", "transmittance": 0.45}


def test_a_board_and_a_scrim_that_stand_by_themselves_are_jobs_with_a_stand_each() -> None:
    jobs = {(job.slot.light, job.slot.job): job for job in jobs_of(a_look(panels=[FILL, SILK]), {})}
    assert jobs["Fill", "panel"].kinds == ("board",)
    assert jobs["Silk", "panel"].kinds == ("scrim",)
    assert jobs["Silk", "panel"].wish == "1 × 2 m, lets 45% through"
    assert jobs["Fill", "panel-stand"].wish == "to 2.5 m"


def test_a_panel_takes_its_own_kind_and_the_nearest_size_goes_first() -> None:
    wanted = a_look(panels=[{**FILL, "surface": "black"}, SILK])
    white = parse_spec({"kind": "board", "width_m": 1.0, "height_m": 2.0, "reflectance": 0.85})
    assert misfits(Slot("Fill", "panel"), white, wanted, {}) == ("is white, the look asks for black",)
    near, far = (
        parse_spec({"kind": "scrim", "width_m": side, "height_m": side, "transmittance": 0.45})
        for side in (1.4, 3.0)
    )
    assert distance_from_wish(Slot("Silk", "panel"), near, wanted) < distance_from_wish(
        Slot("Silk", "panel"), far, wanted
    )
    short = parse_spec({**STAND, "max_height_m": 1.2})
    assert misfits(Slot("Silk", "panel-stand"), short, wanted, {}) == (
        "reaches 1.2 m, the middle of Silk is at 1.5 m",
    )


def test_a_boom_asks_for_its_counterweight() -> None:
    assert {"boom", "weight"} <= asked(look(on_boom=True))


def test_each_head_and_each_gel_is_a_job_of_its_own() -> None:
    gels = [{"mired_shift": 80, "transmittance": 0.7}, {"mired_shift": -60, "transmittance": 0.5}]
    slots = [job.slot for job in jobs_of(look(heads=2, gels=gels), {})]
    assert [s.number for s in slots if s.job == "head"] == [1, 2]
    assert [s.number for s in slots if s.job == "gel"] == [1, 2]


def test_only_a_battery_head_asks_for_a_battery() -> None:
    assert "battery" in asked(look(), head=STROBE)
    assert "battery" not in asked(look(), head=MAINS)
    assert "battery" not in asked(look())


def test_unlike_mounts_ask_for_an_adapter() -> None:
    wanted = look(modifier={"width_m": 0.6, "height_m": 0.9})
    assert "adapter" in asked(wanted, head=STROBE, modifier={**SOFTBOX, "mount": "wedge"})
    assert "adapter" not in asked(wanted, head=STROBE, modifier={**SOFTBOX, "mount": "bayonet-four"})


def test_a_head_that_does_not_hear_the_trigger_asks_for_a_receiver() -> None:
    assert "receiver" in asked(look(), head={**STROBE, "radio": []}, trigger=TRIGGER)
    assert "receiver" not in asked(look(), head=STROBE, trigger=TRIGGER)


def test_an_nd_is_asked_for_when_the_camera_wears_one() -> None:
    camera = {**a_look().camera.model_dump(), "nd_stops": 3.0}
    assert "nd" in asked(a_look(camera=camera))
    assert "nd" not in asked(a_look())


def test_extras_of_a_kind_that_has_a_job_become_one() -> None:
    assert "meter" in asked(a_look(extras=["meter"]))
    assert "meter" not in asked(a_look())


def test_a_battery_that_the_head_does_not_take_says_so() -> None:
    battery = parse_spec({"kind": "battery", "fit": "clip-20", "capacity_wh": 60})
    worn = {Slot("Key", "head"): parse_spec(STROBE)}
    assert misfits(Slot("Key", "battery"), battery, look(), worn) == ("does not fit rail-48",)


def test_a_stand_that_is_too_low_or_too_weak_says_so() -> None:
    worn = {Slot("Key", "head"): parse_spec({**STROBE, "mass_kg": 9.5})}
    said = misfits(Slot("Key", "stand"), parse_spec({**STAND, "max_height_m": 1.8}), look(), worn)
    assert said == (
        "reaches 1.8 m, the look asks for 2.0 m",
        "carries 9 kg, the head weighs 9.5 kg",
    )


def test_a_lens_that_does_not_reach_says_so() -> None:
    lens = {"kind": "lens", "focal_min_mm": 24, "focal_max_mm": 70, "widest_f_number": 2.8}
    sheet = parse_spec({**lens, "closest_focus_m": 0.4, "mount": "tram-48"})
    assert misfits(Slot("", "lens"), sheet, look(), {}) == ("does not reach 85 mm",)


def test_gear_that_fits_says_nothing() -> None:
    worn = {Slot("Key", "head"): parse_spec(STROBE), Slot("", "trigger"): parse_spec(TRIGGER)}
    assert misfits(Slot("Key", "stand"), parse_spec(STAND), look(), worn) == ()


def test_the_modifier_nearest_in_size_is_nearest_to_the_wish() -> None:
    wanted, slot = look(modifier={"width_m": 0.6, "height_m": 0.9}), Slot("Key", "modifier")
    near = parse_spec({**SOFTBOX, "mount": "wedge"})
    far = parse_spec({**SOFTBOX, "mount": "wedge", "width_m": 1.2, "height_m": 1.8})
    assert distance_from_wish(slot, near, wanted) == 0
    assert distance_from_wish(slot, far, wanted) == 1.0


def test_an_octagon_goes_for_a_disc_of_its_area_and_not_for_a_square() -> None:
    slot = Slot("Key", "modifier")
    eight = parse_spec(
        {**SOFTBOX, "mount": "wedge", "shape": "polygon", "corners": 8, "width_m": 1.0, "height_m": None}
    )
    disc = look(modifier={"shape": "disc", "width_m": 1.0})
    # 0.828 m² against 0.785 m², and half of that ratio in doublings.
    assert 0.03 < distance_from_wish(slot, eight, disc) < 0.05
    assert distance_from_wish(slot, eight, look(modifier={"width_m": 1.0})) > 0.5
