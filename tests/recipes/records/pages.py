"""What the tests of the pages share: the fields of a page as a browser would send them back."""

from __future__ import annotations

from html.parser import HTMLParser
from typing import Any

from django.test import Client


class _Fields(HTMLParser):
    """Names and values of one form's fields; buttons are pressed by the test."""

    def __init__(self) -> None:
        super().__init__()
        self.values: dict[str, str] = {}
        self.select = self.area = ""
        self.inside = False

    def handle_starttag(self, tag: str, pairs: list[tuple[str, str | None]]) -> None:
        at = {key: value or "" for key, value in pairs}
        name = at.get("name", "")
        match tag:
            case "form":
                self.inside = at.get("id") == "step"
            case "input" if self.inside and at.get("type") == "checkbox":
                if "checked" in at:
                    self.values[name] = "on"
            case "input" if self.inside and name:
                self.values[name] = at.get("value", "")
            case "select" if self.inside:
                self.select = name
            case "option" if self.select and ("selected" in at or self.select not in self.values):
                self.values[self.select] = at.get("value", "")
            case "textarea" if self.inside:
                self.area = name
                self.values[name] = ""

    def handle_data(self, data: str) -> None:
        if self.area:
            self.values[self.area] += data

    def handle_endtag(self, tag: str) -> None:
        if tag == "select":
            self.select = ""
        if tag == "textarea":
            self.values[self.area] = self.values[self.area].removeprefix("\n")
            self.area = ""
        if tag == "form":
            self.inside = False


def fields_of(html: str) -> dict[str, str]:
    """What the form of a step holds."""
    parser = _Fields()
    parser.feed(html)
    parser.values.pop("csrfmiddlewaretoken", None)
    return parser.values


def send(client: Client, url: str, do: str = "next", **changes: str) -> Any:
    """Open a step, change some fields as a person would, press a button."""
    fields = fields_of(client.get(url).content.decode())
    unknown = set(changes) - set(fields)
    assert not {name for name in unknown if changes[name] != "on"}, f"no such fields: {unknown}"
    return client.post(url, {**fields, **changes, "do": do})
