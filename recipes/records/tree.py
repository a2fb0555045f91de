"""How is a recipe document read as a tree in which every part has a name?

Lists of named parts become mappings, so that two versions are compared light by light and not place by place; fields
that exclude each other (the forms of an ambient reading, the two kinds of lift) become one value, so that a merge never
mixes them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from recipes.look import READING_FORMS, Look

__all__ = ["LIFT_FORMS", "MISSING", "OneOf", "Path", "Tree", "as_document", "as_tree", "leaves", "pointer"]

Path = tuple[str, ...]
Tree = dict[str, Any]

LIFT_FORMS = ("lift_stops", "alone_stops")


class _Missing:
    def __repr__(self) -> str:
        return "MISSING"


MISSING = _Missing()
"""What a tree holds at a path that it does not have."""


@dataclass(frozen=True)
class OneOf:
    """A value in one of several forms that exclude each other, as one thing."""

    form: str
    value: Any


def as_tree(look: Look) -> Tree:
    """The document with its lists of named parts as mappings in the same order."""
    tree = look.model_dump(mode="json", exclude_none=True)
    tree["zones"] = _by_name(tree["zones"], "name")
    tree["ambient"] = {
        name: _packed(part, READING_FORMS, "value")
        for name, part in _by_name(tree["ambient"], "zone").items()
    }
    tree["lights"] = _by_name(tree["lights"], "name")
    for light in tree["lights"].values():
        light["lifts"] = {
            name: _packed(part, LIFT_FORMS, "value")
            for name, part in _by_name(light["lifts"], "zone").items()
        }
    tree["panels"] = _by_name(tree["panels"], "name")
    tree["extras"] = dict.fromkeys(tree["extras"], True)
    return tree


def as_document(tree: Tree) -> dict[str, Any]:
    """A tree as a document again; whether it is a valid one, `recipes.look.parse_look` says."""
    document = dict(tree)
    document["zones"] = _as_list(tree.get("zones", {}), "name")
    document["ambient"] = [_unpacked(part) for part in _as_list(tree.get("ambient", {}), "zone")]
    document["lights"] = _as_list(tree.get("lights", {}), "name")
    for light in document["lights"]:
        light["lifts"] = [_unpacked(part) for part in _as_list(light.get("lifts", {}), "zone")]
    document["panels"] = _as_list(tree.get("panels", {}), "name")
    document["extras"] = list(tree.get("extras", {}))
    return document


def leaves(value: Any, path: Path = ()) -> Iterator[tuple[Path, Any]]:
    """Every value that is not itself a mapping, with its path."""
    if isinstance(value, dict):
        for key, child in value.items():
            yield from leaves(child, (*path, key))
    else:
        yield path, value


def pointer(path: Path) -> str:
    """A path as one word (JSON Pointer, RFC 6901), also where names hold slashes."""
    return "/".join(part.replace("~", "~0").replace("/", "~1") for part in path)


def _by_name(parts: list[Tree], name: str) -> dict[str, Tree]:
    return {part[name]: {key: value for key, value in part.items() if key != name} for part in parts}


def _as_list(parts: dict[str, Tree], name: str) -> list[Tree]:
    return [{name: key, **part} for key, part in parts.items()]


def _packed(part: Tree, forms: tuple[str, ...], name: str) -> Tree:
    kept = {key: value for key, value in part.items() if key not in forms}
    return {name: next(OneOf(form, part[form]) for form in forms if form in part), **kept}


def _unpacked(part: Tree) -> Tree:
    flat: Tree = {}
    for key, value in part.items():
        flat.update({value.form: value.value} if isinstance(value, OneOf) else {key: value})
    return flat
