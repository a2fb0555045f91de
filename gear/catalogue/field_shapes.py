"""What shape a field of a typed sheet has, read from its annotation. Pure: no Django."""

from __future__ import annotations

import types
from typing import Any, Union, get_args, get_origin

from pydantic import BaseModel

__all__ = ["bare", "group_of", "is_number", "points_of"]


def bare(annotation: Any) -> Any:
    """The type inside ``Annotated`` and ``| None``."""
    while True:
        if hasattr(annotation, "__metadata__"):
            annotation = annotation.__origin__
        elif get_origin(annotation) in (Union, types.UnionType):
            annotation = next(part for part in get_args(annotation) if part is not type(None))
        else:
            return annotation


def points_of(annotation: Any) -> type[BaseModel] | None:
    """The model of one point where the field is a list of points."""
    inside = bare(annotation)
    point = get_args(inside)[0] if get_origin(inside) is tuple else None
    return point if isinstance(point, type) and issubclass(point, BaseModel) else None


def group_of(annotation: Any) -> type[BaseModel] | None:
    """The model of the group where the field is one group of figures."""
    inside = bare(annotation)
    return inside if isinstance(inside, type) and issubclass(inside, BaseModel) else None


def is_number(inside: Any) -> bool:
    """Whether a bare type is a number; yes and no are not."""
    return inside in (int, float)
