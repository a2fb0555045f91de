"""Boards, flags and scrims of a recipe as the light meets them: by the assigned unit's sheet, else by the recipe."""

from __future__ import annotations

from typing import Literal

from gear.specs import BoardSpec, ScrimSpec
from recipes.checks.setup import AssignedPanel, Setup, Unit
from recipes.checks.sheet_spread import stated_spread
from recipes.light.geometry import Polygon, facing, position, rectangle
from recipes.light.gloss import Gloss
from recipes.light.scene_parts import BOARD_SPREAD_STOPS, Board
from recipes.light.scrim import SCRIM_SPREAD_STOPS, Scrim
from recipes.light.spread import combined_stops
from recipes.look import Panel

__all__ = ["SURFACE_REFLECTANCE", "gloss_of", "panels_of", "sheet_side", "spread_of_board"]

SURFACE_REFLECTANCE = {"white": 0.85, "silver": 0.75, "black": 0.04, "wall": 0.5, "ceiling": 0.7}
"""Where neither the recipe nor a unit says: common practice, no source."""

SILVER = Gloss(share=0.8, half_angle_deg=15.0)
"""A silver cloth or board whose sheet does not say: common practice, no source."""

SILVER_SPREAD_STOPS = 0.5
"""Near the edge of its lobe a silver board is known no better than this: common practice, no source."""

_FACING_ITSELF_M = 0.05

Surface = Literal["white", "silver", "black", "wall", "ceiling"]


def sheet_side(board: BoardSpec, wished: str) -> tuple[float, str]:
    """The side of a board that a recipe asks for, its front if it has no such side: its reflectance and its surface."""
    if wished != board.surface and wished == board.back_surface:
        back = board.back_reflectance
        return SURFACE_REFLECTANCE[wished] if back is None else back, wished
    return board.reflectance, board.surface


def gloss_of(surface: str, board: BoardSpec | None = None) -> Gloss | None:
    """How a side shines: a silver one about the mirror's direction, every other not at all."""
    if surface != "silver":
        return None
    share = board.gloss_share if board is not None else None
    angle = board.gloss_half_angle_deg if board is not None else None
    return Gloss(SILVER.share if share is None else share, SILVER.half_angle_deg if angle is None else angle)


def spread_of_board(surface: str, board: BoardSpec | None = None) -> float:
    """One standard deviation of what a side sends back, in stops; a silver side's also of where it sends it."""
    own = stated_spread(board.source_of("reflectance"), BOARD_SPREAD_STOPS) if board else BOARD_SPREAD_STOPS
    if surface != "silver":
        return own
    lobe = SILVER_SPREAD_STOPS
    if board is not None and board.gloss_half_angle_deg is not None:
        lobe = stated_spread(board.source_of("gloss_half_angle_deg"), SILVER_SPREAD_STOPS)
    return float(combined_stops(own, lobe))


def panels_of(setup: Setup) -> tuple[tuple[Board, ...], tuple[Scrim, ...]]:
    """All boards and flags that stand by themselves, and all scrims."""
    boards = [_board(panel) for panel in setup.panels]
    scrims = [_scrim(panel) for panel in setup.panels]
    return tuple(one for one in boards if one), tuple(one for one in scrims if one)


def _board(panel: AssignedPanel) -> Board | None:
    """A board or a flag in its place; None for a scrim."""
    plan = panel.plan
    if plan.kind == "scrim":
        return None
    sheet = panel.unit.spec if panel.unit is not None and isinstance(panel.unit.spec, BoardSpec) else None
    wished = "black" if plan.kind == "flag" else plan.surface
    if sheet is not None:
        reflectance, surface = sheet_side(sheet, wished)
    else:
        stated = plan.reflectance
        reflectance, surface = SURFACE_REFLECTANCE[wished] if stated is None else stated, wished
    back = _back_of(sheet, surface) if sheet is not None else reflectance if plan.kind == "flag" else 0.0
    return Board(
        plan.name,
        _face(plan, panel.unit),
        reflectance,
        back_reflectance=back,
        spread_stops=spread_of_board(surface, sheet),
        gloss=gloss_of(surface, sheet),
    )


def _scrim(panel: AssignedPanel) -> Scrim | None:
    """A scrim in its place; None for a board."""
    plan = panel.plan
    if plan.kind != "scrim":
        return None
    unit = panel.unit
    if unit is not None and isinstance(unit.spec, ScrimSpec):
        sheet = unit.spec
        return Scrim(
            plan.name,
            _face(plan, unit),
            sheet.transmittance,
            direct_share=sheet.direct_share,
            reflectance=sheet.reflectance or 0.0,
            spread_stops=stated_spread(sheet.source_of("transmittance"), SCRIM_SPREAD_STOPS),
        )
    assert plan.transmittance is not None  # the document asks for it
    return Scrim(
        plan.name,
        _face(plan, None),
        plan.transmittance,
        direct_share=plan.direct_share,
        reflectance=plan.reflectance or 0.0,
        spread_stops=SCRIM_SPREAD_STOPS,
    )


def _back_of(board: BoardSpec, shown: str) -> float:
    """The reflectance of the side that is turned away; its gloss is left out."""
    if shown != board.surface:
        return board.reflectance
    return board.back_reflectance or 0.0


def _face(plan: Panel, unit: Unit[BoardSpec] | Unit[ScrimSpec] | None) -> Polygon:
    width, height = plan.width_m, plan.height_of_panel_m
    if unit is not None:
        width, height = unit.spec.width_m, unit.spec.height_m
    turn = plan.turn_deg
    if turn is None:
        turn = 0.0 if plan.distance_m < _FACING_ITSELF_M else plan.bearing_deg + 180.0
    centre = position(plan.bearing_deg, plan.distance_m, plan.height_m)
    return rectangle(centre, facing(turn, plan.tilt_up_deg), width, height)
