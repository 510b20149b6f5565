"""SECOND METHOD: projection and triangulation against OpenCV; INVARIANT: framing, travel; HAND-COUNTED: free camera."""

from dataclasses import replace

import cv2
import numpy as np
import pytest
from drawn_swimmer import SPEED_M_S, swimmer
from tolerances import ALGEBRA

from swimsim.ground.errors import InputError
from swimsim.ground.projection import project
from swimsim.ground.records import Camera, Trace
from swimsim.view.cameras import VIEWS, free_camera, mean_speed, named_camera, seen, start_x, stature_of

TRIANGULATED_M = (
    1e-9  # rounding of pixels of a thousand over focal lengths of a thousand, some metres away [m]
)
SAME_PIXEL = 1e-9  # two float64 routes to numbers below 1e4 px: a thousand roundings of 1e-12 [px]


#: How far a crawl swimmer of 1.80 m reaches, from mid-hip (common practice, generous): x, y, z. [m]
REACH_M = np.array(
    [[1.25, 0.2, -0.1], [1.25, -0.2, -0.1], [-1.1, 0.1, -0.35], [-1.1, -0.1, 0.05], [0.5, 0.65, 0.25],
     [0.5, -0.65, 0.25], [0.5, 0.2, 0.4], [0.5, -0.2, 0.4], [0.6, 0.3, -0.8], [0.6, -0.3, -0.8]]
)  # fmt: skip


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("distortion", [(0.0,) * 5, (0.1, -0.05, 0.001, 0.002, 0.01)])
def test_projection_is_that_of_opencv(view, distortion):
    base = named_camera(view, 1.66)
    turn = cv2.Rodrigues(base.rotation)[0]
    camera = Camera(
        view, base.position_m, cv2.Rodrigues(turn)[0], base.focal_px, base.centre_px, base.size_px, distortion
    )
    (fx, fy), (cx, cy) = camera.focal_px, camera.centre_px
    matrix = np.array([[fx, 0, cx], [0, fy, cy], [0, 0, 1]])
    points = np.random.default_rng(3).uniform([-1, -0.7, -0.8], [1.3, 0.7, 0.5], (200, 3))
    theirs = cv2.projectPoints(
        points, turn, -camera.rotation @ camera.position_m, matrix, np.array(distortion)
    )[0]
    assert np.abs(project(camera, points[None])[0] - theirs[:, 0]).max() < SAME_PIXEL


def test_a_camera_from_a_rotation_vector_is_that_of_opencv():
    """OpenCV's own convention: x_cam = R x + t, centre -R^T t, distortion k1 k2 p1 p2 k3, on ten random points."""
    matrix = np.array([[800, 0, 320], [0, 800, 180], [0, 0, 1.0]])
    coefficients = (0.1, -0.05, 0.001, 0.002, 0.01)
    turn, move = np.array([0.1, 0.2, 0.3]), np.array([0.1, -0.2, 5.0])
    world = np.random.default_rng(0).uniform(-1, 1, (10, 3))
    theirs = cv2.projectPoints(world, turn, move, matrix, np.array(coefficients))[0][:, 0]
    rotation = cv2.Rodrigues(turn)[0]
    centre = -rotation.T @ move
    camera = Camera("c", centre, rotation, (800.0, 800.0), (320.0, 180.0), (640, 360), coefficients)
    assert np.abs(project(camera, world[None])[0] - theirs).max() < SAME_PIXEL
    assert np.abs(rotation @ centre + move).max() < ALGEBRA


def matrix_of(camera, shift=0.0):
    """The 3 x 4 projection matrix of a camera without distortion, written out from its parts."""
    (fx, fy), (cx, cy) = camera.focal_px, camera.centre_px
    place = camera.position_m + [shift, 0, 0]
    inner = np.array([[fx, 0, cx], [0, fy, cy], [0, 0, 1]])
    return inner @ np.c_[camera.rotation, -camera.rotation @ place]


@pytest.mark.parametrize(
    "pair", [("side_left", "front"), ("below", "side_right"), ("above_side", "overhead")]
)
def test_two_views_give_depth_back(pair):
    """SECOND METHOD: cv2.triangulatePoints from the exact pixels of two travelling views finds every joint."""
    trace = swimmer(0.5)
    told = [seen(trace, named_camera(view)) for view in pair]
    for frame in (0, 17, 30):
        shift = SPEED_M_S * trace.time_s[frame]
        pixels = [t.pixels[frame].T for t in told]
        found = cv2.triangulatePoints(*(matrix_of(t.camera, shift) for t in told), *pixels)
        assert np.abs((found[:3] / found[3]).T - trace.joints_m[frame]).max() < TRIANGULATED_M


@pytest.mark.parametrize("view", VIEWS)
def test_a_fixed_camera_lets_the_swimmer_pass(view):
    """At rest in the pool a gliding joint is seen where it is: at time 0 as from the travelling camera, later not."""
    time = np.arange(31) / 30
    joint = np.stack([1.5 * time, 0 * time + 0.1, 0 * time - 0.1], -1)[:, None]
    trace = Trace(time, joint, ("pelvis",), 30)
    travelling, fixed = (replace(named_camera(view), travels=t) for t in (True, False))
    rides, rests = (seen(trace, camera).pixels[:, 0] for camera in (travelling, fixed))
    assert np.ptp(rides, axis=0).max() < SAME_PIXEL
    assert np.abs(rests[0] - rides[0]).max() < SAME_PIXEL
    assert np.abs(rests - project(fixed, joint)[:, 0]).max() == 0
    assert np.linalg.norm(rests[-1] - rests[0]) > 20


@pytest.mark.parametrize("travels", [True, False])
def test_a_free_camera_travels_or_rests(travels):
    camera = free_camera((0.3, 3.0, -0.6), (0.3, 0, -0.3), field_deg=60, travels=travels)
    joint = np.array([[[0.2, 0.0, -0.2]], [[1.65, 0.0, -0.2]]])
    pixels = seen(Trace(np.array([0.0, 1.0]), joint, ("pelvis",), 1), camera).pixels
    moved = np.abs(np.diff(pixels[:, 0], axis=0)).max()
    assert moved < SAME_PIXEL if travels else moved > 200


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("size", [(620, 330), (306, 200), (1280, 720)])
def test_the_whole_body_is_in_the_picture(view, size):
    for stature in (1.45, 1.80, 2.05):
        pixels = project(named_camera(view, stature, size_px=size), REACH_M[None] * stature / 1.80)[0]
        assert ((pixels > 0) & (pixels < np.array(size) - 1)).all(), pixels.round()


@pytest.mark.parametrize("view", VIEWS)
def test_a_scaled_body_gives_the_same_picture(view):
    points = np.random.default_rng(0).uniform([-1, -0.5, -0.7], [1.2, 0.5, 0.4], (1, 30, 3))
    small = project(named_camera(view, 1.45), points * 1.45 / 2.05)
    large = project(named_camera(view, 2.05), points)
    assert np.abs(small - large).max() < SAME_PIXEL


def test_side_cameras_are_square_to_the_lane_and_at_filming_depth():
    """COMMON PRACTICE: lens 0.4 to 0.6 m deep, square to the lane; front and rear 0.3 to 0.5 m."""
    for name, y in (("side_left", -1.0), ("side_right", 1.0)):
        camera = named_camera(name, 1.80)
        assert np.abs(camera.rotation[2] - [0, y, 0]).max() < ALGEBRA
        assert 0.4 <= -camera.position_m[2] <= 0.5
    for name in ("front", "rear"):
        assert 0.3 <= -named_camera(name, 1.80).position_m[2] <= 0.5


def test_left_is_left_and_up_is_up():
    left, up = np.array([[[0, 0.3, 0]]]), np.array([[[0, 0, 0.3]]])
    here = np.zeros((1, 1, 3))
    for view, sideways in (
        ("front", 1),
        ("rear", -1),
    ):  # a swimmer coming at us has the left hand on our right
        camera = named_camera(view)
        assert np.sign((project(camera, left) - project(camera, here))[0, 0, 0]) == sideways
    for view in ("side_left", "side_right", "front", "rear", "above_side", "above_front"):
        camera = named_camera(view)
        assert (project(camera, up) - project(camera, here))[0, 0, 1] < 0
    ahead = np.array([[[0.5, 0, 0]]])
    for view, sideways in (("side_left", -1), ("side_right", 1), ("below", -1), ("overhead", -1)):
        camera = named_camera(view)
        assert np.sign((project(camera, ahead) - project(camera, here))[0, 0, 0]) == sideways


def test_a_travelling_camera_keeps_a_gliding_body_still():
    time = np.arange(50) / 25
    joint = np.stack([1.3 * time + 0.2, 0 * time, 0 * time - 0.1], -1)[:, None]
    trace = Trace(time, joint, ("pelvis",), 25)
    pixels = seen(trace, named_camera("side_left", start_x_m=start_x(trace))).pixels
    assert abs(mean_speed(trace) - 1.3) < ALGEBRA
    assert abs(start_x(trace) - 0.2) < ALGEBRA
    assert np.ptp(pixels, axis=0).max() < SAME_PIXEL


def test_speed_comes_from_the_metadata_first():
    trace = swimmer(1.0)
    assert mean_speed(trace) == SPEED_M_S
    bare = Trace(trace.time_s, trace.joints_m[:, :3], trace.joint_names[:3], 60)
    assert abs(mean_speed(bare) - SPEED_M_S) < 0.8, "one arm swings about the body for a second"


def test_confidence_says_what_is_in_the_picture():
    points = np.array([[[0.0, 0, 0], [9.0, 0, 0], [np.nan, 0, 0]]])
    told = seen(Trace(np.zeros(1), points, ("pelvis", "neck", "nose"), 30), named_camera("side_left"))
    assert told.confidence.tolist() == [[1.0, 0.0, 0.0]]
    assert np.isfinite(told.pixels[0, 1]).all() and np.isnan(told.pixels[0, 2]).any()


def test_free_camera_field_of_view():
    """A 90 degree lens 2 m away shows 4 m: the edges are half a pixel beyond the outer pixel centres."""
    camera = free_camera((0, 2, 0), (0, 0, 0), field_deg=90, size_px=(400, 200))
    pixels = project(camera, np.array([[[2.0, 0, 0], [-2.0, 0, 0], [0, 0, 1.0]]]))[0]
    assert np.abs(pixels - [[-0.5, 99.5], [399.5, 99.5], [199.5, -0.5]]).max() < SAME_PIXEL
    straight_down = free_camera((0, 0, 3), (0, 0, 0), field_deg=60)
    assert np.isfinite(project(straight_down, np.zeros((1, 1, 3)))).all()


def test_stature_is_told_or_guessed():
    trace = swimmer(0.5)
    assert stature_of(trace) == 1.80
    assert 1.5 < stature_of(Trace(trace.time_s, trace.joints_m, trace.joint_names, 60)) < 2.1
    assert stature_of(Trace(np.zeros(1), np.zeros((1, 1, 3)), ("nose",), 60)) == 1.80


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: named_camera("side"), "did you mean 'side_"),
        (lambda: named_camera("front", -1), "positive stature"),
        (lambda: named_camera("front", size_px=(0, 10)), "width and height"),
        (lambda: free_camera((0, 0, 0), (0, 0, 0), field_deg=60), "must differ"),
        (lambda: free_camera((0, 0), (0, 0, 0), field_deg=60), "three numbers"),
        (lambda: free_camera((0, 1, 0), (0, 0, 0), field_deg=200), "1 to 170 degrees, got 200"),
    ],
)
def test_wrong_cameras_are_refused(make, words):
    with pytest.raises(InputError, match=words):
        make()
