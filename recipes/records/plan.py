"""Where does everything of a recipe stand, seen from above and to scale?

Pure: a look in, the numbers of a drawing out; ``records/plan.html`` draws them. The camera is at the bottom, as the
photographer sees it: the calculation's +y (from the mark to the camera) points down and +x (bearing 90) to the left.
The room is not part of a recipe; the floor plan of a shoot shows it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from recipes.look import Bounce, Light, Look, Panel, Zone
from recipes.records.plan_tags import Tag, TagPlacer
from recipes.records.words import number

__all__ = ["Board", "Camera", "Lamp", "Plan", "Spot", "draw_plan"]

Point = tuple[float, float]

WIDTH = 420.0
MARGIN_X, MARGIN_Y = 50.0, 40.0
TALLEST = 560.0
LARGEST_METRE = 130.0
BARE_WIDTH_M = 0.2
"""How wide a head without a modifier is drawn."""


@dataclass(frozen=True)
class Lamp:
    """A light. ``turn_deg`` turns a symbol that looks up the page; ``half`` is half the width of its face."""

    name: str
    role: str
    source: str
    at: Point
    turn_deg: float
    half: float
    way: tuple[Point, ...]
    tag: Tag

    @property
    def width(self) -> float:
        return 2 * self.half

    @property
    def points(self) -> str:
        """The way of its light, over a board when it is bounced, as an SVG points list."""
        return " ".join(f"{x:.1f},{y:.1f}" for x, y in self.way)


@dataclass(frozen=True)
class Board:
    """A board, flag, scrim or wall of true width; ``turn_deg`` turns a symbol whose face looks up the page."""

    surface: str
    at: Point
    turn_deg: float
    half: float
    tag: Tag

    @property
    def width(self) -> float:
        return 2 * self.half


@dataclass(frozen=True)
class Spot:
    """A zone that is not at the mark itself."""

    name: str
    at: Point
    tag: Tag


@dataclass(frozen=True)
class Camera:
    at: Point
    tag: Tag


@dataclass(frozen=True)
class Plan:
    """A drawing: its size, what one metre is in it, and everything that stands there."""

    width: float
    height: float
    metre: float
    mark: Point
    camera: Camera
    lamps: tuple[Lamp, ...]
    boards: tuple[Board, ...]
    spots: tuple[Spot, ...]
    description: str


def draw_plan(look: Look) -> Plan:
    """The top view of a look."""
    reach = _reach(look)
    camera = Camera((0.0, look.camera.distance_m), Tag(f"{number(look.camera.focal_length_mm)} mm"))
    in_metres = Plan(
        width=0.0,
        height=0.0,
        metre=1.0,
        mark=(0.0, 0.0),
        camera=camera,
        lamps=tuple(_lamp(light, _aim(light, look)) for light in look.lights),
        boards=(
            *(
                _board(light, light.bounce, _aim(light, look))
                for light in look.lights
                if light.bounce is not None
            ),
            *(_panel(panel) for panel in look.panels),
        ),
        spots=tuple(_spot(zone, reach) for zone in look.zones if zone.distance_m > 0.05),
        description=_description(look),
    )
    return _tagged(_to_scale(in_metres))


def _place(bearing_deg: float, distance_m: float) -> Point:
    """The calculation's frame: (x, y) = distance · (sin b, cos b)."""
    angle = math.radians(bearing_deg)
    return distance_m * math.sin(angle), distance_m * math.cos(angle)


def _aim(light: Light, look: Look) -> Point:
    return next((_place(z.bearing_deg, z.distance_m) for z in look.zones if z.name == light.aim), (0.0, 0.0))


def _lamp(light: Light, aim: Point) -> Lamp:
    at = _place(light.bearing_deg, light.distance_m)
    way: tuple[Point, ...] = (at, aim)
    if light.bounce is not None:
        way = (at, _place(light.bounce.bearing_deg, light.bounce.distance_m), aim)
    width_m = light.modifier.width_m if light.modifier else BARE_WIDTH_M
    return Lamp(
        light.name,
        light.role,
        light.source,
        at,
        _turn(_towards(at, way[1])),
        width_m / 2,
        way,
        Tag(light.name),
    )


def _board(light: Light, bounce: Bounce, aim: Point) -> Board:
    at = _place(bounce.bearing_deg, bounce.distance_m)
    if bounce.turn_deg is not None:
        looks = _place(bounce.turn_deg, 1.0)
    else:
        to_lamp, to_aim = _towards(at, _place(light.bearing_deg, light.distance_m)), _towards(at, aim)
        looks = (to_lamp[0] + to_aim[0], to_lamp[1] + to_aim[1])
        if math.hypot(*looks) < 1e-6:
            looks = to_aim
    return Board(
        bounce.surface, at, _turn(looks), bounce.width_m / 2, Tag(f"{bounce.surface} for {light.name}")
    )


def _panel(panel: Panel) -> Board:
    at = _place(panel.bearing_deg, panel.distance_m)
    looks = _towards(at, (0.0, 0.0)) if panel.turn_deg is None else _place(panel.turn_deg, 1.0)
    return Board(panel.kind, at, _turn(looks), panel.width_m / 2, Tag(panel.name))


def _spot(zone: Zone, reach: float) -> Spot:
    """A zone beyond the drawing is put at its edge and says how far off it is."""
    beyond = zone.distance_m > reach
    at = _place(zone.bearing_deg, min(zone.distance_m, reach))
    return Spot(zone.name, at, Tag(f"{zone.name}, {number(zone.distance_m)} m off" if beyond else zone.name))


def _reach(look: Look) -> float:
    """How far out the drawing goes: half as far again as the farthest thing that people carry there."""
    carried = [look.camera.distance_m, *(light.distance_m for light in look.lights)]
    carried += [panel.distance_m for panel in look.panels]
    carried += [light.bounce.distance_m for light in look.lights if light.bounce is not None]
    return max(1.5 * max(carried), 4.0)


def _towards(start: Point, end: Point) -> Point:
    length = math.dist(start, end)
    if length < 1e-9:
        return 0.0, -1.0
    return (end[0] - start[0]) / length, (end[1] - start[1]) / length


def _turn(looks: Point) -> float:
    """Clockwise turn on the page, from up, of something that looks along (x, y); on the page x runs leftwards."""
    return round(math.degrees(math.atan2(-looks[0], -looks[1])) % 360, 1)


def _description(look: Look) -> str:
    lights = "; ".join(
        f"{light.name} at bearing {number(light.bearing_deg)}°, {number(light.distance_m)} m from the mark"
        for light in look.lights
    )
    panels = "".join(
        f"; {panel.name}, a {panel.kind}, at bearing {number(panel.bearing_deg)}°, {number(panel.distance_m)} m from it"
        for panel in look.panels
    )
    return f"Plan from above: camera {number(look.camera.distance_m)} m from the mark; {lights or 'no lights'}{panels}."


def _to_scale(plan: Plan) -> Plan:
    """Metres to units of the drawing."""
    everything = [*_extent(plan)]
    left, right = min(-x for x, _ in everything), max(-x for x, _ in everything)
    top, bottom = min(y for _, y in everything), max(y for _, y in everything)
    metre = min(
        (WIDTH - 2 * MARGIN_X) / max(right - left, 0.1),
        (TALLEST - 2 * MARGIN_Y) / max(bottom - top, 0.1),
        LARGEST_METRE,
    )
    middle = WIDTH / 2 - metre * (left + right) / 2

    def drawn(at: Point) -> Point:
        return round(middle - metre * at[0], 1), round(MARGIN_Y + metre * (at[1] - top), 1)

    return replace(
        plan,
        width=WIDTH,
        height=round(metre * (bottom - top) + 2 * MARGIN_Y, 1),
        metre=round(metre, 1),
        mark=drawn(plan.mark),
        camera=replace(plan.camera, at=drawn(plan.camera.at)),
        lamps=tuple(
            replace(
                lamp,
                at=drawn(lamp.at),
                half=round(metre * lamp.half, 1),
                way=tuple(drawn(place) for place in lamp.way),
            )
            for lamp in plan.lamps
        ),
        boards=tuple(
            replace(board, at=drawn(board.at), half=round(metre * board.half, 1)) for board in plan.boards
        ),
        spots=tuple(replace(spot, at=drawn(spot.at)) for spot in plan.spots),
    )


def _extent(plan: Plan) -> list[Point]:
    """The places that the drawing must hold; things with a width hold it whichever way they are turned."""
    wide = [(lamp.at, lamp.half) for lamp in plan.lamps] + [(board.at, board.half) for board in plan.boards]
    corners = [(x + dx, y + dy) for (x, y), half in wide for dx in (-half, half) for dy in (-half, half)]
    return [plan.mark, plan.camera.at, *(spot.at for spot in plan.spots), *corners]


def _tagged(plan: Plan) -> Plan:
    tags = TagPlacer(plan.width, plan.height, plan.mark[1])
    symbols = [
        plan.mark,
        plan.camera.at,
        *(lamp.at for lamp in plan.lamps),
        *(spot.at for spot in plan.spots),
    ]
    for at in (*symbols, *(board.at for board in plan.boards)):
        tags.keep_clear(at)
    return replace(
        plan,
        camera=replace(plan.camera, tag=tags.put(plan.camera.tag, plan.camera.at)),
        lamps=tuple(replace(lamp, tag=tags.put(lamp.tag, lamp.at)) for lamp in plan.lamps),
        spots=tuple(replace(spot, tag=tags.put(spot.tag, spot.at)) for spot in plan.spots),
        boards=tuple(replace(board, tag=tags.put(board.tag, board.at)) for board in plan.boards),
    )
