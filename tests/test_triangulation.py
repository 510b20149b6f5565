"""SECOND METHOD: points from several cameras against OpenCV, and ROUND TRIP through the exact pictures."""

import dataclasses

import cv2
import numpy as np
import pytest
from made_swimmers import made

from swimsim.ground.errors import InputError
from swimsim.ground.records import Seen
from swimsim.metrics import measure_trace
from swimsim.metrics.triangulation import Lines, nearest_point, triangulate
from swimsim.view.cameras import free_camera, named_camera
from swimsim.view.conditions import Condition, condition_named
from swimsim.view.refraction import see as exact_pixels
from swimsim.view.seeing import see

FULL_HD = (1920, 1080)


def camera(place, **changes):
    made_up = free_camera(place, (0.2, 0, -0.2), field_deg=50, size_px=FULL_HD, travels=False)
    return dataclasses.replace(made_up, **changes)


def points(n=40, seed=1):
    return np.random.default_rng(seed).uniform([-0.8, -0.5, -0.7], [0.9, 0.5, -0.05], (n, 6, 3))


def seen_from(lens, world, *, noise=0.0, seed=0, time=None):
    pixels = exact_pixels(lens, world) + noise * np.random.default_rng(seed).standard_normal(
        (*world.shape[:2], 2)
    )
    names = tuple(f"point_{i}" for i in range(world.shape[1]))
    time = np.arange(len(world)) / 60 if time is None else time
    return Seen(time, pixels, np.ones(world.shape[:2]), names, lens, 60.0, {})


PLACES = ((0.2, 4.0, -0.5), (3.6, 0.6, -0.6), (-3.0, -2.0, -1.2), (0.2, 0.4, -3.4))


@pytest.mark.parametrize("count", [2, 3, 4])
@pytest.mark.parametrize(
    "bending", [{}, {"refraction": "flat_port"}, {"distortion": (-0.1, 0.02, 0.001, 0, 0)}]
)
def test_exact_pictures_give_the_points_back(count, bending):
    world = points()
    trace = triangulate([seen_from(camera(place, **bending), world) for place in PLACES[:count]])
    assert np.abs(trace.joints_m - world).max() < 1e-7


def test_a_camera_above_the_surface_helps_one_below():
    world = points()
    above = [camera((x, -3.0, 2.0), refraction="surface") for x in (0.2, 2.5)]
    trace = triangulate(
        [seen_from(camera(PLACES[0], refraction="flat_port"), world), seen_from(above[0], world)]
    )
    assert np.abs(trace.joints_m - world).max() < 1e-7
    high = world + [0, 0, 0.4]  # part of it in the air
    assert 0.2 < (high[..., 2] > 0).mean() < 0.8
    assert np.abs(triangulate([seen_from(lens, high) for lens in above]).joints_m - high).max() < 1e-7


def by_opencv(cameras, views):
    """Points of two views by the linear method of OpenCV."""
    matrices = []
    for lens in cameras:
        (fx, fy), (cx, cy) = lens.focal_px, lens.centre_px
        pose = np.concatenate([lens.rotation, (-lens.rotation @ lens.position_m)[:, None]], axis=1)
        matrices.append(np.array([[fx, 0, cx], [0, fy, cy], [0, 0, 1]]) @ pose)
    flat = [np.ascontiguousarray(view.pixels.reshape(-1, 2).T) for view in views]
    found = cv2.triangulatePoints(*matrices, *flat)
    return (found[:3] / found[3]).T.reshape(views[0].pixels.shape[:2] + (3,))


def test_two_views_agree_with_opencv():
    world, lenses = points(300), [camera(place) for place in PLACES[:2]]
    exact = [seen_from(lens, world) for lens in lenses]
    assert np.abs(triangulate(exact).joints_m - by_opencv(lenses, exact)).max() < 1e-6
    noisy = [seen_from(lens, world, noise=2.0, seed=i) for i, lens in enumerate(lenses)]
    ours, theirs = triangulate(noisy).joints_m, by_opencv(lenses, noisy)
    error, apart = np.sqrt(((ours - world) ** 2).mean()), np.sqrt(((ours - theirs) ** 2).mean())
    assert apart < 0.1 * error  # two estimates of one point share nearly all of their noise
    assert error < 1.02 * np.sqrt(((theirs - world) ** 2).mean())


def test_more_cameras_are_better_than_two():
    world = points(300)
    views = [seen_from(camera(place), world, noise=2.0, seed=i) for i, place in enumerate(PLACES)]
    errors = [np.sqrt(((triangulate(views[:n]).joints_m - world) ** 2).mean()) for n in (2, 3, 4)]
    assert errors[0] > errors[1] > errors[2]


def test_the_nearer_and_sharper_camera_counts_more():
    # two rays that miss each other by 2 cm about (0, 0, 0): the finer one pulls the point to itself
    along = np.array([[[1.0, 0, 0]], [[0, 1.0, 0]]])
    start = np.array([[[-4.0, 0, 0.01]], [[0, -2.0, -0.01]]])
    even = nearest_point([Lines(start[0], along[0], 1000.0), Lines(start[1], along[1], 500.0)])
    assert even[0] == pytest.approx([0, 0, 0], abs=1e-12)  # 4 m at 1000 px is as fine as 2 m at 500 px
    finer = nearest_point([Lines(start[0], along[0], 2000.0), Lines(start[1], along[1], 500.0)])
    assert finer[0, 2] == pytest.approx(0.01 * (4 - 1) / (4 + 1), abs=1e-9)
    # a ray that begins at the surface, 1 m before the point and 3 m behind the lens, is no finer for it
    late = nearest_point(
        [Lines(start[0] + [3.0, 0, 0], along[0], 1000.0, 3.0), Lines(start[1], along[1], 500.0)]
    )
    assert late[0] == pytest.approx([0, 0, 0], abs=1e-12)


def test_a_single_ray_gives_no_point():
    along, start = np.array([[1.0, 0, 0]]), np.array([[-4.0, 0, 0.01]])
    nothing = np.full((1, 3), np.nan)
    assert np.isnan(nearest_point([Lines(start, along, 1000.0), Lines(nothing, nothing, 500.0)])).all()


def test_one_ray_or_two_that_run_together_give_no_point():
    world = points(30)
    first, second = (seen_from(camera(place), world) for place in PLACES[:2])
    gaps = second.pixels.copy()
    gaps[5, 2] = np.nan
    unsure = second.confidence.copy()
    unsure[6, 3] = 0.1
    trace = triangulate([first, dataclasses.replace(second, pixels=gaps, confidence=unsure)])
    lost = np.argwhere(np.isnan(trace.joints_m[..., 0]))
    assert lost.tolist() == [[5, 2], [6, 3]]
    beside = camera((0.25, 4.0, -0.5))
    assert np.isnan(triangulate([first, seen_from(beside, world)]).joints_m).all()


def test_views_with_other_clocks_are_read_between_their_frames():
    time = np.arange(60) / 60
    world = np.array([0.0, 0, -0.3]) + np.array([0.5, 0.2, 0.1]) * time[:, None]
    later = np.array([0.0, 0, -0.3]) + np.array([0.5, 0.2, 0.1]) * (time + 0.005)[:, None]
    first = seen_from(camera(PLACES[0]), world[:, None])
    second = seen_from(camera(PLACES[1]), later[:, None], time=time + 0.005)
    trace = triangulate([first, second])
    assert np.isnan(trace.joints_m[0]).all()  # before the first frame of the other
    assert (
        np.abs(trace.joints_m[1:, 0] - world[1:]).max() < 1e-4
    )  # a straight line bends a little in the picture


def test_two_square_cameras_tell_what_neither_tells_alone():
    one = made("pace400_man", breathing=("left", 2))
    motion = one.motion.trace(240.0, 6 * one.motion.cycle_s, meta={"stature_m": one.body.stature_m})
    views = [
        see(motion, named_camera(v, one.body.stature_m, size_px=FULL_HD), condition_named("square"), seed=3)
        for v in ("side_left", "front")
    ]
    reading = measure_trace(triangulate(views))
    wanted = {
        "hip_roll_peak": 2.0,
        "exit_past_hip": 2.0,
        "entry_line": 2.0,
        "elbow_least": 3.0,
        "forearm_slope_at_45": 3.0,
    }
    for name, tolerance in wanted.items():
        true = next(
            m.value for m in one.truth.measures if (m.measure, m.side, m.cycle) == (name, "left", None)
        )
        assert reading.measure(name, "left").value == pytest.approx(true, abs=tolerance), name


def test_a_travelling_camera_is_carried_along():
    one = made("pace400_man", breathing=("left", 2))
    motion = one.motion.trace(240.0, 2.0)
    views = [
        see(motion, named_camera(v, 1.8, size_px=FULL_HD), Condition(), seed=3)
        for v in ("side_left", "below")
    ]
    views[1] = dataclasses.replace(views[1], time_s=views[1].time_s)
    trace = triangulate(views)
    hip = trace.joint("pelvis")[:, 0]
    inside = np.isfinite(hip)
    assert np.polyfit(trace.time_s[inside], hip[inside], 1)[0] == pytest.approx(
        one.motion.pattern.speed_m_s, abs=0.01
    )


def test_views_that_share_nothing_are_refused():
    world = points(5)
    view = seen_from(camera(PLACES[0]), world)
    with pytest.raises(InputError, match="expected two views or more, got 1"):
        triangulate([view])
    other = dataclasses.replace(view, joint_names=tuple(f"else_{i}" for i in range(6)))
    with pytest.raises(InputError, match="expected a joint that two views share"):
        triangulate([view, other])
    late = seen_from(camera(PLACES[1]), world, time=100 + np.arange(5) / 60)
    with pytest.raises(InputError, match="expected views that overlap in time"):
        triangulate([view, late])
