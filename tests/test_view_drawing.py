"""SECOND METHOD: drawn pixels against the projection; INVARIANT: signs of FAULT; HAND-COUNTED: shapes."""

import cv2
import numpy as np
import pytest
from drawn_swimmer import marks_for, pair, swimmer

from swimsim.ground.conventions import JOINTS
from swimsim.ground.errors import InputError
from swimsim.ground.projection import project
from swimsim.ground.records import Marks, Trace
from swimsim.view import strokes
from swimsim.view.cameras import free_camera, named_camera
from swimsim.view.clip import ClipOptions, picture
from swimsim.view.colours import THEMES
from swimsim.view.figure import Shot, far_side, ink_for
from swimsim.view.layout import Rows, page
from swimsim.view.lettering import alpha, fitted, text_width, wrapped
from swimsim.view.palette import Palette
from swimsim.view.scene import Look, Scene
from swimsim.view.stick import StickFigure
from swimsim.view.writer import planes_of

CENTROID_PX = 0.5  # half a pixel: what the eye cannot see
DIM_EDGE = 0.02  # three channels of whole levels, each half a level off, in differences of 100 and more
LIGHT = THEMES["light"]
TOO_LOW_FOR_A_GAUGE = [((360, 202), "stacked")]
NO_ROWS = Rows(header=False, numbers=0)


def one_joint(name, place):
    return Trace(np.zeros(1), np.array([[place]], float), (name,), 30.0, {"speed_m_s": 0.0, "stature_m": 1.8})


def drawn(trace, camera, marks):
    """A blank picture with only the body in it."""
    canvas = np.empty((camera.size_px[1], camera.size_px[0], 3), np.uint8)
    canvas[:] = LIGHT.water
    shot = Shot(camera, trace.joints_m, trace.joint_names, 0 * trace.time_s)
    StickFigure(trace).plan(shot, ink_for(marks, LIGHT)).draw(canvas, 0)
    return canvas


def centroid(difference):
    weight = np.abs(difference).sum(-1)
    rows, cols = np.indices(weight.shape)
    return np.array([(cols * weight).sum(), (rows * weight).sum()]) / weight.sum()


@pytest.mark.parametrize("style", ["solid", "dashed"])
@pytest.mark.parametrize("view", ["side_left", "front", "below"])
@pytest.mark.parametrize("joint", ["left_elbow", "right_knee", "left_shoulder"])
def test_a_joint_is_drawn_where_the_projection_says(style, view, joint):
    place = np.random.default_rng(len(view) + len(joint)).uniform([0, -0.3, -0.5], [0.5, 0.3, 0.2])
    camera = named_camera(view, size_px=(620, 330))
    canvas = drawn(one_joint(joint, place), camera, Marks(style=style))
    found = centroid(canvas.astype(float) - LIGHT.water)
    assert np.abs(found - project(camera, place[None, None])[0, 0]).max() < CENTROID_PX


def test_a_joint_in_a_whole_picture_is_in_its_view():
    """Through layout, view box and travelling camera: the same joint present and absent."""
    place = np.array([0.3, 0.1, -0.4])
    options = ClipOptions(look=Look(views=("side_left",), size=(640, 360), trail=False, style="stick"))
    there = picture([(one_joint("left_elbow", place), Marks())], at_s=0.0, options=options)
    gone = picture([(one_joint("left_elbow", place * np.nan), Marks())], at_s=0.0, options=options)
    box = page((640, 360), "single", 1, n_views=1, rows=NO_ROWS).panels[0].views[0]
    camera = named_camera("side_left", size_px=(box.w, box.h))
    expected = project(camera, place[None, None])[0, 0] + (box.x, box.y)
    assert np.abs(centroid(there.astype(float) - gone) - expected).max() < CENTROID_PX


def test_a_gliding_joint_stays_while_the_marks_pass():
    """The camera of a clip travels: the body keeps its place, marks fixed in the water move by v t."""
    time = np.arange(21) / 30
    place = np.stack([1.5 * time + 0.3, 0 * time + 0.1, 0 * time - 0.4], -1)[:, None]
    trace = Trace(time, place, ("left_elbow",), 30.0, {"speed_m_s": 1.5, "stature_m": 1.8})
    look = Look(views=("side_left",), size=(640, 360), trail=False)
    frames = [f.astype(float) for f in Scene([(trace, Marks())], [time], look=look).frames()]
    first, last = frames[0], frames[-1]
    box = page((640, 360), "single", 1, n_views=1, rows=NO_ROWS).panels[0].views[0]
    middle = slice(box.y + box.h // 2, box.y + int(0.85 * box.h))
    assert np.array_equal(first[middle], last[middle])
    row = first[box.y + box.h - 3, box.x : box.x + box.w], last[box.y + box.h - 3, box.x : box.x + box.w]
    at = [np.flatnonzero(np.abs(r - LIGHT.water).sum(-1) > 60) for r in row]
    half_metre = named_camera("side_left", size_px=(box.w, box.h)).focal_px[0] / 4.0 * 0.5
    assert abs(np.diff(at[0]).max() - half_metre) < 1.5
    moved = (at[1][0] - at[0][0]) % half_metre  # 1.5 m/s for 20/30 s is two marks exactly
    assert min(moved, half_metre - moved) < 1.5
    half_way = np.flatnonzero(
        np.abs(frames[5][box.y + box.h - 3, box.x : box.x + box.w] - LIGHT.water).sum(-1) > 60
    )
    moved = (half_way[0] - at[0][0]) % half_metre  # 1.5 m/s for 5/30 s is half a mark
    assert abs(moved - half_metre / 2) < 1.5


def test_arm_of_the_whole_body_passes_through_its_joints():
    trace = swimmer(0.2)
    camera = named_camera("side_left", size_px=(620, 330))
    canvas = drawn(trace, camera, marks_for(trace, fault=False))
    for name in ("left_elbow", "left_wrist"):
        x, y = project(camera, trace.joint(name)[:1])[0].round().astype(int)
        assert tuple(canvas[y, x]) == LIGHT.correct


def arm_picture(style):
    """Ink of an upright straight arm seen from the side, and the pixels of its joints."""
    places = np.array([[[0.5, 0.2, -0.1], [0.5, 0.2, -0.5], [0.5, 0.2, -0.9]]])
    trace = Trace(np.zeros(1), places, ("left_shoulder", "left_elbow", "left_wrist"), 30.0)
    camera = free_camera((0.5, 4.2, -0.5), (0.5, 0, -0.5), field_deg=30, size_px=(400, 400))
    canvas = drawn(trace, camera, Marks(style=style, limb=trace.joint_names)).astype(float)
    return np.abs(canvas - LIGHT.water), project(camera, places)[0]


def straight_arm(style):
    """Whether there is ink, along the middle of the arm from shoulder to wrist."""
    ink, ends = arm_picture(style)
    return (ink[:, round(ends[0, 0])].sum(-1) > 60)[round(ends[0, 1]) : round(ends[2, 1])]


def test_fault_is_dashed_and_correct_is_solid_without_colour():
    """HAND-COUNTED along two bones: no gap in a solid arm, two or more in each dashed bone."""
    assert np.diff(straight_arm("solid").astype(int)).max() == 0
    gaps = (np.diff(straight_arm("dashed").astype(int)) == -1).sum()
    assert gaps >= 4


def test_fault_is_thicker():
    """Ink across the middle of a dash against ink across the solid arm: a good deal more."""
    across = {}
    for style in ("solid", "dashed"):
        canvas = arm_picture(style)[0]
        rows = (canvas.sum(-1) > 60).sum(axis=1)
        across[style] = np.median(rows[rows > 0])
    assert across["dashed"] > 1.15 * across["solid"]


def test_grey_print_keeps_panels_apart():
    """In grey the two panels differ by dashes alone, and their words are there."""
    frame = picture(pair(), at_s=1.0).astype(float).mean(-1)
    left, right = frame[:, :640], frame[:, 640:]
    assert np.abs(left - right).max() > 100


def test_highlight_dims_the_rest():
    trace = swimmer(0.1)
    camera = named_camera("side_left", size_px=(620, 330))
    plain, lit = (drawn(trace, camera, Marks(limb=m)) for m in ((), ("left_shoulder", "left_elbow")))
    x, y = project(camera, trace.joint("left_knee")[:1])[0].round().astype(int)
    full, dim = (np.abs(c[y, x].astype(float) - LIGHT.water).sum() for c in (plain, lit))
    assert abs(dim / full - LIGHT.dim) < DIM_EDGE


def test_near_limbs_cover_far_ones():
    assert far_side(named_camera("side_left")) == "right"
    assert far_side(named_camera("side_right")) == "left"
    assert far_side(named_camera("front")) is None and far_side(named_camera("below")) is None
    trace = swimmer(0.1)
    crossed = {n: i for i, n in enumerate(JOINTS)}
    joints = trace.joints_m.copy()
    joints[:, crossed["right_elbow"]] = joints[:, crossed["left_elbow"]] - [0, 0.8, 0]
    trace = Trace(trace.time_s, joints, JOINTS, 60.0, trace.meta)
    camera = free_camera((0.5, 50, -0.3), (0.5, 0, -0.3), field_deg=4, size_px=(620, 330))
    canvas = drawn(trace, camera, marks_for(trace, fault=False))
    x, y = project(camera, trace.joint("left_elbow")[:1])[0].round().astype(int)
    assert tuple(canvas[y, x]) == LIGHT.correct


def test_a_body_with_gaps_is_drawn_without_complaint():
    trace = swimmer(0.5)
    joints = trace.joints_m.copy()
    joints[::2, 3:7] = np.nan
    joints[5:9] = np.nan
    holed = Trace(trace.time_s, joints, trace.joint_names, 60.0, trace.meta)
    times = [trace.time_s] * 2
    frames = list(Scene([(holed, Marks()), (trace, Marks())], times, look=Look(size=(640, 360))).frames())
    assert len(frames) == len(trace.time_s)
    only = Trace(trace.time_s, trace.joints_m[:, :1], JOINTS[:1], 60.0)
    assert picture([(only, Marks())], at_s=0.1).shape == (720, 1280, 3)


def test_arrows_reach_their_tip():
    """The arrow tip of a 0.4 m vector lies where the projection of its end lies."""
    trace = one_joint("left_knuckles", (0.3, 0.0, -0.3))
    arrow = Marks(arrows={"left_knuckles": np.array([[-0.4, 0.0, 0.0]])})
    options = ClipOptions(look=Look(views=("side_left",), size=(640, 360), trail=False, style="stick"))
    there, gone = (picture([(trace, m)], at_s=0.0, options=options).astype(float) for m in (arrow, Marks()))
    box = page((640, 360), "single", 1, n_views=1, rows=NO_ROWS).panels[0].views[0]
    camera = named_camera("side_left", size_px=(box.w, box.h))
    tip = project(camera, np.array([[[-0.1, 0.0, -0.3]]]))[0, 0] + (box.x, box.y)
    rows, cols = np.nonzero(np.abs(there - gone).sum(-1) > 120)
    assert abs(cols.max() - tip[0]) < 1.5, "the swimmer faces left in this view, so back is right"
    assert abs(rows.mean() - tip[1]) < 1.5


@pytest.mark.parametrize("width", [2.0, 3.5, 5.0, 8.2])
def test_bars_are_as_wide_as_asked(width):
    """HAND-COUNTED: the ink of a slanted bar is length times width, within a third of a pixel of width."""
    canvas = np.zeros((200, 200, 3), np.uint8)
    ends = np.array([[[40.3, 60.2], [150.7, 130.9]]])
    strokes.sticks(ends, (255, 255, 255), width=width).draw(canvas, 0)
    length = np.linalg.norm(ends[0, 1] - ends[0, 0])
    assert abs(canvas[..., 0].sum() / 255 / length - width) < 0.34


@pytest.mark.parametrize("width", [3, 5, 7])
def test_thin_chains_are_as_wide_as_asked(width):
    """HAND-COUNTED: the ink across a level line of OpenCV, within half a pixel of width."""
    canvas = np.zeros((60, 200, 3), np.uint8)
    cv2.line(canvas, (20, 30), (180, 30), (255, 255, 255), strokes.thickness(width), cv2.LINE_AA)
    assert abs(canvas[:, 100, 0].sum() / 255 - width) < 0.5


@pytest.mark.parametrize("radius", [3.0, 6.5])
def test_dots_are_as_large_as_asked(radius):
    """HAND-COUNTED: the ink of a dot is pi r squared, and of a square 4 r squared, within an eighth."""
    for shape, area in ((strokes.discs, np.pi * radius**2), (strokes.squares, 4 * radius**2)):
        canvas = np.zeros((60, 60, 3), np.uint8)
        strokes.Shapes(shape(np.array([[[30.2, 29.6]]]), radius), (255, 255, 255)).draw(canvas, 0)
        assert abs(canvas[..., 0].sum() / 255 / area - 1) < 0.125


def test_dash_positions_by_hand():
    """Two dashes of half share on a line of 40 px: 5 to 15 and 25 to 35."""
    low, high = strokes.dashes(np.array([[0.0, 0.0]]), np.array([[40.0, 0.0]]), count=2, share=0.5)
    assert low[0, :, 0].tolist() == [5.0, 25.0] and high[0, :, 0].tolist() == [15.0, 35.0]
    assert strokes.odd(4.1) == 5 and strokes.odd(0.2) == 1 and strokes.odd(6.9) == 7


@pytest.mark.parametrize("size", [(360, 202), (360, 640), (640, 360), (1280, 720), (1920, 1080)])
@pytest.mark.parametrize("layout", ["side_by_side", "stacked", "ghost"])
@pytest.mark.parametrize("gauge", [False, True])
def test_boxes_stay_apart_and_inside(size, layout, gauge):
    cover = np.zeros(size[::-1], int)
    laid = page(size, layout, 2, rows=Rows(gauge=gauge))
    for panel in laid.panels:
        own = (*panel.views, panel.bar) if panel.views else ()
        gauges = (panel.gauge,) if panel.gauge.h else ()
        assert bool(gauges) == (gauge and bool(panel.views) and (size, layout) not in TOO_LOW_FOR_A_GAUGE)
        for box in (panel.header, panel.numbers, *own, *gauges):
            assert box.w > 10 and box.h > 8
            assert box.x >= 0 and box.y >= 0 and box.x + box.w <= size[0] and box.y + box.h <= size[1]
            cover[box.y : box.y + box.h, box.x : box.x + box.w] += 1
    cover[laid.footer.y :, :] += 1
    assert cover.max() == 1


def test_a_tall_picture_stacks_its_panels():
    """A phone held upright: two views side by side would be half as wide."""
    assert page((360, 640), "side_by_side", 2) == page((360, 640), "stacked", 2)
    for layout in ("side_by_side", "ghost"):
        assert page((360, 640), layout, 2, n_views=1).panels[0].views[0].w > 340


def test_type_is_readable():
    """Words that carry the message: 24 px or more at 720 lines, for a projector."""
    laid = page((1280, 720), "side_by_side", 2)
    assert laid.type_size(24) >= 24
    assert page((360, 202), "side_by_side", 2).type_size(24) >= 10


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: page((100, 90), "single", 1), "at least 320 x 180 pixels, got 100 x 90"),
        (lambda: page((640, 360), "sidebyside", 2), "did you mean 'side_by_side'"),
        (lambda: Scene([], [], look=Look()), "one panel or more"),
        (lambda: Scene(pair(), [np.zeros(1)] * 2, look=Look(views=())), "one view or more"),
        (lambda: Scene(pair(), [np.zeros(1)] * 2, look=Look(views=("fornt",))), "did you mean 'front'"),
        (lambda: picture(pair(), at_s=99.0), "at_s: expected 0.00 to 4.20, got 99"),
    ],
)
def test_wrong_pictures_are_refused(make, words):
    with pytest.raises(InputError, match=words):
        make()


def test_words_fit_their_room():
    text, size = fitted("elbow lower than the hand in the early pull", 24, width=300)
    assert text_width(text, size) <= 300 and 9 <= size <= 24
    short, size = fitted("elbow lower than the hand in the early pull", 24, width=80)
    assert short.endswith("…") and text_width(short, size) <= 80
    lines = wrapped("one two three four five six", 20, width=100)
    assert " ".join(lines) == "one two three four five six" and max(text_width(x, 20) for x in lines) <= 100
    assert abs(alpha("FAULT", 24, True, 8).mean() - alpha("FAULT", 24, True, 1).mean()) < 1e-3


def test_video_colours_are_those_of_opencv():
    """Y, U, V of every theme colour within one level of OpenCV's conversion, which rounds twice."""
    for theme in THEMES.values():
        for name in ("page", "water", "fault", "correct", "text", "band", "arrow"):
            tile = np.full((2, 2, 3), getattr(theme, name), np.uint8)
            theirs = cv2.cvtColor(tile, cv2.COLOR_RGB2YUV_I420).ravel()[[0, 4, 5]].astype(int)
            assert np.abs(theirs - getattr(theme.in_video(), name)).max() <= 1


@pytest.mark.parametrize("size", [(320, 180), (1280, 720), (334, 1002)])
def test_planes_are_means_of_four_pixels(size):
    """HAND-COUNTED: Y as it is, U and V the mean of 2 x 2 pixels, whatever the strips."""
    width, height = size
    drawn_ = np.random.default_rng(1).integers(0, 256, (height, width, 3), dtype=np.uint8)
    out = np.empty((height * 3 // 2, width), np.uint8)
    planes_of(size)(drawn_, out)
    assert np.array_equal(out[:height], drawn_[..., 0])
    halves = out[height:].reshape(2, height // 2, width // 2)
    for plane, channel in zip(halves, (1, 2), strict=True):
        means = drawn_[..., channel].reshape(height // 2, 2, width // 2, 2).mean(axis=(1, 3))
        assert np.abs(plane - means).max() <= 0.5


def test_a_palette_keeps_few_colours_exactly():
    tiles = np.array([[[213, 94, 0], [227, 241, 248]], [[0, 114, 178], [255, 255, 255]]], np.uint8)
    palette = Palette.of([tiles])
    index = np.empty((2, 2), np.uint8)
    palette.index(tiles, index)
    assert np.array_equal(palette.colours[index], tiles)


def test_a_palette_is_near_for_many_colours():
    picture_ = np.random.default_rng(0).integers(0, 256, (40, 50, 3), dtype=np.uint8)
    palette = Palette.of([picture_])
    index = np.empty((40, 50), np.uint8)
    palette.index(picture_, index)
    best = np.abs(palette.colours[None, None].astype(int) - picture_[:, :, None]).sum(-1).min(-1)
    ours = np.abs(palette.colours[index].astype(int) - picture_).sum(-1)
    assert (ours - best).mean() < 6, "cells of 8, 4 and 8 levels cost a few levels"
    assert index.max() < 255, "the last entry is kept free"
