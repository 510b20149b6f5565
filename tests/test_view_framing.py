"""INVARIANT: the swimmer fills every box of every layout; HAND-COUNTED: a free camera keeps its width."""

import dataclasses

import numpy as np
import pytest
from drawn_swimmer import pair, swimmer
from tolerances import ALGEBRA

from swimsim.ground.projection import project
from swimsim.scenario.cameras import cameras_of
from swimsim.scenario.play import play
from swimsim.scenario.read import read_scenario
from swimsim.teaching.pictures import panels_of
from swimsim.view.cameras import VIEWS, free_camera, named_camera, seen
from swimsim.view.framing import in_box, with_room
from swimsim.view.layout import LAYOUTS
from swimsim.view.scene import Look, Scene

SIZES = [(360, 640), (640, 360), (360, 360), (720, 1280), (1280, 720), (1920, 1080)]
LEAST_SHARE = 0.68  # of the tighter of width and height: room left for a bigger swing than this swimmer's


@pytest.fixture(scope="module")
def played():
    return play(read_scenario("dropped_elbow"))


def shares(trace, camera):
    """Parts of the picture's width and height that the body sweeps over; nothing may stick out."""
    pixels = seen(trace, camera).pixels
    assert ((pixels >= 0) & (pixels <= np.array(camera.size_px) - 1)).all()
    return np.ptp(pixels, axis=(0, 1)) / camera.size_px


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize("count", [1, 3])
def test_the_swimmer_fills_every_box(played, size, layout, count):
    """With cameras framed for the whole picture, as a scenario hands them over."""
    panels = panels_of(played)[: 1 if layout == "single" else 2]
    stature = played.scenario.swimmer.stature_m
    for first in VIEWS:
        names = (first, *[v for v in VIEWS if v != first])[:count]
        given = tuple(named_camera(name, stature, size_px=size) for name in names)
        scene = Scene(panels, [np.zeros(1)] * len(panels), look=Look(views=given, layout=layout, size=size))
        for panel in scene.panels:
            for camera in panel.cameras:
                assert shares(panel.trace, camera).max() >= LEAST_SHARE, (camera.name, camera.size_px)


@pytest.mark.parametrize("size", SIZES)
def test_the_swimmer_fills_the_exact_pixels_too(played, size):
    """The cameras behind seen_<view>.csv, which are for the whole picture."""
    for name in VIEWS:
        output = played.scenario.output.model_copy(update={"views": [name]})
        (camera,) = cameras_of(played.scenario.model_copy(update={"output": output}), size_px=size)
        assert camera.size_px == size
        assert shares(played.fault.trace, camera).max() >= LEAST_SHARE


def test_a_phone_held_upright_shows_the_swimmer_as_large_as_a_wide_picture(played):
    """Three quarters of the box's width, from the side, one above the other."""
    given = (named_camera("side_left", played.scenario.swimmer.stature_m, size_px=(360, 640)),)
    look = Look(views=given, layout="stacked", size=(360, 640))
    (camera,) = Scene(panels_of(played), [np.zeros(1)] * 2, look=look).panels[0].cameras
    assert shares(played.fault.trace, camera)[0] >= 0.75


def test_a_free_camera_keeps_its_width_in_a_lower_box():
    """HAND-COUNTED: a lens of 90 degrees has half its width as focal length: 200 px in 400, 100 px in 200."""
    camera = free_camera((0, 8, 0), (0, 0, 0), field_deg=90, size_px=(400, 400))
    low = in_box(camera, (200, 100), stature_m=1.8)
    assert np.abs(np.array(low.focal_px) - 100).max() < ALGEBRA
    assert np.abs(np.array(low.centre_px) - (99.5, 49.5)).max() < ALGEBRA


def test_a_free_camera_that_shows_the_whole_swimmer_goes_on_showing_him(played):
    """From the deck corner, in a tall picture and in a very low box: larger than all, never cut off."""
    camera = free_camera((3, 3, 1), (0.2, 0, -0.2), field_deg=50, size_px=(360, 640))
    box = in_box(camera, (634, 118), stature_m=1.8)
    assert shares(played.fault.trace, box).max() >= 0.6
    assert box.focal_px[0] > camera.focal_px[0] * 118 / 640


def test_a_camera_of_ones_own_is_not_taken_for_a_named_one():
    """The name alone does not make it one: place, direction and lens must be those of the named camera."""
    own = free_camera((0.2, 9.0, -0.4), (0.2, 0, -0.4), field_deg=20, size_px=(400, 200), name="side_left")
    assert np.abs(in_box(own, (200, 200), stature_m=1.8).position_m - own.position_m).max() == 0
    resting = named_camera("side_left", size_px=(400, 200))
    assert in_box(resting, (200, 90), stature_m=1.8).focal_px == named_camera(
        "side_left", size_px=(200, 90)
    ).focal_px  # fmt: skip


# ---- no hand is cut off


def raised(trace, height_m=1.2):
    """The same swimmer with the left hand held high all the time."""
    joints = trace.joints_m.copy()
    at = trace.joint_names.index("left_fingertip")
    joints[:, at] = trace.joint("pelvis") + np.array([0.3, 0.2, height_m])
    return dataclasses.replace(trace, joints_m=joints)


def pixels_of(camera, trace):
    moved = trace.joints_m.copy()
    moved[..., 0] -= trace.meta["speed_m_s"] * trace.time_s[:, None]
    return project(camera, moved)


@pytest.mark.parametrize("view", ["side_left", "front", "rear", "above_side", "above_front"])
def test_a_view_with_a_raised_hand_is_less_enlarged_until_all_of_it_is_seen(view):
    """By the plain projection: every joint inside, the hand at the edge, the middle of the view where it was."""
    trace = raised(swimmer(1.4))
    camera = named_camera(view, 1.80, size_px=(400, 200))
    roomy = with_room(camera, [swimmer(1.4), trace])
    pixels = pixels_of(roomy, trace)
    assert (pixels > 0).all() and (pixels < np.array(camera.size_px) - 1).all()
    closest = np.minimum(pixels, np.array(camera.size_px) - 1 - pixels).min()
    assert closest < 12, "no smaller than it must be"
    assert roomy.focal_px[0] < camera.focal_px[0] and roomy.size_px == camera.size_px
    assert np.allclose(roomy.rotation, camera.rotation) and np.allclose(roomy.position_m, camera.position_m)


def test_where_all_is_seen_the_camera_stays():
    camera = named_camera("side_left", 1.80, size_px=(640, 480))
    assert with_room(camera, [swimmer(1.4)]) is camera
    free = free_camera([0, 2.0, -0.3], [0, 0, 0], field_deg=30, size_px=(400, 200))
    assert with_room(free, [raised(swimmer(1.4))]) is free, "a camera of one's own is left as it was set"


def test_what_is_far_away_does_not_shrink_the_swimmer_to_nothing():
    camera = named_camera("front", 1.80, size_px=(400, 200))
    far = with_room(camera, [raised(swimmer(1.4), 40.0)])
    assert far.focal_px[0] == pytest.approx(0.5 * camera.focal_px[0])


@pytest.mark.parametrize("mirror", [False, True])
@pytest.mark.parametrize("layout", ["side_by_side", "stacked", "ghost"])
def test_both_panels_are_enlarged_alike(layout, mirror):
    (trace, fault), (other, correct) = pair(2.0)
    look = Look(views=("front", "side_left"), size=(640, 360), layout=layout, mirror=mirror)
    times = [np.array([0.5])] * 2
    alike = Scene([(raised(trace), fault), (other, correct)], times, look=look)
    plain = Scene([(trace, fault), (other, correct)], times, look=look)
    focal = [[camera.focal_px[0] for camera in panel.cameras] for panel in alike.panels if panel.cameras]
    assert all(row == focal[0] for row in focal)
    assert any(a < b.focal_px[0] for a, b in zip(focal[0], plain.panels[0].cameras, strict=True))
