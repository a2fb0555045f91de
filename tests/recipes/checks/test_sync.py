"""Facts about shutter and flash. True times: 1/125 is 1/128, 1/160 is 2^(-22/3), 1/200 is 2^(-23/3)."""

from __future__ import annotations

import pytest

from recipes.checks.sync import check
from tests.recipes.checks.setups import (
    a_camera,
    a_look,
    a_plan,
    a_prediction,
    a_setting,
    a_setup,
    a_strobe,
    a_trigger,
    a_unit,
)


def at(shutter: str, **camera):
    return a_look(camera={"shutter": shutter, **camera})


def only(findings):
    (finding,) = findings
    return finding


def test_a_flash_that_ends_before_the_second_curtain_is_held():
    # Window 1/128 s - 3 ms = 4.8125 ms; t0.1 1/400 s = 2.5 ms: worked by hand from window = t - Tc.
    finding = only(check(a_setup(at("1/125")), a_prediction()))
    assert finding.status == "ok"
    assert (finding.value, finding.limit) == (pytest.approx(2.5), pytest.approx(4.8125))


def test_without_a_trigger_or_a_receiver_nothing_is_late():
    finding = only(check(a_setup(at("1/125"), trigger=None), a_prediction()))
    assert finding.value == pytest.approx(2.5)


def test_delay_and_duration_are_told_in_milliseconds():
    slow = a_strobe(durations=[{"setting_stops": 0, "t01_s": 0.0312}], trigger_delay_s=0.0204)
    finding = only(check(a_setup(at("1/8"), heads=(slow,)), a_prediction()))
    assert (finding.workings[1].numbers, finding.workings[1].result) == ("20.40 + 31.20", "51.60 ms")


@pytest.mark.parametrize(("basis", "estimated"), [("maker", False), ("estimated", True)])
def test_durations_that_are_a_guess_make_the_answer_one(basis, estimated):
    guessed = a_strobe(sources={"durations": {"basis": basis}})
    assert only(check(a_setup(heads=(guessed,)), a_prediction())).estimated is estimated


def test_the_marked_sync_time_does_not_hold_a_long_flash_at_full_power():
    # 1/203.19 s - 3 ms = 1.9216 ms against 2.5 ms. Lit: (4.9216 - 2.5) / 3 = 80.7 % of the height.
    finding = only(check(a_setup(at("1/200")), a_prediction()))
    assert finding.status == "gap"
    assert finding.margin == pytest.approx(-0.5784, abs=1e-4)
    assert "19% of the frame's height" in finding.sentence


def test_the_next_longer_mark_of_the_series_is_offered_to_press():
    # 5.5 ms are needed: 1/160 is 6.2 ms, a third of a stop more ambient.
    remedy = only(check(a_setup(at("1/200")), a_prediction())).remedies[0]
    assert (remedy.action, remedy.arguments) == ("change_camera", (("shutter", "1/160"),))
    assert remedy.costs.startswith("ambient +0.3 stops")


def test_a_mark_of_a_whole_second_is_written_as_such():
    slow = a_camera(curtain_travel_s=0.9, sync_speed_s=1.0)
    remedy = only(check(a_setup(at("1/2", series="full"), camera=slow), a_prediction())).remedies[0]
    assert remedy.arguments == (("shutter", "1s"),)


def test_a_travel_longer_than_every_mark_is_a_figure_to_correct_not_a_time_to_set():
    setup = a_setup(at("1/200"), camera=a_camera(curtain_travel_s=100.0))
    assert [remedy.action for remedy in only(check(setup, a_prediction())).remedies] == ["edit_recipe"]


def test_the_same_shutter_holds_the_shorter_flash_of_a_lower_setting():
    # At -2 the sheet says 1/1600 s = 0.625 ms.
    finding = only(check(a_setup(at("1/200")), a_prediction(a_setting(setting_stops=-2.0))))
    assert (finding.status, finding.value) == ("ok", pytest.approx(0.625))


def test_between_two_lines_of_the_table_the_time_runs_straight_in_its_logarithm():
    # Half way between 1/400 and 1/1600: their geometric mean, 1/800 s = 1.25 ms.
    finding = only(check(a_setup(at("1/200")), a_prediction(a_setting(setting_stops=-1.0))))
    assert finding.value == pytest.approx(1.25)


def test_delays_of_trigger_receiver_and_head_count():
    # 0.2 + 0.3 + 0.1 + 2.5 = 3.1 ms in a window of 6.2008 - 3 = 3.2008 ms: a margin of 3 % is tight.
    receiver = a_unit("receiver", radio=["northlight"], delay_s=0.0003)
    setup = a_setup(
        at("1/160"),
        heads=(a_strobe(trigger_delay_s=0.0001),),
        units={"receiver": receiver},
        trigger=a_trigger(delay_s=0.0002),
    )
    finding = only(check(setup, a_prediction()))
    assert (finding.status, finding.value) == ("tight", pytest.approx(3.1))
    assert finding.limit == pytest.approx(3.2008, abs=1e-4)


def test_a_duration_published_as_t05_is_an_estimate_and_its_long_end_makes_it_tight():
    # t0.5 1 ms: t0.1 likely 3 ms, at most 3.32 ms; window 3.2008 ms.
    strobe = a_strobe(durations=[{"setting_stops": 0, "t05_s": 0.001}])
    finding = only(check(a_setup(at("1/160"), heads=(strobe,)), a_prediction()))
    assert (finding.status, finding.estimated, finding.value) == ("tight", True, pytest.approx(3.0))
    assert any(working.name == "t0.1 from t0.5" for working in finding.workings)


def test_a_setting_below_the_table_is_unknown_and_never_extrapolated():
    strobe = a_strobe(durations=[{"setting_stops": 0, "t01_s": 0.001}])
    finding = only(check(a_setup(heads=(strobe,)), a_prediction(a_setting(setting_stops=-3.0))))
    assert (finding.status, finding.missing) == ("unknown", "t0.1 of Plain strobe at -3.0 stops")


def test_without_a_setting_nobody_can_say_how_long_it_burns():
    finding = only(check(a_setup(), a_prediction(a_setting(setting_stops=None))))
    assert (finding.status, finding.missing) == ("unknown", "the setting of Key")


def test_without_a_body_the_shutter_is_unknown():
    finding = only(check(a_setup(camera=None), a_prediction()))
    assert (finding.status, finding.missing) == ("unknown", "a camera body")
    assert [remedy.action for remedy in finding.remedies] == ["assign"]


def test_without_a_strobe_there_is_no_question():
    assert list(check(a_setup(heads=()), a_prediction(a_setting(setting_stops=None)))) == []


def test_equal_lights_share_a_finding_and_different_ones_do_not():
    look = a_look(a_plan("Key"), a_plan("Fill"), a_plan("Rim"))
    setup = a_setup(look)
    lights = tuple(
        type(light)(light.plan, (a_strobe(f"ST-{number}"),)) for number, light in enumerate(setup.lights)
    )
    prediction = a_prediction(a_setting("Key"), a_setting("Fill"), a_setting("Rim", -2.0))
    found = list(check(a_setup(look, lights=lights), prediction))
    assert [finding.about for finding in found] == ["Key, Fill", "Rim"]


def test_a_leaf_shutter_has_no_curtain_but_closes_on_the_tail_of_the_flash():
    # 1/512 s = 1.953 ms against 2.5 ms; lost -log2(1 - exp(-1.953 / 1.0857)) = 0.26 stop: ideal discharge.
    camera = a_camera(shutter="leaf", curtain_travel_s=None, sync_speed_s=1 / 1000)
    finding = only(check(a_setup(at("1/500"), camera=camera), a_prediction()))
    assert finding.status == "gap"
    assert finding.limit == pytest.approx(1.953, abs=1e-3)
    assert "0.3 stops of the flash come too late" in finding.sentence
    assert (finding.workings[0].formula, finding.workings[0].result) == ("t", "1.95 ms")
    assert len(finding.remedies) == 1


def test_a_shutter_that_closes_just_after_the_flash_began_gets_next_to_nothing_of_it():
    # Open for 1/1024 s − 0.9756 ms = 0.96 µs of a flash that falls by e in 1.0857 ms: log2(1.0857 / 0.00096) stops.
    camera = a_camera(shutter="global", curtain_travel_s=None)
    setup = a_setup(at("1/1000"), camera=camera, trigger=a_trigger(delay_s=0.0009756))
    assert "10.1 stops of the flash come too late" in only(check(setup, a_prediction())).sentence


def test_a_leaf_shutter_holds_a_short_flash_at_1_500():
    camera = a_camera(shutter="leaf", curtain_travel_s=None, sync_speed_s=1 / 1000)
    finding = only(check(a_setup(at("1/500"), camera=camera), a_prediction(a_setting(setting_stops=-2.0))))
    assert finding.status == "ok"


def test_a_global_shutter_that_closes_before_the_flash_gets_nothing():
    camera = a_camera(shutter="global", curtain_travel_s=None)
    setup = a_setup(at("1/1000"), camera=camera, trigger=a_trigger(delay_s=0.002))
    assert "closes before the flash" in only(check(setup, a_prediction())).sentence


class TestWithoutTheCurtainTravel:
    """The marked sync time, 5 ms, is the most that the travel can be."""

    camera = a_camera(curtain_travel_s=None)

    def test_a_time_that_holds_even_then_is_fine(self):
        # 1/64 s = 15.6 ms; less 5 ms leaves 10.6 ms.
        finding = only(check(a_setup(at("1/60"), camera=self.camera), a_prediction()))
        assert (finding.status, finding.limit) == ("ok", pytest.approx(10.625))

    def test_the_marked_time_itself_is_unknown(self):
        finding = only(check(a_setup(at("1/200"), camera=self.camera), a_prediction()))
        assert (finding.status, finding.missing) == ("unknown", "the curtain travel of Plain camera")

    def test_a_shorter_time_is_a_gap(self):
        assert only(check(a_setup(at("1/250"), camera=self.camera), a_prediction())).status == "gap"


class TestHighSpeedSync:
    look = at("1/1000", high_speed_sync=True)

    def test_its_loss_is_told(self):
        # log2((3 + 0.9766) / 0.9766) = 2.0257, plus 0.5 of the head: constant power over Tc + t, worked by hand.
        finding = only(check(a_setup(self.look), a_prediction()))
        assert (finding.status, finding.unit, finding.estimated) == ("ok", "stops", False)
        assert finding.value == pytest.approx(2.5257, abs=1e-3)
        assert [(one.formula, one.result) for one in finding.workings] == [
            ("log2( (Tc + t) / t )", "2.03 stops"),
            ("its own loss, by its sheet", "0.50 stops"),
        ]

    def test_without_a_figure_of_the_head_it_is_the_least_and_estimated(self):
        head = a_strobe(high_speed_sync_loss_stops=None)
        finding = only(check(a_setup(self.look, heads=(head,)), a_prediction()))
        assert (finding.estimated, finding.value) == (True, pytest.approx(2.0257, abs=1e-3))
        assert "or more" in finding.sentence
        assert finding.workings[-1].result == "not stated"

    def test_a_head_that_does_not_know_it_is_a_gap(self):
        finding = only(check(a_setup(self.look, heads=(a_strobe(high_speed_sync=False),)), a_prediction()))
        assert finding.status == "gap"
        assert "ST-1 does not do it" in finding.sentence

    def test_a_trigger_that_does_not_know_it_is_a_gap(self):
        finding = only(check(a_setup(self.look, trigger=a_trigger(high_speed_sync=False)), a_prediction()))
        assert finding.status == "gap"
        assert "TR-1 does not do it" in finding.sentence

    def test_a_head_and_a_trigger_that_do_not_know_it_are_both_named(self):
        units = {"heads": (a_strobe(high_speed_sync=False),), "trigger": a_trigger(high_speed_sync=False)}
        finding = only(check(a_setup(self.look, **units), a_prediction()))
        assert finding.sentence.endswith("and ST-1 and TR-1 do not do it.")

    def test_without_a_trigger_it_is_a_gap(self):
        finding = only(check(a_setup(self.look, trigger=None), a_prediction()))
        assert "no trigger is assigned" in finding.sentence

    def test_a_time_within_sync_needs_none_of_it(self):
        finding = only(check(a_setup(at("1/125", high_speed_sync=True)), a_prediction()))
        assert finding.unit == "ms"

    def test_it_is_offered_when_the_plain_flash_does_not_fit_and_all_know_it(self):
        finding = only(check(a_setup(at("1/1000")), a_prediction()))
        assert "Let the recipe use high-speed sync." in [remedy.sentence for remedy in finding.remedies]

    def test_it_is_not_offered_to_a_head_that_does_not_know_it(self):
        setup = a_setup(at("1/1000"), heads=(a_strobe(high_speed_sync=False),))
        assert len(only(check(setup, a_prediction())).remedies) == 1


@pytest.mark.parametrize(
    ("travel_ms", "status"),
    # Window 7.8125 ms less the travel against 2.5 ms; a twentieth of the window is the least that is not tight.
    [(5.15, "ok"), (5.19, "tight"), (5.31, "tight"), (5.32, "gap")],
)
def test_less_than_a_twentieth_of_the_window_to_spare_is_tight(travel_ms, status):
    body = a_camera(curtain_travel_s=travel_ms / 1000)
    finding = only(check(a_setup(at("1/125"), camera=body), a_prediction()))
    assert finding.status == status
    assert ("with hardly any to spare" in finding.sentence) == (status == "tight")
