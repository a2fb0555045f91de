"""Facts about what leaves the heads of a light: ratios, in stops, to one bare head as it was metered."""

from __future__ import annotations

from math import log2, pi

import pytest

from gear.specs import GelSpec, ScrimSpec
from recipes.checks import heads as module
from recipes.checks.exposure import receptor_of
from recipes.checks.heads import HeadOutputs, Missing, emission_of, face_of, head_output
from recipes.light.apex import MeterProfile
from tests.recipes.stages import a_box, a_light, a_look, a_panel, a_setup, a_strobe, unit

METERED = {"basis": "measured", "spread_stops": 0.1}
SURE = {"basis": "measured", "spread_stops": 0.0}
GUESSED = {"basis": "estimated", "spread_stops": 0.3}


def output(*specs, plan=None, **on_it):
    heads = tuple(unit(spec, f"K-{number}") for number, spec in enumerate(specs or (a_strobe(),)))
    setup = a_setup(a_look(lights=[a_light(**(plan or {}))]), heads=heads, **on_it)
    return head_output(setup.lights[0], MeterProfile())


def stops(found):
    return log2(found.full_flux / output().full_flux)


def a_gel(transmittance, **source):
    sources = {"transmittance": source} if source else {}
    return unit(GelSpec(mired_shift=0, transmittance=transmittance, sources=sources), "G-1")


def a_scrim(transmittance, **source):
    sources = {"transmittance": source} if source else {}
    return unit(ScrimSpec(width_m=1, height_m=1, transmittance=transmittance, sources=sources), "S-1")


@pytest.mark.parametrize(
    ("found", "gives"),
    [
        (lambda: output(a_strobe(), a_strobe()), 1.0),
        (lambda: output(modifier=unit(a_box(efficiency=0.5), "F-1")), -1.0),
        (lambda: output(scrim=a_scrim(0.5)), -1.0),
        (lambda: output(gels=(a_gel(0.5), a_gel(0.25))), -3.0),
        (lambda: output(gels=(a_gel(0.5),), scrim=a_scrim(0.5)), -2.0),
        (lambda: output(plan={"scrim_transmittance": 0.25}), -2.0),
        (lambda: output(plan={"gels": [{"transmittance": 0.5}]}), -1.0),
        (lambda: output(plan={"gels": [{"transmittance": 0.5}]}, gels=(a_gel(0.25),)), -2.0),
        (lambda: output(plan={"scrim_transmittance": 0.5}, scrim=a_scrim(0.25)), -2.0),
    ],
    ids=[
        "two heads", "softbox", "scrim", "two gels", "gel and scrim", "scrim of the recipe", "gel of the recipe",
        "assigned gel before that of the recipe", "assigned scrim before that of the recipe",
    ],
)  # fmt: skip
def test_heads_add_and_what_is_on_them_takes(found, gives):
    assert stops(found()) == pytest.approx(gives)


def test_a_stop_on_the_dial_stays_a_stop_behind_a_scrim():
    strobe = output(scrim=a_scrim(0.5)).strobe
    assert log2(strobe.flux_lms(-3.0) / strobe.flux_lms(0.0)) == pytest.approx(-3.0)


def test_a_reading_with_the_modifier_on_goes_before_its_efficiency():
    with_it = {"setting_stops": 0, "f_number_iso100": 8.0, "modifier": "some-type"}
    bare = {"setting_stops": 0, "f_number_iso100": 16.0}
    box = unit(a_box(efficiency=0.01), "F-1")
    both = output(a_strobe(output=(bare, with_it)), modifier=box)
    alone = output(a_strobe(output=(with_it,)), modifier=box)
    assert both.full_flux == pytest.approx(alone.full_flux)
    # Without one for it the bare head's reading stands, less what the box keeps.
    assert stops(output(a_strobe(output=(bare,)), modifier=box)) == pytest.approx(log2(0.01))


def test_energy_by_efficacy_is_the_last_resort_and_an_estimate():
    # 500 Ws at 35 lm/W are 17 500 lm·s; a box that lets half out leaves 8750.
    unmetered = a_strobe(output=(), efficacy_lm_per_w=35.0)
    bare, boxed = output(unmetered), output(unmetered, modifier=unit(a_box(efficiency=0.5), "F-1"))
    assert (bare.full_flux, boxed.full_flux) == (pytest.approx(17500.0), pytest.approx(8750.0))
    assert bare.estimated
    assert bare.strobe.estimated
    assert bare.spread_stops == pytest.approx(0.5)
    assert boxed.spread_stops == pytest.approx((0.5**2 + 0.1**2) ** 0.5)


def test_a_head_that_nobody_metered_is_missing_its_reading():
    with pytest.raises(
        Missing, match="a meter reading of Some type bare or with what is on it, or its efficacy"
    ):
        output(a_strobe(output=()))


@pytest.mark.parametrize(
    "ends",
    [(0, -3), (-1, -6), (0, -5.9995), (-0.0005, -6)],
    ids=["not to the lowest", "not to full", "not quite to the lowest", "not quite to full"],
)
def test_readings_must_reach_both_ends_of_the_scale(ends):
    points = tuple({"setting_stops": n, "f_number_iso100": 16.0 * 2 ** (n / 2)} for n in ends)
    with pytest.raises(Missing, match="a meter reading at both ends of its scale"):
        output(a_strobe(output=points))


def test_how_far_the_readings_reach_is_told_from_end_to_end():
    points = tuple({"setting_stops": n, "f_number_iso100": 16.0 * 2 ** (n / 2)} for n in (-5, -3, -1))
    with pytest.raises(Missing, match=r"\(it has -5\.0 to -1\.0 of -6\.0 to 0\)"):
        output(a_strobe(output=points))


def test_no_head_and_no_modifier_are_missing():
    setup = a_setup(a_look(lights=[a_light(modifier={"width_m": 1.0})]))
    with pytest.raises(Missing, match="a modifier"):
        head_output(setup.lights[0], MeterProfile())
    with pytest.raises(Missing, match="a head"):
        head_output(a_setup(heads=()).lights[0], MeterProfile())


@pytest.mark.parametrize(
    ("head", "box", "estimated", "spread"),
    [
        (METERED, METERED, False, 0.1414),
        (GUESSED, METERED, True, 0.3162),
        (METERED, GUESSED, True, 0.3162),
    ],
)
@pytest.mark.parametrize("spec", [a_strobe, a_panel])
def test_a_light_is_as_sure_as_its_head_and_its_modifier(spec, head, box, estimated, spread):
    modifier = unit(a_box(sources={"efficiency": box}), "F-1")
    sources = {"output": head, "beam_angle_deg": SURE} if spec is a_strobe else {"flux_lm": head}
    found = output(spec(sources=sources), modifier=modifier)
    assert found.estimated is estimated
    assert found.spread_stops == pytest.approx(spread, abs=1e-4)


@pytest.mark.parametrize(("shape", "spread"), [({"basis": "maker"}, 0.3), ({"spread_stops": 0.15}, 0.15)])
def test_what_leaves_a_head_that_was_read_bare_hangs_on_its_beam_angle(shape, spread):
    # On its axis it does not: what was read there is there.
    head = a_strobe(sources={"output": METERED, "beam_angle_deg": shape})
    box = unit(a_box(sources={"efficiency": SURE}), "F-1")
    board = {"surface": "white", "bearing_deg": 30, "distance_m": 2, "width_m": 2, "height_of_board_m": 2}
    straight = output(head).spread_stops
    assert straight == pytest.approx(output(a_strobe(sources={"output": METERED})).spread_stops)
    for carried in (output(head, modifier=box), output(head, plan={"bounce": board})):
        assert carried.spread_stops == pytest.approx((straight**2 + spread**2) ** 0.5)


def test_through_the_modifier_it_was_read_with_no_beam_angle_matters():
    def found(shape):
        through = ({"f_number_iso100": 8.0, "modifier": "some-type"},)
        head = a_strobe(output=through, sources={"output": METERED, "beam_angle_deg": shape})
        return output(head, modifier=unit(a_box(), "F-1")).spread_stops

    assert found({"basis": "estimated"}) == pytest.approx(found(SURE))


@pytest.mark.parametrize(
    ("plan", "on_it", "spreads"),
    # A gel's tenth and a scrim's fifth: common practice, no source.
    [
        ({"gels": [{"transmittance": 0.5}] * 2}, {}, (0.1, 0.1)),
        ({"gels": [{"transmittance": 0.5}] * 2}, {"gels": (a_gel(0.5),)}, (0.1,)),
        ({}, {"gels": (a_gel(0.5, spread_stops=0.3),)}, (0.3,)),
        ({"scrim_transmittance": 0.5}, {}, (0.2,)),
        ({"scrim_transmittance": 0.5}, {"scrim": a_scrim(0.5, spread_stops=0.05)}, (0.05,)),
        ({}, {"scrim": a_scrim(0.5), "gels": (a_gel(0.5),)}, (0.2, 0.1)),
    ],
)
def test_what_filters_let_through_is_off_too(plan, on_it, spreads):
    straight = output().spread_stops
    expected = (straight**2 + sum(spread**2 for spread in spreads)) ** 0.5
    assert output(plan=plan, **on_it).spread_stops == pytest.approx(expected)


@pytest.mark.parametrize(
    ("basis", "spread"),
    [("measured", 0.1), ("computed", 0.2), ("maker", 0.3), ("estimated", 0.5), ("unstated", 0.5)],
)
def test_how_well_a_figure_is_known_follows_from_where_it_comes_from(basis, spread):
    # Common practice, no source.
    found = output(a_panel(sources={"flux_lm": {"basis": basis}}))
    assert found.spread_stops == pytest.approx(spread)


def test_a_reading_that_names_no_meter_was_taken_with_that_of_the_shoot():
    # A flat receptor with the constant of a dome: what a constant is taken for counts only where nothing is stated.
    meter = MeterProfile(340.0, 12.5, "flat")
    through_box = {"f_number_iso100": 8.0, "distance_m": 0.5, "modifier": "some-type"}
    box = unit(a_box(width_m=2.0, height_m=2.0), "F-1")

    def flux(**named):
        setup = a_setup(a_look(), heads=(unit(a_strobe(output=({**through_box, **named},))),), modifier=box)
        return head_output(setup.lights[0], meter).full_flux

    assert flux() == pytest.approx(flux(c_incident=340.0, receptor="flat"))
    assert flux(c_incident=340.0) != pytest.approx(flux(), rel=0.01)


@pytest.mark.parametrize(("c_incident", "receptor"), [(319.0, "flat"), (320.0, "dome"), (340.0, "dome")])
def test_a_constant_of_320_or_more_is_that_of_a_dome(c_incident, receptor):
    # ISO 2720: C from 320 to 540 for domes.
    assert receptor_of(None, c_incident) == receptor


def test_of_two_heads_the_less_sure_one_counts():
    found = output(a_strobe(), a_strobe(sources={"output": GUESSED}))
    assert found.estimated
    assert found.spread_stops == pytest.approx(0.3)


def test_a_panel_gives_its_flux_less_what_its_modifier_keeps():
    assert output(a_panel(flux_lm=9000)).full_flux == pytest.approx(9000.0)
    assert output(
        a_panel(flux_lm=9000), modifier=unit(a_box(efficiency=0.6), "F-1")
    ).full_flux == pytest.approx(5400.0)


def test_the_face_is_a_disc_or_a_rectangle_of_the_sheets_size():
    disc = a_box(shape="disc", width_m=1.0, height_m=None)
    assert face_of(disc).area_m2 == pytest.approx(pi / 4, rel=1e-6)
    assert face_of(a_box(width_m=0.6, height_m=0.9)).area_m2 == pytest.approx(0.54)


def test_the_beam_is_the_modifiers_or_the_bare_heads():
    assert emission_of(None, a_strobe(beam_angle_deg=60.0)) == emission_of(
        a_box(beam_angle_deg=60.0), a_strobe()
    )
    assert emission_of(a_box(), a_strobe(beam_angle_deg=60.0)) is None


def test_heads_of_one_kind_with_one_modifier_are_reckoned_once_and_any_others_by_themselves(monkeypatch):
    reckoned = []

    def noted(head, light, meter):
        reckoned.append(head.tag)
        return given(head, light, meter)

    given = module._one
    monkeypatch.setattr(module, "_one", noted)
    alike = a_setup(heads=(unit(a_strobe(), "K-01"), unit(a_strobe(), "K-02")), modifier=unit(a_box(), "F-1"))
    boxed = a_setup(heads=(unit(a_strobe(), "K-03"),), modifier=unit(a_box(efficiency=0.25), "F-2"))
    brighter = a_setup(heads=(unit(a_strobe(energy_ws=400), "K-04"),), modifier=unit(a_box(), "F-1"))
    every = HeadOutputs(MeterProfile())
    found = [every.of(setup.lights[0]) for setup in (alike, boxed, brighter)]
    assert reckoned == ["K-01", "K-03", "K-04"]
    assert found == [head_output(setup.lights[0], MeterProfile()) for setup in (alike, boxed, brighter)]
