"""Facts about what falls where when lamps, boards, flags, windows and a room are put together."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recipes.light.bounce import Surface, bounced, lit_surfaces
from recipes.light.face import level_axes
from recipes.light.geometry import direction, facing, position, rectangle, unit
from recipes.light.gloss import Gloss
from recipes.light.interreflection import later_bounces, sphere_light
from recipes.light.lamps import Lamps
from recipes.light.quadrature import even_nodes
from recipes.light.room_patches import RoomPatches
from recipes.light.scene import (
    DIRECT,
    ROOM,
    ROOM_AGAIN,
    Blocker,
    Board,
    RoomBox,
    Scene,
    Scrim,
    glowing_face,
    illuminate,
    light_scene,
    luminance_of,
)
from recipes.light.source import Source
from tests.recipes.light.scenes import AHEAD, UP, a_bulb, a_softbox

HEAD = np.array([0.0, 0.0, 1.55])
TO_CAMERA = facing(0)
ROOM_BOX = RoomBox(6.0, 8.0, 3.0, (2.5, 3.0))
MIDDLE = rectangle([-0.3, 0.4, 1.4], [1, 0.2, 0.1], 1.6, 1.6)


def a_key(label: str = "key", bearing: float = 45, **changes) -> Source:
    stands = position(bearing, 1.8, 2.1)
    return a_softbox(label, at=stands, towards=direction(stands, HEAD), **changes)


def a_board(bearing: float = -90, reflectance: float = 0.85, **changes) -> Board:
    stands = position(bearing, 1.0, 1.4)
    return Board("board", rectangle(stands, direction(stands, HEAD), 1.0, 2.0), reflectance, **changes)


def a_window() -> Source:
    return glowing_face("window", rectangle([2.5, 0, 1.5], [-1, 0, 0], 1.8, 1.4), 2000.0)


def test_flash_and_ambient_are_kept_apart():
    lit = illuminate(Scene((a_key(), a_window())), HEAD, TO_CAMERA)
    assert lit.flash_lxs == pytest.approx(float(a_key().light_at(HEAD, TO_CAMERA)))
    assert lit.ambient_lux == pytest.approx(float(a_window().light_at(HEAD, TO_CAMERA)))
    assert lit.paths == (DIRECT,)


def test_every_path_has_its_name_and_its_amount():
    scene = Scene((a_key(),), (a_board(),), room=ROOM_BOX)
    lit = illuminate(scene, HEAD, TO_CAMERA)
    assert lit.paths == scene.paths == (DIRECT, "board", ROOM, ROOM_AGAIN)
    assert sum(float(lit.of_path("key", path)) for path in lit.paths) == pytest.approx(float(lit.flash_lxs))
    assert lit.of_source("key") == pytest.approx(float(lit.flash_lxs))
    assert min(float(lit.of_path("key", path)) for path in lit.paths) > 0


@pytest.mark.parametrize("ask", [lambda lit: lit.of_source("rim"), lambda lit: lit.of_path("key", "mirror")])
def test_what_is_not_there_is_named_with_what_is(ask):
    with pytest.raises(KeyError, match=r"there is no .*; the .* are"):
        ask(illuminate(Scene((a_key(),)), HEAD, TO_CAMERA))


def test_lights_add():
    both = illuminate(Scene((a_key(), a_key("fill", -30)), (a_board(),)), HEAD, TO_CAMERA)
    each = [
        illuminate(Scene((light,), (a_board(),)), HEAD, TO_CAMERA) for light in (a_key(), a_key("fill", -30))
    ]
    assert both.flash_lxs == pytest.approx(sum(float(lit.flash_lxs) for lit in each), rel=1e-3)


@given(st.floats(0.5, 2.0))
@settings(max_examples=15, deadline=None)
def test_power_scales_every_path_alike(times):
    scene = Scene((a_key(),), (a_board(),), room=ROOM_BOX)
    more = Scene((a_key(flux_lm=5000 * times),), (a_board(),), room=ROOM_BOX)
    np.testing.assert_allclose(
        illuminate(more, HEAD, TO_CAMERA).amounts, times * illuminate(scene, HEAD, TO_CAMERA).amounts
    )


def test_a_mirror_image_gives_the_same():
    from_the_left = illuminate(Scene((a_key(bearing=60),)), HEAD, TO_CAMERA)
    from_the_right = illuminate(Scene((a_key(bearing=-60),)), HEAD, TO_CAMERA)
    assert from_the_left.flash_lxs == pytest.approx(float(from_the_right.flash_lxs))


def test_a_board_brightens_the_side_that_faces_it():
    shadow_side = facing(-90)
    bare = illuminate(Scene((a_key(),)), HEAD, shadow_side)
    filled = illuminate(Scene((a_key(),), (a_board(),)), HEAD, shadow_side)
    assert filled.flash_lxs > 1.5 * bare.flash_lxs


def test_a_black_back_gives_nothing_and_a_white_back_does():
    turned = Board("board", a_board().face.turned_over(), 0.85)
    two_sided = Board("board", a_board().face.turned_over(), 0.0, back_reflectance=0.85)
    black = illuminate(Scene((a_key(),), (turned,)), HEAD, facing(-90))
    white = illuminate(Scene((a_key(),), (two_sided,)), HEAD, facing(-90))
    front = illuminate(Scene((a_key(),), (a_board(),)), HEAD, facing(-90))
    assert black.of_path("key", "board") == 0
    assert white.of_path("key", "board") == pytest.approx(float(front.of_path("key", "board")), rel=1e-6)


def test_a_board_in_the_beam_is_a_flag_too():
    in_the_way = Board("flag", rectangle(position(45, 0.9, 1.8), facing(45), 2, 2), 0.05)
    lit = illuminate(Scene((a_key(),), (in_the_way,)), HEAD, TO_CAMERA)
    assert lit.of_path("key", DIRECT) == pytest.approx(0.0, abs=1e-9)


def test_a_flag_takes_one_light_and_leaves_the_other():
    flag = Blocker(rectangle(position(45, 0.9, 1.8), facing(45), 1, 1), label="flag")
    free = illuminate(Scene((a_key(), a_key("fill", -60))), HEAD, TO_CAMERA)
    flagged = illuminate(Scene((a_key(), a_key("fill", -60)), blockers=(flag,)), HEAD, TO_CAMERA)
    assert flagged.of_source("key") < 0.05 * free.of_source("key")
    assert flagged.of_source("fill") == pytest.approx(float(free.of_source("fill")))


def test_a_dim_lamp_is_flagged_like_a_bright_one():
    flag = Blocker(rectangle([0, 1.0, 1.5], AHEAD, 1, 1))
    lit = illuminate(Scene((a_bulb(at=(0, 2, 1.55), flux_lm=1.0),), blockers=(flag,)), HEAD, TO_CAMERA)
    assert lit.flash_lxs == 0


def test_a_flag_that_shades_everything_from_a_light_leaves_darkness():
    closed = Blocker(rectangle([0, 0.5, 1.5], AHEAD, 20, 20))
    lit = illuminate(Scene((a_bulb(at=(0, 2, 1.5)),), blockers=(closed,)), HEAD, TO_CAMERA)
    assert lit.flash_lxs == 0


def test_a_board_agrees_with_the_bounce_alone():
    lit = illuminate(Scene((a_key(),), (a_board(),)), HEAD, facing(-90))
    alone = bounced(a_key(), a_board().face, 0.85, HEAD, facing(-90))
    assert lit.of_path("key", "board") == pytest.approx(float(alone), rel=1e-9)


def test_a_board_hides_another_board():
    hidden = Board("far", rectangle([-2.0, 0, 1.5], [1, 0, 0], 1, 1), 0.9)
    screen = Board("near", rectangle([-1.0, 0, 1.5], [1, 0, 0], 4, 4), 0.9)
    lit = illuminate(Scene((a_key(),), (hidden, screen)), HEAD, facing(-90))
    assert lit.of_path("key", "far") == pytest.approx(0.0, abs=1e-9)
    assert lit.of_path("key", "near") > 0


def test_a_brighter_room_adds_more():
    dark, grey, white = (
        float(
            illuminate(
                Scene((a_key(),), room=RoomBox(6, 8, 3, (3, 4), rho, rho, (rho,) * 4)), HEAD, TO_CAMERA
            ).flash_lxs
        )
        for rho in (0.0, 0.4, 0.8)
    )
    assert dark == pytest.approx(float(illuminate(Scene((a_key(),)), HEAD, TO_CAMERA).flash_lxs))
    assert dark < grey < white


@pytest.mark.parametrize("rho", [0.2, 0.5, 0.8])
def test_in_a_cube_lit_alike_on_all_sides_later_bounces_are_the_sphere_formula(rho):
    # The mean over the six directions from the middle; exact only in a sphere.
    cube = RoomBox(4, 4, 4, (2, 2), rho, rho, (rho,) * 4)
    lit = illuminate(
        Scene((a_bulb(at=(0, 0, 2.0)),), room=cube), [0, 0, 2.0], np.vstack([np.eye(3), -np.eye(3)])
    )
    later = float(lit.of_path("bulb", ROOM_AGAIN).mean())
    formula = sphere_light(5000.0, cube.area_m2, rho) - 5000.0 / cube.area_m2 * rho
    assert later == pytest.approx(formula, rel=0.1)


def absorbed_lms(scene, things=()):
    """Light on each wall, and on other faces, times the part that it does not send back."""
    walls = [(face, 1.0 - rho) for _, face, rho in scene.room.surfaces]
    absorbed = 0.0
    for face, keeps in [*walls, *things]:
        nodes = even_nodes(face, 12)
        lit = illuminate(scene, nodes.points + 1e-6 * face.normal, face.normal)
        absorbed += keeps * float(lit.flash_lxs @ nodes.areas_m2)
    return absorbed


def test_what_a_room_absorbs_is_what_the_lamps_gave():
    room = RoomBox(5, 6, 3, (2, 3), 0.3, 0.7, (0.5, 0.6, 0.4, 0.2))
    scene = Scene((a_bulb(at=(0.3, 0.2, 1.4)),), room=room)
    assert absorbed_lms(scene) == pytest.approx(5000.0, rel=0.02)


@pytest.mark.parametrize(
    "board",
    [
        pytest.param(Board("b", MIDDLE, 0.85, back_reflectance=0.1), id="white"),
        pytest.param(Board("b", MIDDLE, 0.04, back_reflectance=0.04), id="black"),
        pytest.param(Board("b", MIDDLE, 0.8, gloss=Gloss(0.8, 30.0)), id="silver"),
    ],
)
def test_what_a_room_and_a_board_in_it_absorb_is_what_the_lamps_gave(board):
    room = RoomBox(5, 6, 3, (2, 3), 0.3, 0.7, (0.5, 0.6, 0.4, 0.2))
    scene = Scene((a_softbox(at=(1.5, 0.2, 1.4), towards=(-1, 0.3, 0)),), (board,), room=room)
    black_back = 1.0 if board.back_reflectance == 0 else 1.0 - board.back_reflectance
    things = [(board.face, 1.0 - board.reflectance), (board.face.turned_over(), black_back)]
    assert absorbed_lms(scene, things) == pytest.approx(5000.0, rel=0.03)


def test_what_a_room_and_a_cloth_in_it_absorb_is_what_the_lamps_gave():
    room = RoomBox(5, 6, 3, (2, 3), 0.3, 0.7, (0.5, 0.6, 0.4, 0.2))
    silk = Scrim("silk", MIDDLE, 0.5, direct_share=0.3, reflectance=0.2)
    scene = Scene((a_softbox(at=(1.5, 0.2, 1.4), towards=(-1, 0.3, 0)),), room=room, scrims=(silk,))
    things = [(face, 1.0 - 0.5 - 0.2) for face in (MIDDLE, MIDDLE.turned_over())]
    assert absorbed_lms(scene, things) == pytest.approx(5000.0, rel=0.03)


def facing_boards(reflectance, other_reflectance):
    """Two of them 0.5 m apart; the first is the one that a receiver who looks to bearing -90 between them sees."""
    return (
        Board("a", rectangle([-0.25, 0, 1.5], [1, 0, 0], 3.0, 2.8), reflectance),
        Board("b", rectangle([0.25, 0, 1.5], [-1, 0, 0], 3.0, 2.8), other_reflectance),
    )


@pytest.mark.parametrize(
    ("lamp", "room", "path"),
    [
        pytest.param(a_bulb("key", at=(0, 0, 1.5)), None, "a", id="a bulb between them"),
        pytest.param(a_softbox(at=(0, 4.0, 1.5)), ROOM_BOX, ROOM_AGAIN, id="only the walls light them"),
    ],
)
def test_two_boards_that_face_each_other_throw_light_to_and_fro(lamp, room, path):
    # Between endless ones all of it stays: 1 + rho + rho² + ... = 1 / (1 - rho) times as much. Some gets out.
    to_a_black_one, to_and_fro = (
        float(
            illuminate(
                Scene((lamp,), facing_boards(0.5, other), room=room), [0, 0.3, 1.5], facing(-90)
            ).of_path("key", path)
        )
        for other in (0.0, 0.5)
    )
    assert 1.3 < to_and_fro / to_a_black_one < 2.0


def test_all_that_a_patch_sees_is_patches_and_boards():
    board = Board("b", MIDDLE, 0.85, back_reflectance=0.5)
    patches = RoomPatches(ROOM_BOX.low, ROOM_BOX.high, (Blocker(MIDDLE),))
    seen = patches.with_sides(board.sides).sum(axis=1)
    assert np.abs(seen - 1.0).max() < 0.06
    assert abs(seen.mean() - 1.0) < 0.01


def test_close_to_a_black_flag_the_room_behind_it_is_gone():
    # Of the walls a receiver that looks along a flag sees the half before it.
    lamp = a_softbox(at=(0, 2.0, 1.5), towards=(0, 1, 0))
    flag = Board("flag", rectangle([0, 0, 1.5], [1, 0, 0], 2.6, 2.6), 0.0)
    beside = [0.02, 0.0, 1.5], facing(0)
    free, shaded = (
        float(illuminate(Scene((lamp,), boards, room=ROOM_BOX), *beside).of_path("key", ROOM_AGAIN))
        for boards in ((), (flag,))
    )
    assert shaded / free == pytest.approx(0.5, abs=0.1)


@pytest.mark.parametrize("gloss", [None, Gloss(0.8, 30.0)], ids=["white", "silver"])
@pytest.mark.parametrize("seen", ["front", "back"])
def test_a_board_that_only_walls_light_lights_who_looks_at_it(gloss, seen):
    # A silver one too: in light from all round it sends as much back as a matt one, and its back is matt anyway.
    lamp = a_softbox(at=(0, 2.0, 1.5), towards=(0, 1, 0))
    face, there = rectangle([0, -0.55, 1.5], [0, 1, 0], 2.0, 2.0), ([0.0, -0.5, 1.5], facing(180))
    for reflectance in (0.4, 0.8):
        front = Board("b", face, reflectance, gloss=gloss)
        back = Board("b", face.turned_over(), 0.3, back_reflectance=reflectance, gloss=gloss)
        board = front if seen == "front" else back
        scene = Scene((lamp,), (board,), room=ROOM_BOX)
        on_board = illuminate(scene, [0.0, -0.549, 1.5], facing(0)).flash_lxs
        comes_back = illuminate(scene, *there).flash_lxs
        # It fills nearly all of the receiver's view.
        assert float(comes_back / on_board) == pytest.approx(reflectance, rel=0.1)


def test_light_from_boards_reaches_the_room():
    scene = Scene((a_key(bearing=0),), room=ROOM_BOX)
    walls = lit_surfaces([Surface(face, rho) for _, face, rho in ROOM_BOX.surfaces], Lamps(scene.sources))
    places, normals = HEAD[None, :], TO_CAMERA[None, :]
    board = [Surface(rectangle([0, -1.0, 1.5], [0, 1, 0], 1.0, 1.0), 0.5)]
    without = later_bounces(ROOM_BOX, walls, board).light_at(places, normals)
    with_it = later_bounces(ROOM_BOX, walls, board, np.array([[1000.0]])).light_at(places, normals)
    assert 0.3 < (with_it - without).sum() / sphere_light(1000.0, ROOM_BOX.area_m2, 0.45) < 3.0


@pytest.mark.parametrize("before_the_wall_m", [0.03, 0.0, -0.2])
def test_a_wall_that_is_bounced_off_as_a_board_is_not_counted_twice(before_the_wall_m):
    lamp = a_softbox(at=(0, 0, 1.5), towards=(-1, 0, 0))
    wall = rectangle([-3.5 + before_the_wall_m, 0, 1.5], [1, 0, 0], 3.0, 2.6)
    as_a_board = illuminate(Scene((lamp,), (Board("wall", wall, 0.5),), room=ROOM_BOX), HEAD, facing(-90))
    bare = illuminate(Scene((lamp,), room=ROOM_BOX), HEAD, facing(-90))
    assert abs(np.log2(float(as_a_board.flash_lxs) / float(bare.flash_lxs))) < 0.15


@pytest.mark.parametrize("before_the_wall_m", [0.0, -0.2])
def test_a_whole_wall_given_as_a_board_sends_the_later_bounces_back_once(before_the_wall_m):
    white = RoomBox(6.0, 8.0, 3.0, (2.5, 3.0), 0.5, 0.8, (0.85,) * 4)
    lamp = a_softbox(at=(0, 0, 1.5), towards=(-1, 0, 0))
    wall = Board("wall", rectangle([-3.5 + before_the_wall_m, 0, 1.5], [1, 0, 0], 6.0, 2.8), 0.85)
    as_a_board, bare = (
        illuminate(Scene((lamp,), boards, room=white), HEAD, facing(-90)) for boards in ((wall,), ())
    )
    assert abs(np.log2(float(as_a_board.flash_lxs) / float(bare.flash_lxs))) < 0.12


def test_a_window_pane_reflects_nothing_of_the_wall_it_is_in():
    lamp = a_softbox(at=(0, 0, 1.5), towards=(1, 0, 0))
    pane = glowing_face("window", rectangle([2.5, 0, 1.5], [-1, 0, 0], 3.0, 2.6), 0.0)
    with_it = illuminate(Scene((lamp, pane), room=ROOM_BOX), HEAD, facing(90))
    bare = illuminate(Scene((lamp,), room=ROOM_BOX), HEAD, facing(90))
    missing = float(bare.of_path("key", ROOM) - with_it.of_path("key", ROOM))
    assert missing == pytest.approx(float(bounced(lamp, pane.emitter, 0.5, HEAD, facing(90))), rel=0.1)


def test_the_room_lies_round_the_mark_as_the_camera_sees_it():
    np.testing.assert_allclose(ROOM_BOX.low, [-3.5, -3.0, 0.0])
    np.testing.assert_allclose(ROOM_BOX.high, [2.5, 5.0, 3.0])
    names = [name for name, _, _ in ROOM_BOX.surfaces]
    assert names == ["floor", "ceiling", "left wall", "right wall", "far wall", "near wall"]
    middle = np.array([-0.5, 1.0, 1.5])
    assert all(face.height_over(middle) > 0 for _, face, _ in ROOM_BOX.surfaces)
    assert sum(face.area_m2 for _, face, _ in ROOM_BOX.surfaces) == pytest.approx(ROOM_BOX.area_m2)


def test_mean_reflectance_goes_by_area():
    assert RoomBox(2, 2, 2, (1, 1), 0.0, 0.6, (0.3,) * 4).mean_reflectance == pytest.approx(0.3)


def test_spread_is_the_source_s_on_all_its_paths():
    lit = illuminate(Scene((a_key(spread_stops=0.2),)), HEAD, TO_CAMERA)
    assert lit.spread_stops("flash") == pytest.approx(0.2)
    assert lit.spread_stops("ambient") == 0.0


def test_two_lamps_are_surer_together_and_a_room_makes_it_less_sure():
    two = (a_key(bearing=45, spread_stops=0.2), a_key("fill", -45, spread_stops=0.2))
    bare = illuminate(Scene(two), HEAD, TO_CAMERA)
    in_a_room = illuminate(Scene(two, room=ROOM_BOX), HEAD, TO_CAMERA)
    assert bare.spread_stops("flash") == pytest.approx(0.2 / np.sqrt(2), rel=1e-6)
    dim = replace(bare, amounts=1e-4 * bare.amounts)
    assert dim.spread_stops("flash") == pytest.approx(0.2 / np.sqrt(2), rel=1e-6)
    assert bare.spread_stops("flash") < in_a_room.spread_stops("flash") < 0.5


def test_all_bounces_of_a_room_are_off_together():
    """JCGM 100:2008, 5.2.2, note 1: what hangs on one figure adds as it is, not by its square."""
    lit = illuminate(Scene((a_key(spread_stops=0.0),), room=ROOM_BOX), HEAD, TO_CAMERA)
    by_path = dict(zip(lit.paths, lit.by_path("key") / lit.flash_lxs, strict=True))
    assert min(by_path["room"], by_path["room again"]) > 0.02
    assert lit.spread_stops("flash") == pytest.approx(0.5 * (by_path["room"] + by_path["room again"]))
    assert lit.ways == ("direct", "room")
    assert lit.way_spreads_stops == (0.0, 0.5)
    assert lit.by_way("key") / lit.flash_lxs == pytest.approx([by_path["direct"], 1.0 - by_path["direct"]])


def test_shapes_are_kept():
    places = np.broadcast_to(HEAD, (4, 5, 3))
    lit = illuminate(Scene((a_key(), a_window()), (a_board(),), room=ROOM_BOX), places, TO_CAMERA)
    assert lit.amounts.shape == (2, 4, 4, 5)
    assert lit.flash_lxs.shape == lit.spread_stops("flash").shape == (4, 5)


def test_no_light_at_all_is_darkness():
    lit = illuminate(Scene((), room=ROOM_BOX), HEAD, TO_CAMERA)
    assert [float(lit.flash_lxs), float(lit.ambient_lux), float(lit.spread_stops("flash"))] == [0, 0, 0]


def test_a_matt_surface_looks_as_bright_as_its_light_and_reflectance_say():
    assert luminance_of(0.5, 100 * np.pi) == pytest.approx(50.0)


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        (lambda: Scene((a_key(), a_key())), "the source label 'key' is used twice"),
        (lambda: Scene((a_key(),), (a_board(), a_board())), "the board label 'board' is used twice"),
        (
            lambda: Scene((a_key(),), (Board("room", a_board().face, 0.5),)),
            "the board label 'room' is used twice",
        ),
        (lambda: Scene((a_bulb(at=(9, 0, 1)),), room=ROOM_BOX), r"bulb stands outside the room, at \(9\.00"),
        (
            lambda: illuminate(Scene((), room=ROOM_BOX), [0, 0, 4], UP),
            r"the point \(0\.00, 0\.00, 4\.00\) m lies",
        ),
        (lambda: Board("b", a_board().face, 1.1), "reflectance of b is"),
        (lambda: a_board(back_reflectance=-0.1), "back_reflectance of board"),
        (lambda: a_board(spread_stops=-1), "spread_stops of board"),
        (lambda: RoomBox(6, 8, 3, (7, 3)), "distance from the left wall is 7"),
        (lambda: RoomBox(6, 8, 3, (3, 9)), "distance from the far wall is 9"),
        (lambda: RoomBox(6, 8, 3, (3, 3), walls=(0.5, 0.5, 1.0, 0.5)), "a wall's reflectance is 1"),
        (lambda: RoomBox(0, 8, 3, (0, 3)), "width_m is 0"),
    ],
)
def test_a_scene_that_cannot_be_is_refused(wrong, sentence):
    with pytest.raises(ValueError, match=sentence):
        wrong()


def test_outdoors_no_room_adds_anything():
    lit = light_scene(Scene((a_softbox(at=(0, 0, 0)),)), np.array([[0, 2.0, 0]]))
    added = lit.of_room([[0, 2.0, 0]], -AHEAD)
    assert added.paths == ()
    assert added.amounts.shape == (1, 0, 1)
    assert added.flash_lxs.tolist() == [0.0]


def test_what_is_quick_and_the_lobes_and_the_room_are_all_of_the_light():
    board = Board("b", rectangle([-1.5, 1, 0.5], [1, 0, 0], 1, 1), 0.8, gloss=Gloss(0.5, 15.0))
    room = RoomBox(6, 8, 3, (3, 4))
    lamp = a_softbox(at=(0, 0, 1.5), towards=(-0.5, 1, 0))
    place, towards = np.array([[0.5, 1.5, 1.4], [0.3, 1.0, 1.2]]), unit([-1, -0.5, 0])
    lit = light_scene(Scene((lamp,), (board,), room=room), place)
    parts = [way(place, towards).flash_lxs for way in (lit.straight, lit.of_matt, lit.of_lobes, lit.of_room)]
    assert min(part.min() for part in parts) > 0
    assert sum(parts) == pytest.approx(lit.at(place, towards).flash_lxs)
    assert sum(parts[:3]) == pytest.approx(lit.without_room(place, towards).flash_lxs)
    assert lit.without_room(place, towards).paths == lit.of_lobes(place, towards).paths == (DIRECT, "b")


@pytest.mark.parametrize(("transmittance", "reflectance"), [(0.7, 0.31), (1.0, 0.1)])
def test_a_cloth_that_would_send_out_more_than_it_gets_is_refused(transmittance, reflectance):
    with pytest.raises(ValueError, match="silk would let through and throw back more light than it gets"):
        Scrim("silk", rectangle([0, 1, 0], AHEAD, 1, 1), transmittance, reflectance=reflectance)


def test_what_a_room_adds_is_known_to_half_a_stop():
    # Reflectances guessed by eye, furniture left out: common practice, no source.
    assert RoomBox(6, 8, 3, (3, 4)).spread_stops == 0.5


@pytest.mark.parametrize(
    ("before_m", "flush"),
    [(-0.55, False), (-0.45, True), (0.0, True), (0.04, True), (0.06, False), (1.5, False)],
)
def test_what_hangs_on_a_wall_or_lies_just_behind_it_is_part_of_it(before_m, flush):
    # House rule, no source: up to 5 cm before the wall and half a metre behind it, measured twice.
    room = RoomBox(6, 8, 3, (3, 4))
    for row, (_, wall, _) in enumerate(room.surfaces):
        face = rectangle(wall.centre + before_m * wall.normal, wall.normal, 1.0, 1.0)
        walls = Scene((a_bulb(),), (Board("board", face, 0.5),), room=room).walls
        assert len(walls[row].covered_by) == int(flush)


@pytest.mark.parametrize("middle_m", [0.5, -0.5])
def test_a_board_that_only_touches_a_wall_is_no_part_of_it(middle_m):
    room = RoomBox(6, 8, 3, (3, 4))
    for row, (_, wall, _) in enumerate(room.surfaces):
        stands_out = rectangle(wall.centre + middle_m * wall.normal, level_axes(wall.normal)[0], 1.0, 1.0)
        walls = Scene((a_bulb(),), (Board("board", stands_out, 0.5),), room=room).walls
        assert walls[row].covered_by == ()


def test_what_a_sheet_says_of_cloth_and_boards_is_off_by_so_much():
    # Common practice, no source.
    assert Scrim("silk", rectangle([0, 0, 2], UP, 1, 1), 0.5).spread_stops == 0.2
    assert Board("board", rectangle([0, 0, 2], UP, 1, 1), 0.5).spread_stops == 0.1


def test_a_cloth_sends_out_on_both_sides_and_no_more_than_it_gets():
    face = rectangle([0, 0, 2], UP, 1, 1)
    assert len(Scrim("silk", face, 0.7, reflectance=0.3).sides) == 4
    assert len(Scrim("silk", face, 0.7).sides) == 2
    with pytest.raises(ValueError, match="more light than it gets"):
        Scrim("silk", face, 0.7, reflectance=0.3005)
