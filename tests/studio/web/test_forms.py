"""One template for every field, one for everything that is wrong with a form."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.paginator import Paginator
from django.template.loader import render_to_string
from django.test import RequestFactory

from gear.errors import Conflict, FieldProblem, Invalid


class UnitForm(forms.Form):
    tag = forms.CharField(help_text="As it stands on the label.")
    health = forms.FloatField(required=False)
    mount = forms.ChoiceField(choices=[("a", "Four"), ("b", "Five")], widget=forms.RadioSelect)
    on_boom = forms.BooleanField(required=False)
    version = forms.IntegerField(widget=forms.HiddenInput)


def _field(form: forms.Form, name: str) -> str:
    return render_to_string("web/field.html", {"field": form[name]})


def _problems(**context: Any) -> str:
    return render_to_string("web/problems.html", context)


def test_a_field_has_a_label_a_control_and_its_help() -> None:
    html = _field(UnitForm(), "tag")
    assert '<label for="id_tag">Tag</label>' in html
    assert 'aria-describedby="id_tag_helptext"' in html
    assert 'id="id_tag_helptext">As it stands on the label.' in html


def test_a_field_that_may_stay_empty_says_so() -> None:
    assert "(optional)" in _field(UnitForm(), "health")
    assert "(optional)" not in _field(UnitForm(), "tag")


def test_an_error_belongs_to_its_control_for_those_who_cannot_see() -> None:
    html = _field(UnitForm({"tag": ""}), "tag")
    assert 'aria-invalid="true"' in html
    assert 'aria-describedby="id_tag_helptext id_tag_error"' in html
    assert '<ul class="errors" id="id_tag_error"><li>This field is required.</li></ul>' in html


def test_a_choice_among_buttons_is_a_group_with_a_name() -> None:
    html = _field(UnitForm({"mount": "z"}), "mount")
    assert "<fieldset" in html
    assert "<legend>Mount</legend>" in html
    assert 'id="id_mount_error"' in html


def test_a_checkbox_stands_before_its_label() -> None:
    html = _field(UnitForm(), "on_boom")
    assert html.index("<input") < html.index("<label")


def test_a_hidden_field_is_only_its_value() -> None:
    assert "<label" not in _field(UnitForm(), "version")


def test_what_was_typed_is_kept() -> None:
    assert 'value="lots"' in _field(UnitForm({"health": "lots"}), "health")


def test_the_problems_lead_to_their_fields() -> None:
    html = _problems(form=UnitForm({"tag": "", "mount": "a", "version": 1}))
    assert '<a href="#id_tag">Tag</a>: This field is required.' in html
    assert 'role="alert"' in html


def test_a_form_in_order_shows_nothing() -> None:
    assert _problems(form=UnitForm({"tag": "K-03", "mount": "a", "version": 1})).strip() == ""
    assert _problems(form=UnitForm()).strip() == ""


def test_a_refusal_says_its_sentence_and_the_ways_out() -> None:
    html = _problems(refusal=Conflict("K-03 is with Tram depot until 14:00.", ways_out=("Take K-05.",)))
    assert "K-03 is with Tram depot until 14:00." in html
    assert "<li>Take K-05.</li>" in html


def test_a_refusal_with_problems_names_the_fields() -> None:
    refusal = Invalid("The sheet does not add up.", (FieldProblem("energy_ws", "a number above 0"),))
    assert "<b>energy_ws</b>: a number above 0" in _problems(refusal=refusal)


def test_pages_keep_the_filter() -> None:
    page = Paginator(range(120), 50).get_page(2)
    request = RequestFactory().get("/gear/", {"kind": "strobe", "page": "2"})
    html = render_to_string("web/pages.html", {"page": page}, request=request)
    assert "51 to 100 of 120" in html
    assert "?kind=strobe&amp;page=1" in html
    assert "?kind=strobe&amp;page=3" in html


def test_one_page_needs_no_pages() -> None:
    assert render_to_string("web/pages.html", {"page": Paginator(range(3), 50).get_page(1)}).strip() == ""
