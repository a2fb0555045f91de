"""The manager enters and corrects a gear type, as a form or as text."""

import json
from html.parser import HTMLParser

import pytest
from django.urls import reverse

from gear.catalogue.entry import read_entry, read_sheet
from gear.catalogue.models import GearType
from gear.catalogue.services import change_gear_type, create_gear_type
from gear.catalogue.spec_form import SpecForm
from gear.changes import _writers
from gear.errors import Conflict, Invalid, StaleEdit
from gear.specs import KINDS
from tests.builders import STROBE, a_gear_type


class _Form(HTMLParser):
    """What a browser without scripts would send back for the form on a page."""

    def __init__(self, page):
        super().__init__()
        self.values, self._select, self._text = {}, None, None
        self.feed(page)

    def handle_starttag(self, tag, attrs):
        a = dict(attrs)
        if tag == "input" and a.get("type") not in ("checkbox", "radio", "file", "submit") and a.get("name"):
            self.values[a["name"]] = a.get("value") or ""
        elif tag == "input" and "checked" in a:
            self.values.setdefault(a["name"], []).append(a["value"])
        elif tag == "select":
            self._select = a["name"]
            self.values.setdefault(self._select, "")
        elif tag == "option" and "selected" in a:
            self.values[self._select] = a["value"]
        elif tag == "textarea":
            self._text = a["name"]
            self.values[self._text] = ""

    def handle_endtag(self, tag):
        if tag == "textarea":
            self.values[self._text] = self.values[self._text].removeprefix("\n")
            self._text = None

    def handle_data(self, data):
        if self._text:
            self.values[self._text] += data


def typed(answer):
    values = _Form(answer.content.decode()).values
    return {name: value for name, value in values.items() if name != "csrfmiddlewaretoken"}


def entry(**more):
    return read_entry({"slug": "key-500", "name": "Key 500", "kind": "strobe", "spec": STROBE, **more})


MINIMAL = {
    "strobe": {"energy_ws": 400, "supply": "battery", "battery_fit": "rail-48", "mount": "bayonet-four"},
    "continuous": {"flux_lm": 9000, "power_w": 100, "mount": "bayonet-four", "mains": {"peak_va": 120}},
    "modifier": {"shape": "disc", "width_m": 0.6, "efficiency": 0.6, "mount": "bayonet-four"},
    "board": {"width_m": 1, "height_m": 2, "reflectance": 0.9},
    "scrim": {"width_m": 1, "height_m": 2, "transmittance": 0.5},
    "battery": {"fit": "rail-48", "capacity_wh": 90},
    "charger": {"fits": ["rail-48"]},
    "trigger": {"radio": ["northlight"]},
    "receiver": {"radio": ["northlight"]},
    "camera": {
        "sensor_width_mm": 36, "sensor_height_mm": 24, "pixels_wide": 6000, "sync_speed_s": 0.005,
        "lens_mount": "quay",
    },
    "lens": {
        "focal_min_mm": 85, "focal_max_mm": 85, "widest_f_number": 1.8, "closest_focus_m": 0.8, "mount": "quay",
    },
    "meter": {},
    "stand": {"min_height_m": 0.7, "max_height_m": 2.6, "foot_radius_m": 0.5, "max_load_kg": 8},
    "boom": {
        "min_reach_m": 0.5, "max_reach_m": 2, "length_m": 2.5, "max_load_kg": 5, "counterweight_arm_m": 0.5,
    },
    "weight": {"mass_kg": 10},
    "gel": {"mired_shift": -26, "transmittance": 0.7},
    "nd": {"stops": 3},
    "cable": {"length_m": 5},
    "distribution": {"rated_a": 16, "outlets": 4},
    "generator": {"rated_va": 2000},
    "adapter": {"head_side": "bayonet-four", "modifier_side": "ring-three"},
    "case": {},
}  # fmt: skip


def test_a_new_type_is_entered_through_the_form(signed_in):
    client = signed_in()
    address = reverse("catalogue:type-new") + "?kind=strobe"
    form = typed(client.get(address))
    form |= {
        "name": "Key 500", "maker": "Halden Works", "spec-energy_ws": "500", "spec-supply": "battery",
        "spec-battery_fit": "rail-48", "spec-mount": "bayonet-four", "spec-source-energy_ws-basis": "maker",
        "spec-durations-0-setting_stops": "0", "spec-durations-0-t01_s": "1/400",
    }  # fmt: skip
    answer = client.post(address, form)
    assert answer.status_code == 302, answer.content.decode()
    saved = GearType.objects.get(slug="halden-works-key-500")
    assert saved.spec == {
        "kind": "strobe", "energy_ws": 500.0, "supply": "battery", "battery_fit": "rail-48",
        "mount": "bayonet-four", "sources": {"energy_ws": {"basis": "maker"}},
        "durations": [{"setting_stops": 0.0, "t01_s": 0.0025}],
    }  # fmt: skip


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_has_a_form_that_gives_back_the_sheet_it_shows(kind, signed_in):
    spec = {**MINIMAL[kind], "companions": ["case"], "sources": {"*": {"basis": "maker", "note": "sheet"}}}
    gear_type = a_gear_type(kind, read_sheet(kind, spec))
    gear_type.spec = read_sheet(kind, spec)
    gear_type.save()
    client = signed_in()
    address = reverse("catalogue:type-edit", args=[gear_type.slug])
    answer = client.post(address, typed(client.get(address)))
    assert answer.status_code == 302, answer.content.decode()
    gear_type.refresh_from_db()
    assert (gear_type.spec, gear_type.version) == (read_sheet(kind, spec), 1)


def test_a_full_strobe_passes_through_the_form_unchanged(signed_in):
    gear_type = a_gear_type(spec={"sources": {"output": {"basis": "measured", "spread_stops": 0.1}}})
    before = gear_type.spec
    client = signed_in()
    address = reverse("catalogue:type-edit", args=[gear_type.slug])
    client.post(address, typed(client.get(address)))
    gear_type.refresh_from_db()
    assert gear_type.spec == before


def test_a_point_is_taken_away_with_its_box(signed_in):
    gear_type = a_gear_type()
    client = signed_in()
    address = reverse("catalogue:type-edit", args=[gear_type.slug])
    client.post(address, typed(client.get(address)) | {"spec-output-1-remove": "on"})
    gear_type.refresh_from_db()
    assert [point["f_number_iso100"] for point in gear_type.spec["output"]] == [45.0]


def test_more_rows_come_without_saving_and_without_losing_what_was_typed(signed_in):
    gear_type = a_gear_type()
    client = signed_in()
    address = reverse("catalogue:type-edit", args=[gear_type.slug])
    first = typed(client.get(address))
    again = typed(client.post(address, first | {"name": "Being typed", "rows": "output"}))
    assert again["name"] == "Being typed"
    assert int(again["spec-output-count"]) == int(first["spec-output-count"]) + 3
    assert "spec-output-6-f_number_iso100" in again
    gear_type.refresh_from_db()
    assert gear_type.version == 1


def test_a_problem_stands_beside_its_field_and_what_was_typed_stays(signed_in):
    gear_type = a_gear_type()
    client = signed_in()
    address = reverse("catalogue:type-edit", args=[gear_type.slug])
    form = typed(client.get(address)) | {"spec-energy_ws": "-4", "spec-output-1-f_number_iso100": "bright"}
    answer = client.post(address, form)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "energy_ws expects a number above 0, not “-4”" in page
    assert "f_number_iso100 expects a number such as 2.5, not “bright”" in page
    assert typed(answer)["spec-output-1-f_number_iso100"] == "bright"
    gear_type.refresh_from_db()
    assert gear_type.spec["energy_ws"] == 500


def test_the_problem_of_a_row_is_shown_at_that_row_even_when_an_earlier_one_is_empty():
    form = SpecForm("strobe", {
        "spec-output-count": "3", "spec-output-2-f_number_iso100": "bright", "spec-energy_ws": "4",
        "spec-supply": "battery", "spec-battery_fit": "a", "spec-mount": "m",
    })  # fmt: skip
    with pytest.raises(Invalid) as refused:
        read_sheet("strobe", form.spec())
    assert form.show_problems(refused.value.problems) == ()
    assert list(form.errors) == ["output-2-f_number_iso100"]


def test_the_sheet_as_text_is_the_same_edit(signed_in):
    gear_type = a_gear_type()
    client = signed_in()
    address = reverse("catalogue:type-edit", args=[gear_type.slug]) + "?as=text"
    form = typed(client.get(address))
    spec = json.loads(form["spec_text"]) | {"energy_ws": 600}
    assert client.post(address, form | {"spec_text": json.dumps(spec)}).status_code == 302
    gear_type.refresh_from_db()
    assert gear_type.spec["energy_ws"] == 600


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('{"energy_ws": 500,}', "line 1, column 19"),
        ("[]", "expects an object with named fields"),
        ("", "is not readable JSON"),
        ('{"energy_ws": NaN}', "NaN is not a number that JSON knows"),
        ("[" * 100_000, "nested too deeply"),
        ('{"energy_sw": 1}', "did you mean energy_ws?"),
        ('{"kind": "stand"}', "expects strobe"),
        ('{"mount": "a\\u0000b"}', "cannot be stored"),
        ('{"mount": "\\ud800"}', "cannot be stored"),
    ],
)
def test_text_that_is_no_sheet_is_refused_in_words_and_kept(text, said, signed_in):
    gear_type = a_gear_type()
    client = signed_in()
    address = reverse("catalogue:type-edit", args=[gear_type.slug]) + "?as=text"
    answer = client.post(address, typed(client.get(address)) | {"spec_text": text})
    assert answer.status_code == 422
    assert said in answer.content.decode()
    gear_type.refresh_from_db()
    assert gear_type.version == 1


def test_what_was_typed_as_a_form_can_be_carried_on_as_text_and_back(signed_in):
    gear_type = a_gear_type()
    client = signed_in()
    address = reverse("catalogue:type-edit", args=[gear_type.slug])
    as_text = client.post(address, typed(client.get(address)) | {"spec-energy_ws": "750", "turn": "1"})
    assert json.loads(typed(as_text)["spec_text"])["energy_ws"] in (750, "750")
    back = client.post(address, typed(as_text) | {"turn": "1"})
    assert typed(back)["spec-energy_ws"] == "750"


def test_an_edit_of_an_old_state_overwrites_nothing_and_shows_what_differs(signed_in):
    gear_type = a_gear_type(name="Key 500")
    client = signed_in()
    address = reverse("catalogue:type-edit", args=[gear_type.slug])
    mine = typed(client.get(address)) | {"name": "Mine", "spec-energy_ws": "510"}
    client.post(address, typed(client.get(address)) | {"notes": "Theirs"})
    answer = client.post(address, mine)
    page = answer.content.decode()
    assert answer.status_code == 412
    assert "spec.energy_ws" in page
    assert "Theirs" in page
    assert typed(answer)["name"] == "Mine"
    gear_type.refresh_from_db()
    assert (gear_type.name, gear_type.notes) == ("Key 500", "Theirs")
    assert client.post(address, typed(answer)).status_code == 302


@pytest.mark.parametrize("role", ["photographer", "assistant"])
@pytest.mark.parametrize("name", ["type-new", "type-edit"])
def test_only_the_manager_edits_the_catalogue(role, name, signed_in):
    gear_type = a_gear_type()
    address = reverse(f"catalogue:{name}", args=[gear_type.slug] if name == "type-edit" else [])
    client = signed_in(role)
    assert client.get(address).status_code == 403
    assert client.post(address, {"name": "x"}).status_code == 403


def test_a_change_is_announced_after_it_is_saved(db, django_capture_on_commit_callbacks):
    heard = []
    listener = heard.extend
    _writers.append(listener)
    try:
        with django_capture_on_commit_callbacks(execute=True):
            made = create_gear_type(entry(), None)
        assert [(change.topic, change.ids) for change in heard] == [("gear-type", (made.pk,))]
        with django_capture_on_commit_callbacks(execute=True):
            change_gear_type("key-500", entry(), 1, None)
        assert len(heard) == 1, "an edit that changes nothing is no news"
    finally:
        _writers.remove(listener)


def test_a_taken_name_or_address_is_said(db):
    create_gear_type(entry(), None)
    with pytest.raises(Conflict, match="already a gear type"):
        create_gear_type(entry(slug="other"), None)
    with pytest.raises(Conflict, match="belongs to another gear type"):
        create_gear_type(entry(name="Other"), None)


def test_a_kind_stays_what_it_is(db):
    create_gear_type(entry(), None)
    with pytest.raises(Conflict, match="stays one"):
        change_gear_type("key-500", entry(kind="gel", spec=MINIMAL["gel"]), 1, None)


def test_a_stale_version_is_refused_by_the_service(db):
    create_gear_type(entry(), None)
    change_gear_type("key-500", entry(notes="a"), 1, None)
    with pytest.raises(StaleEdit, match="notes is now a, yours is b"):
        change_gear_type("key-500", entry(notes="b"), 1, None)
