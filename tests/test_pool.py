"""PUBLISHED: pool dimensions, found back in rendered pixels by hand; SECOND METHOD: rays against `see`; INVARIANT.

Dimensions in quotes: federation facility rules FR 3 (2009-13), a national guideline on swimming lanes, and a rule on
lane marking, as listed in shared/pool.toml.
"""

from dataclasses import replace
from functools import reduce

import cv2
import numpy as np
import pytest
from drawn_swimmer import swimmer
from tolerances import ALGEBRA

from swimsim.ground.projection import project
from swimsim.ground.rays import bend
from swimsim.ground.records import Trace
from swimsim.view import backdrop
from swimsim.view.cameras import VIEWS, free_camera, named_camera
from swimsim.view.colours import THEMES, contrast
from swimsim.view.figure import Shot
from swimsim.view.pool import Pool, float_kinds, lattice, measures, pool_of, rope_sides, side_walls
from swimsim.view.pool_still import cut_of, rays
from swimsim.view.refraction import see

LIGHT = THEMES["light"]
EDGE_PX = (
    0.6  # an edge found between two pixels by half its step: the anti-aliased pixel, and its rounding [px]
)
SHAPE_PX = 1.0  # OpenCV draws a smoothed shape 0.65 px larger on every side; and the edge above [px]
LINE_PX = 1.0  # a line one pixel wide, found at its darkest pixel: half a pixel each way [px]
FLOAT_PX = 1.5  # two middles of an outline, each half a pixel off, and half a pixel of rounding [px]
ZOOM_LEVELS = (
    1.0  # what a drawn frame may differ from its own 8 times larger drawing on average [grey levels]
)
GRAPHICS = 3.0  # WCAG 2.2, 1.4.11
FOCAL = 400 / np.tan(np.radians(30))  # of a lens of 60 degrees in 800 px [px]


def drawn(camera, *, theme=LIGHT, pool=None, shift=0.0, zoom=1, points=None, names=("nose",)):
    """The pool alone."""
    canvas = np.empty((camera.size_px[1] * zoom, camera.size_px[0] * zoom, 3), np.uint8)
    backdrop.paint(canvas, camera, theme, half_width_m=0.18, zoom=zoom)
    points = np.full((1, len(names), 3), np.nan) if points is None else points
    shot = Shot(camera, points, names, np.array([shift]), zoom)
    backdrop.Passing(shot, theme, half_width_m=0.18, pool=pool or Pool()).draw(canvas, 0)
    return canvas


def from_above(x=0.13, height=4.0):
    """Straight down from that height, 800 by 800 px, 60 degrees: a metre on the floor is FOCAL / 6 px."""
    return free_camera((x, 0, height), (x, 0, 0), field_deg=60, size_px=(800, 800))


def at_wall(away=2.0, deep=0.6):
    """Under water, square to the start wall of `Pool(-3, 50)`."""
    return free_camera((-3 + away, 0, -deep), (-3, 0, -deep), field_deg=60, size_px=(800, 800))


def edges(values, level):
    """Where a row of values crosses a level, between pixel centres."""
    above = values > level
    at = np.flatnonzero(above[1:] != above[:-1])
    return at + (level - values[at]) / (values[at + 1] - values[at])


def near(found, expected):
    """Distance of the nearest found place from an expected one."""
    return np.abs(np.asarray(found) - expected).min()


def level_between(one, other):
    return (sum(one) + sum(other)) / 2


def faded(tone, distance_m, theme=LIGHT):
    """A tone behind so much water: contrast falls to 1/e over the haze of shared/pool.toml."""
    share = np.exp(-distance_m / 9.0)
    return [share * t + (1 - share) * w for t, w in zip(tone, theme.water, strict=True)]


# What the published texts say


def test_dimensions_lie_in_the_published_ranges():
    pool = measures()
    assert pool["lane_width"] == float("2.5") and pool["length"] == float("50.0") and pool["lanes"] in (8, 10)
    assert pool["depth"] >= float("2.0"), "at least 2 m for top events"
    assert float("0.2") <= pool["floor_line"]["width"] <= float("0.3")
    assert pool["floor_line"]["short_of_wall"] == float("2.0"), (
        "46 m long in a 50 m pool: 2 m short at both ends"
    )
    assert pool["floor_line"]["cross_length"] == float("1.0")
    assert pool["wall_target"] == {"cross_length": float("0.5"), "cross_depth": float("0.3")}
    assert float("0.05") <= pool["rope"]["float"] <= float("0.15")
    assert (pool["rope"]["end_part"], pool["rope"]["mark"]) == (float("5.0"), float("15.0"))
    left, right = side_walls()
    assert left - right >= 8 * 2.5 and abs(right) % 2.5 < 2.5


def test_floats_change_where_the_rules_say():
    """HAND-COUNTED on a 50 m rope: the last 5 m, a mark at 15 m from both walls and at 25 m, whole metres between."""
    pool = Pool(-20.0, 50.0)
    kinds = {x: int(float_kinds(pool, np.array([x - 20.0]))[0]) for x in np.arange(0, 50.25, 0.25)}
    assert [x for x, kind in kinds.items() if kind == 3] == [15.0, 25.0, 35.0]
    assert [x for x, kind in kinds.items() if kind == 2] == [
        *np.arange(0.25, 5.1, 0.25),
        *np.arange(45, 50, 0.25),
    ]
    assert [x for x, kind in kinds.items() if kind == -1] == [0.0, 50.0]
    plain = [x for x, kind in kinds.items() if kind == 1]
    assert plain == [x for x in np.arange(6.0, 45.0) if x not in (15, 25, 35)]
    endless = float_kinds(Pool(0.5), np.array([0.5, 0.75, 1.5, 400.5]))
    assert endless.tolist() == [1, 0, 1, 1]


def test_mid_hip_is_20_m_from_the_start_wall_at_time_0():
    trace = swimmer(4.0)
    pool = pool_of(trace, 0.0)
    assert pool.walls_x_m == (-20.0, 30.0)
    assert pool_of(trace, 0.7, start_wall_m=12.5).walls_x_m == pytest.approx((-11.8, 38.2))
    assert (
        abs(pool.from_wall(np.array(0.0)) - 20) < ALGEBRA
        and abs(pool.from_wall(np.array(29.0)) - 1) < ALGEBRA
    )


def test_a_trace_that_is_too_long_gets_a_lane_without_walls():
    """30 m to the far wall at 1.45 m/s are 20.7 s for mid-hip; the hand is there about 0.6 s earlier."""
    short, long = swimmer(19.0), swimmer(21.0)
    assert pool_of(short).length_m == 50.0
    assert pool_of(long) == Pool(0.0) and pool_of(long).walls_x_m == ()
    assert np.isinf(Pool(0.0).from_wall(np.zeros(3))).all()
    gone = Trace(np.zeros(1), np.full((1, 1, 3), np.nan), ("nose",), 30)
    assert pool_of(gone).length_m == 50.0


def test_nothing_hides_the_swimmer():
    """The rope between camera and swimmer is cut away."""
    assert rope_sides(named_camera("side_left")) == (-1.25,)
    assert rope_sides(named_camera("side_right")) == (1.25,)
    assert rope_sides(named_camera("above_side")) == (-1.25,)
    for view in ("front", "rear", "below", "overhead", "above_front"):
        assert rope_sides(named_camera(view)) == (-1.25, 1.25)


def test_a_lattice_is_fixed_in_the_pool():
    """HAND-COUNTED: multiples of 0.25 m from -3.1 m around a place that moves."""
    x = lattice(Pool(-3.1), np.array([0.0, 0.3]), step_m=0.25, reach_m=(-0.5, 0.5))
    assert np.abs(x - [[-0.35, -0.1, 0.15, 0.4], [-0.1, 0.15, 0.4, 0.65]]).max() < ALGEBRA


# Found back in the pixels


def test_floor_line_from_above():
    """0.25 m wide and 2 m deep, 4 m below the lens: half of it is 0.125 FOCAL / 6 = 14.43 px from the middle."""
    column = drawn(from_above())[:, 437].sum(-1).astype(float)
    found = edges(column, level_between(faded(LIGHT.tile, 2), faded(LIGHT.lane_line, 2)))
    for sign in (-1, 1):
        assert near(found, 399.5 + sign * 0.125 * FOCAL / 6) < EDGE_PX


def test_tiles_from_above():
    """Joints 0.25 FOCAL / 6 = 28.87 px apart both ways; across the lane they pass with the camera."""
    picture = drawn(from_above()).sum(-1).astype(float)
    along, across = picture[470:590, 420:700].mean(axis=1), picture[470:590, 420:700].mean(axis=0)
    dark = [np.flatnonzero((v[1:-1] < v[:-2]) & (v[1:-1] <= v[2:])) + 1 for v in (along, across)]
    for k in range(3, 7):
        assert near(dark[0] + 470, 399.5 + 0.25 * k * FOCAL / 6) < LINE_PX
    for k in range(-8, -1):  # the picture's right is backward
        assert near(dark[1] + 420, 399.5 - (0.25 * k - 0.13) * FOCAL / 6) < LINE_PX
    moved = drawn(from_above(), shift=0.1).sum(-1)[470:590, 420:700].mean(axis=0)
    dark = np.flatnonzero((moved[1:-1] < moved[:-2]) & (moved[1:-1] <= moved[2:])) + 421
    assert near(dark, 399.5 - (-0.5 - 0.23) * FOCAL / 6) < LINE_PX


def test_lane_rope_from_above():
    """Lane 2.5 m wide; floats 0.10 m thick, 0.25 m apart, at the surface: FOCAL / 4 px to the metre."""
    picture = drawn(from_above()).astype(int)
    for sign in (-1, 1):
        row = 399.5 + sign * 1.25 * FOCAL / 4
        x = 399.5 - (0.25 - 0.13) * FOCAL / 4  # the float 0.25 m from the pool's zero
        column = picture[round(row) - 25 : round(row) + 26, round(x)]
        top, bottom = (
            column[:25].sum(-1).argmin(),
            column[26:].sum(-1).argmin() + 26,
        )  # middles of the outline
        assert abs(bottom - top + 1 - 0.10 * FOCAL / 4) < FLOAT_PX
        assert abs((top + bottom) / 2 - 25 + round(row) - row) < LINE_PX
        assert tuple(column[25]) == LIGHT.rope
        line = (picture[round(row)] == LIGHT.rope).all(axis=-1).astype(int)
        spans = np.diff(np.flatnonzero(np.diff(line) == 1))
        pitch = 0.25 * FOCAL / 4
        assert np.abs(spans / pitch - np.round(spans / pitch)).max() < LINE_PX / pitch
        assert sorted(set(np.round(spans / pitch))) == [1, 2], (
            "the float at each whole metre has another tone"
        )


def test_end_of_the_floor_line():
    """It stops 2.0 m before the wall with a cross line 1.0 m long and as wide as the line."""
    camera = from_above(x=-1.0)
    picture = drawn(camera, pool=Pool(-3.0, 50.0)).sum(-1).astype(float)
    level = level_between(faded(LIGHT.tile, 2), faded(LIGHT.lane_line, 2))
    middle = picture[404]  # beside the dashes of the midline
    stop = 399.5 + 0.0 * FOCAL / 6  # x = -1.0 is under the lens; the picture's right is backward
    assert near(edges(middle[360:440], level) + 360, stop) < SHAPE_PX
    cross = picture[:, round(399.5 - 0.125 * FOCAL / 6)]
    for sign in (-1, 1):
        assert near(edges(cross, level), 399.5 + sign * 0.5 * FOCAL / 6) < SHAPE_PX
    beside = picture[round(399.5 + 0.33 * FOCAL / 6)]
    assert near(edges(beside[350:420], level) + 350, 399.5 - 0.25 * FOCAL / 6) < SHAPE_PX


def test_wall_target():
    """Upright line 0.25 m wide; cross line 0.5 m long, its middle 0.3 m deep; from 2 m, FOCAL / 2 px to the metre."""
    picture = drawn(at_wall(), pool=Pool(-3.0, 50.0)).sum(-1).astype(float)
    level = level_between(faded(LIGHT.tile, 2), faded(LIGHT.lane_line, 2))
    deep = picture[round(399.5 + 0.37 * FOCAL / 2)]
    for sign in (-1, 1):
        assert near(edges(deep, level), 399.5 + sign * 0.125 * FOCAL / 2) < SHAPE_PX
    high = picture[round(399.5 - 0.37 * FOCAL / 2)]  # 0.23 m deep
    for sign in (-1, 1):
        assert near(edges(high, level), 399.5 + sign * 0.25 * FOCAL / 2) < SHAPE_PX
    arm = picture[:, round(399.5 + 0.19 * FOCAL / 2)]
    for depth in (0.3 - 0.125, 0.3 + 0.125):
        assert near(edges(arm, level), 399.5 + (depth - 0.6) * FOCAL / 2) < SHAPE_PX


def test_looking_down_the_floor_looks_raised():
    """A floor 2 m deep looks 2 / 1.333 m deep, so its line looks wider: 0.125 FOCAL / (4 + 1.5004) px."""
    camera = replace(from_above(), refraction="surface")
    column = drawn(camera)[:, 437].sum(-1).astype(float)
    found = edges(column, level_between(faded(LIGHT.tile, 2), faded(LIGHT.lane_line, 2)))
    assert near(found, 399.5 + 0.125 * FOCAL / (4 + 2 / 1.333)) < EDGE_PX


# Rays and points


@pytest.mark.parametrize("distortion", [(0.0,) * 5, (0.05, -0.02, 0.001, 0.002, 0.005)])
@pytest.mark.parametrize(
    ("view", "refraction"),
    [("side_left", "none"), ("front", "flat_port"), ("above_side", "none"), ("above_side", "surface")],
)
def test_rays_lead_to_the_points_that_are_seen_there(view, refraction, distortion):
    """SECOND METHOD: following a pixel's ray into the pool, and asking where the point it meets is seen."""
    camera = replace(named_camera(view, refraction=refraction), distortion=distortion)
    columns, rows = np.linspace(40, 1240, 7), np.linspace(420, 700, 5)
    start, way = rays(camera, (columns, rows))
    start = np.broadcast_to(start, way.shape)
    if refraction == "surface":
        start = start - way * (camera.position_m[2] / way[..., 2:])
        way = bend(way, np.array([0.0, 0.0, -1.0]))
    points = start + 2.7 * way
    pixels = see(camera, points.reshape(1, -1, 3)).reshape(5, 7, 2)
    assert np.abs(pixels - np.stack(np.meshgrid(columns, rows), axis=-1)).max() < 1e-6, (
        "undistorting is iterative"
    )


@pytest.mark.parametrize("stature", [1.5, 1.8, 2.0])
@pytest.mark.parametrize("view", ["front", "rear", "side_left", "side_right"])
def test_a_hand_just_under_water_is_drawn_in_water(view, stature):
    """Wherever hands and feet reach, ahead of or behind the shoulders: 1 cm deep is never above the water's edge."""
    camera = named_camera(view, stature)
    canvas = np.empty((720, 1280, 3), np.uint8)
    backdrop.paint(canvas, camera, LIGHT, half_width_m=0.1 * stature)
    scale = stature / 1.8
    points = np.array(
        [[[x * scale, y * scale, -0.01] for x in (-1.1, 0.0, 0.7, 1.25) for y in (-0.3, 0.02, 0.3)]]
    )
    pixels = project(camera, points)[0].round().astype(int)
    assert all(tuple(canvas[y, x]) != LIGHT.air for x, y in pixels)
    elbow = scale * np.array([[[0.5, 0.33, 0.32], [0.5, -0.33, 0.32]]])  # recovering, beside the shoulder
    assert all(tuple(canvas[y, x]) == LIGHT.air for x, y in project(camera, elbow)[0].round().astype(int))


def test_the_water_line_is_at_the_shoulders():
    camera = named_camera("front")
    picture = np.empty((720, 1280, 3), np.uint8)
    backdrop.paint(picture, camera, LIGHT, half_width_m=0.18)
    row = project(camera, np.array([[[0.45, 0.0, 0.0]]]))[0, 0, 1]
    strong = np.flatnonzero((picture[:, 1200] == LIGHT.surface).all(axis=-1))
    assert abs(strong.mean() - row) < LINE_PX


def test_a_ring_shows_where_an_arm_breaks_the_surface():
    """HAND-COUNTED: a forearm from 0.2 m above to 0.1 m below is at the surface after two thirds, at y = 0.4 m."""
    camera = named_camera("front")
    names = ("left_elbow", "left_wrist")
    arm = np.array([[[0.9, 0.3, 0.2], [0.9, 0.45, -0.1]]])
    with_arm, without = (drawn(camera, points=p, names=names).astype(int) for p in (arm, arm * np.nan))
    ink = np.argwhere(np.abs(with_arm - without).sum(-1) > 20)
    ring = np.array([[[0.9, 0.4 + 0.11, 0.0], [0.9, 0.4 - 0.11, 0.0], [1.01, 0.4, 0.0], [0.79, 0.4, 0.0]]])
    x, y = project(camera, ring)[0].T
    assert abs(ink[:, 1].max() - x.max()) < 2 and abs(ink[:, 1].min() - x.min()) < 2
    assert abs(ink[:, 0].max() - y.max()) < 2 and abs(ink[:, 0].min() - y.min()) < 2
    sunk = drawn(camera, points=arm - [0, 0, 0.35], names=names).astype(int)
    assert np.array_equal(sunk, without)


# What must hold in every view


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("theme", THEMES.values(), ids=list(THEMES))
def test_fault_and_correct_stand_out_from_every_tone(view, theme):
    """WCAG contrast of 3 to 1 against every tone of the rendered picture that is more than a thin line."""
    picture = drawn(named_camera(view), theme=theme, pool=Pool(-20, 50))
    window = np.ones((9, 9), np.uint8)  # wider than any line
    flat = (cv2.dilate(picture, window).astype(int) - cv2.erode(picture, window) <= 6).all(axis=-1)
    assert flat.mean() > 0.3
    for tone in map(tuple, np.unique(picture[flat], axis=0).tolist()):
        for colour in (theme.fault, theme.correct):
            assert contrast(colour, tone) >= GRAPHICS, tone
    for tone in (theme.tile, theme.lane_line, theme.ceiling, theme.rope, theme.rope_metre, theme.rope_end):
        assert min(contrast(theme.fault, tone), contrast(theme.correct, tone)) >= GRAPHICS


@pytest.mark.parametrize("view", VIEWS)
def test_an_enlarged_picture_is_the_same_picture(view):
    camera = named_camera(view, size_px=(200, 130))
    once, large = (drawn(camera, zoom=z, pool=Pool(-20, 50)) for z in (1, 8))
    means = large.reshape(130, 8, 200, 8, 3).mean(axis=(1, 3))
    assert np.abs(means - once).mean() <= ZOOM_LEVELS


@pytest.mark.parametrize("view", VIEWS)
def test_a_fixed_camera_sees_a_still_pool(view):
    camera = replace(named_camera(view, size_px=(200, 130)), travels=False)
    shot = Shot(camera, np.full((3, 1, 3), np.nan), ("nose",), np.zeros(3))
    passing = backdrop.Passing(shot, LIGHT, half_width_m=0.18, pool=Pool(-20, 50))
    frames = []
    for frame in range(3):
        canvas = np.zeros((130, 200, 3), np.uint8)
        passing.draw(canvas, frame)
        frames.append(canvas)
    assert np.array_equal(frames[0], frames[1]) and np.array_equal(frames[0], frames[2])


@pytest.mark.parametrize("view", VIEWS)
def test_a_travelling_camera_sees_the_same_pool_every_metre(view):
    """INVARIANT: floats, joints, marks and ripples repeat after 1 m; far from walls nothing else changes."""
    camera = named_camera(view, size_px=(200, 130))
    frames = [drawn(camera, pool=Pool(0.0), shift=s).astype(int) for s in (0.0, 1.0, 0.37)]
    assert np.abs(frames[1] - frames[0]).mean() < 0.05, "a corner may round to the next sixteenth of a pixel"
    assert (frames[2] != frames[0]).any()


@pytest.mark.parametrize("refraction", ["none", "flat_port"])
def test_the_cut_is_where_the_swimmer_ends(refraction):
    """1.30 m ahead of mid-hip for the camera in front, 1.15 m behind for the one at the back, times the scale."""
    front, rear = (replace(named_camera(v), refraction=refraction) for v in ("front", "rear"))
    assert abs(cut_of(front, start_x_m=0.0, scale=1.0).edge_m - (5.2 - 1.30)) < ALGEBRA
    assert abs(cut_of(rear, start_x_m=0.2, scale=0.5).edge_m - (4.6 + 0.2 - 0.575)) < ALGEBRA
    assert cut_of(named_camera("below"), start_x_m=0.0, scale=1.0) is None
    assert cut_of(free_camera((9, 0, 1), (0, 0, 0.9), field_deg=30), start_x_m=0.0, scale=1.0) is None


def test_paint_from_any_camera_is_whole():
    """Level in air, along the surface, from the deck, straight up: every pixel is one of the theme's mixtures."""
    tones = [
        getattr(LIGHT, n)
        for n in ("air", "water", "tile", "grout", "lane_line", "ceiling", "surface", "faint")
    ]
    low, high = (reduce(f, map(np.array, tones)) for f in (np.minimum, np.maximum))
    for place, aim in [
        ((6, 3, 1), (0, 0, 0.9)),
        ((5, 1, -0.1), (0, 0, 0.2)),
        ((0, 8, 3), (0, 0, 0)),
        ((0, 0, -1), (0, 0, 0)),
    ]:
        camera = free_camera(place, aim, field_deg=70, size_px=(160, 90))
        canvas = np.zeros((90, 160, 3), np.uint8)
        backdrop.paint(canvas, camera, LIGHT, half_width_m=0.18)
        assert (canvas >= low - 1).all() and (canvas <= high + 1).all()
