"""What is a panel of a recipe: a board, flag or scrim that stands in the set by itself?

A board that a light is turned to belongs to that light (`recipes.look_parts.Bounce`); a panel catches whatever reaches
it from every light: a white board that fills the shadow side, a flag that keeps light off a ground, a big scrim between
a head and the subject.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from recipes.look_parts import Bearing, Distance, Height, Name, Part, Size
from recipes.look_problems import Problem, refuse

__all__ = ["Panel"]

Share = Annotated[float, Field(ge=0, le=1)]


class Panel(Part):
    """A board, flag or scrim in its place; an assigned unit's sheet goes before the figures here.

    Position of its middle; ``turn_deg`` is the bearing its face looks to (None: to the mark), ``tilt_up_deg`` how far
    it looks up. A flag is black on both sides. ``transmittance`` is the part of the light that a scrim lets through,
    ``direct_share`` the part of that which goes straight on instead of spreading; both sides of a scrim are alike.
    """

    name: Name
    kind: Literal["board", "flag", "scrim"] = "board"
    bearing_deg: Bearing
    distance_m: Distance
    height_m: Height = 1.5
    width_m: Size
    height_of_panel_m: Size
    turn_deg: Bearing | None = None
    tilt_up_deg: Annotated[float, Field(ge=-90, le=90)] = 0.0
    surface: Literal["white", "silver", "black"] = "white"
    reflectance: Share | None = None
    transmittance: Annotated[float, Field(gt=0, le=1)] | None = None
    direct_share: Share = 0.0

    @model_validator(mode="after")
    def _figures_of_its_kind(self) -> Panel:
        problems = []
        if self.kind == "scrim" and self.transmittance is None:
            problems.append(
                Problem("transmittance", "a scrim lets a part of the light through; give it, 0 to 1")
            )
        if self.kind != "scrim" and self.transmittance is not None:
            problems.append(Problem("transmittance", f"a {self.kind} lets nothing through; leave it out"))
        if self.kind != "scrim" and self.direct_share:
            problems.append(Problem("direct_share", f"a {self.kind} lets nothing through; leave it out"))
        if self.transmittance is not None and (self.reflectance or 0.0) + self.transmittance > 1.0 + 1e-9:
            problems.append(
                Problem(
                    "reflectance",
                    "with the transmittance it is more than all of the light; lower one of the two",
                )
            )
        refuse(problems)
        return self

    @property
    def black(self) -> bool:
        """Whether it only takes light away."""
        return self.kind == "flag" or (self.kind == "board" and self.surface == "black")
