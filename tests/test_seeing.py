"""SECOND METHOD and HAND-COUNTED: what a camera loses, against OpenCV, closed forms and counts; plus INVARIANTS."""

import dataclasses

import cv2
import numpy as np
import pytest
from tolerances import ALGEBRA, STANDARD_ERRORS, mean_of_noisy

from swimsim.ground.errors import InputError
from swimsim.ground.rays import onto_plane, undistort
from swimsim.ground.records import Trace
from swimsim.view.cameras import VIEWS, free_camera, named_camera
from swimsim.view.conditions import Condition, condition_named, condition_names, make_condition
from swimsim.view.refraction import see as exact_pixels
from swimsim.view.seeing import GUESSED, see
from swimsim.view.seeing_camera import believed_and_real, middle_m

FULL_HD = (1920, 1080)
PIXEL = 1e-6  # projections two ways in float64, on numbers of a thousand pixels
SHUTTER_PX = 0.01  # a point that runs straight in the world runs nearly straight in the picture


def still(points, *, seconds=2.0, rate_hz=60.0, speed=0.0):
    """A trace of points that only drift forward."""
    time = np.arange(int(seconds * rate_hz) + 1) / rate_hz
    places = np.repeat(np.array(list(points.values()), float)[None], len(time), axis=0)
    places[:, :, 0] += (speed * time)[:, None]
    return Trace(time, places, tuple(points), rate_hz, {"speed_m_s": speed, "stature_m": 1.8})


def grid(count=30):
    """Many points that stand still in front of a side camera."""
    rng = np.random.default_rng(5)
    return {f"point_{i}": rng.uniform([-0.8, -0.2, -0.6], [0.9, 0.2, 0.2]) for i in range(count)}


def side(**changes):
    return dataclasses.replace(named_camera("side_left", size_px=FULL_HD), **changes)


# ---- rays


@pytest.mark.parametrize("refraction", ["none", "flat_port", "surface"])
@pytest.mark.parametrize("lens", [(0.0,) * 5, (-0.1, 0.02, 0.001, -0.002, 0.003)])
def test_a_ray_meets_the_plane_in_the_point_it_came_from(refraction, lens):
    height = -2.0 if refraction == "flat_port" else 2.0
    camera = free_camera((2.0, 2.5, height), (0, 0, -0.2), field_deg=60.0)  # no axis is square to its rays
    camera = dataclasses.replace(camera, refraction=refraction, distortion=lens)
    points = np.random.default_rng(1).uniform([-0.8, -0.4, -0.6], [0.9, 0.4, 0.3], (7, 20, 3))
    pixels = exact_pixels(camera, points, 0.3 * np.arange(7))
    shift = 0.3 * np.arange(7)
    for axis in range(3):
        level = points[..., axis] - (shift[:, None] if axis == 0 else 0)
        found = onto_plane(camera, pixels, axis=axis, level_m=level, shift_m=shift)
        wet = points[..., 2] < 0 if refraction == "flat_port" else np.ones((7, 20), bool)
        assert np.abs(found - points)[wet].max() < 1e-7


def test_undistorted_points_are_distorted_back_by_opencv():
    lens, camera = (-0.1, 0.02, 0.001, -0.002, 0.003), named_camera("side_left")
    pixels = np.random.default_rng(2).uniform([200, 100], [1080, 620], (50, 2))
    (fx, fy), (cx, cy) = camera.focal_px, camera.centre_px
    straight = (pixels - camera.centre_px) / camera.focal_px
    ours = np.stack([*undistort(straight[:, 0], straight[:, 1], lens), np.ones(50)], axis=1)
    matrix = np.array([[fx, 0, cx], [0, fy, cy], [0, 0, 1]])
    theirs = cv2.projectPoints(ours, np.zeros(3), np.zeros(3), matrix, np.array(lens))[0][:, 0]
    assert np.abs(theirs - pixels).max() < PIXEL


def test_a_point_behind_the_lens_meets_nothing():
    camera = side()
    assert np.isnan(onto_plane(camera, np.array([[[960.0, 540.0]]]), axis=1, level_m=9.0)).all()


# ---- the exact condition


@pytest.mark.parametrize("view", VIEWS)
def test_nothing_lost_is_the_projection_of_opencv(view):
    camera = named_camera(view, size_px=FULL_HD)
    points = grid()
    seen = see(still(points, speed=1.4), dataclasses.replace(camera, travels=False), Condition(), seed=1)
    frame = 7
    matrix = np.array(
        [
            [camera.focal_px[0], 0, camera.centre_px[0]],
            [0, camera.focal_px[1], camera.centre_px[1]],
            [0, 0, 1],
        ]
    )
    world = np.array(list(points.values())) + [1.4 * seen.time_s[frame], 0, 0]
    theirs = cv2.projectPoints(
        world, cv2.Rodrigues(camera.rotation)[0], -camera.rotation @ camera.position_m, matrix, np.zeros(5)
    )[0][:, 0]
    kept = seen.confidence[frame] == 1
    assert kept.sum() > 10
    assert np.abs(seen.pixels[frame] - theirs)[kept].max() < PIXEL


def test_a_camera_that_travels_along_keeps_a_drifting_body_in_place():
    seen = see(still(grid(), speed=1.4), side(), Condition(), seed=1)
    assert np.ptp(seen.pixels, axis=0).max() < PIXEL
    assert seen.meta["camera_speed_m_s"] == pytest.approx(1.4, abs=ALGEBRA)


def test_an_object_with_joints_is_seen_like_its_trace():
    from made_swimmers import made

    motion = made("pace400_man").motion
    camera = named_camera("side_left", motion.body.stature_m, size_px=FULL_HD)
    speed = motion.pattern.speed_m_s
    one = see(motion, camera, Condition(), seed=4, duration_s=2.0, speed_m_s=speed)
    other = see(motion.trace(240.0, 2.0), camera, Condition(), seed=4)
    assert one.pixels.shape[0] == other.pixels.shape[0] == 120
    assert np.nanmax(np.abs(one.pixels - other.pixels)) < 0.02  # cubic curves through 240 frames a second
    with pytest.raises(InputError, match="duration_s: expected how long to film"):
        see(motion, camera, Condition())


# ---- noise


@pytest.mark.parametrize(("width", "expected"), [(1920, 2.0), (1280, 4 / 3)])
def test_white_noise_has_the_size_that_is_set_for_full_hd(width, expected):
    camera = named_camera("side_left", size_px=(width, width * 9 // 16))
    seen = see(still(grid(), seconds=10), camera, condition_named("square"), seed=2)
    n = seen.pixels[:, 0].size * 30
    spread = np.nanstd(seen.pixels, axis=0)
    assert np.sqrt(np.nanmean(spread**2)) == pytest.approx(
        expected, abs=mean_of_noisy(expected, 2 * n) + 0.002
    )


def test_wandering_noise_forgets_63_percent_in_its_time():
    condition = Condition(wander_px=3.0, wander_s=0.5)
    seen = see(still(grid(), seconds=120), side(), condition, seed=3)
    error = seen.pixels - np.nanmean(seen.pixels, axis=0)
    lag = 30  # half a second
    likeness = np.nanmean(error[:-lag] * error[lag:]) / np.nanmean(error**2)
    independent = 60 * 120 / (2 * 0.5)  # values: 60 series of 120 s that forget in 0.5 s
    assert likeness == pytest.approx(np.exp(-1), abs=STANDARD_ERRORS / np.sqrt(independent))
    assert np.nanstd(error) == pytest.approx(3.0, rel=STANDARD_ERRORS / np.sqrt(2 * independent))


def test_blur_is_speed_times_exposure_and_shows_the_middle_of_it():
    # 4 m/s across a picture of 150 px a metre, 1/60 s: 10 px (blur length = speed x shutter time x px/m)
    camera = free_camera(
        (0, 10.0, -1), (0, 0, -1), field_deg=2 * np.degrees(np.arctan(0.64)), size_px=FULL_HD, travels=False
    )
    assert camera.focal_px[0] / 10 == pytest.approx(150, abs=1e-9)
    trace = still({f"p{i}": (-3.0, 0, -1) for i in range(300)}, seconds=1.4, speed=4.0)
    condition = Condition(rate_hz=50.0, exposure_s=1 / 60, streak_share=1.0)
    seen = see(trace, camera, condition, seed=3)
    middle = seen.time_s + 1 / 120
    expected = 150 * -(-3.0 + 4.0 * middle) + camera.centre_px[0]
    off = seen.pixels[..., 0] - expected[:, None]
    assert np.nanmax(np.abs(off)) <= 5.0 + SHUTTER_PX
    assert np.nanstd(off) == pytest.approx(10 / np.sqrt(12), rel=0.02)
    assert abs(np.nanmean(off)) < mean_of_noisy(2.9, np.isfinite(off).sum())
    sharp = see(trace, camera, dataclasses.replace(condition, streak_share=0.0), seed=3)
    assert np.nanmax(np.abs(sharp.pixels[..., 0] - expected[:, None])) < SHUTTER_PX


# ---- lost, hidden, swapped


def test_as_many_points_are_lost_as_set_and_for_about_as_long():
    lengths = {}
    for lasts in (0.0, 0.3):
        seen = see(still(grid(), seconds=60), side(), Condition(lost_share=0.1, lost_s=lasts), seed=4)
        lost = np.isnan(seen.pixels[..., 0])
        assert (lost == (seen.confidence == 0)).all()
        assert lost.mean() == pytest.approx(0.1, abs=0.01)
        starts = (lost[1:] & ~lost[:-1]).sum()
        lengths[lasts] = lost.sum() / starts / 60
    assert lengths[0.0] == pytest.approx(
        1 / 60 / 0.9, rel=0.02
    )  # independent frames: 1 / (1 - share) of a frame
    assert lengths[0.3] > 4 * lengths[0.0]


def test_a_hand_behind_the_trunk_is_hidden_and_one_before_it_is_not():
    body = {
        "thorax": (0.5, 0, -0.1),
        "pelvis": (0, 0, -0.1),
        "neck": (0.6, 0, -0.1),
        "head_top": (0.85, 0, -0.1),
    }
    hands = {
        "left_knuckles": (0.3, 0.3, -0.12),
        "right_knuckles": (0.3, -0.3, -0.12),
        "right_wrist": (0.3, -0.3, -0.6),
    }
    trace = still(body | hands)
    seen = see(trace, side(), Condition(behind_times=2.0), seed=1)
    at = seen.joint_names.index
    assert (seen.confidence[:, at("right_knuckles")] == GUESSED).all()
    assert (seen.confidence[:, [at("left_knuckles"), at("right_wrist"), at("pelvis")]] == 1).all()
    lost = see(trace, side(), Condition(lost_behind_share=1.0), seed=1)
    assert np.isnan(lost.pixels[:, at("right_knuckles")]).all()
    assert np.isfinite(lost.pixels[:, at("left_knuckles")]).all()


def test_noise_behind_the_body_is_greater_by_what_is_set():
    body = {"thorax": (0.5, 0, -0.1), "pelvis": (0, 0, -0.1)}
    hands = {"left_knuckles": (0.3, 0.3, -0.12), "right_knuckles": (0.3, -0.3, -0.12)}
    seen = see(still(body | hands, seconds=100), side(), Condition(noise_px=2.0, behind_times=3.0), seed=1)
    spread = seen.pixels.std(axis=0)
    assert spread[3] / spread[2] == pytest.approx([3, 3], rel=STANDARD_ERRORS / np.sqrt(6000))


def test_a_hand_is_lost_in_its_splash_and_then_found_again():
    time = np.arange(601) / 120
    height = 0.2 * np.cos(2 * np.pi * time)  # enters at 0.25 s, 1.25 s, ...
    hand = np.stack([0.5 + 0 * time, 0 * time, height], axis=1)
    trace = Trace(
        time, np.stack([hand, hand], axis=1), ("left_fingertip", "right_elbow"), 120.0, {"speed_m_s": 0.0}
    )
    seen = see(trace, side(), Condition(rate_hz=120.0, splash_s=0.1), seed=2)
    lost = np.isnan(seen.pixels[..., 0])
    since = (seen.time_s - 0.25) % 1
    assert not lost[:, 1].any()
    assert lost[since < 0.05 - 1 / 120, 0].all()
    assert not lost[(since > 0.15 + 1 / 120) & (seen.time_s > 0.25), 0].any()


def test_points_across_the_surface_and_feet_at_it_are_lost():
    points = {
        "left_wrist": (0.2, 0, 0.1),
        "right_wrist": (0.2, 0, -0.1),
        "left_toe": (-0.8, 0, -0.02),
        "right_toe": (-0.8, 0, -0.3),
    }
    trace = still(points, seconds=60)
    wet = see(trace, side(), Condition(lost_beyond_share=1.0), seed=1)
    assert np.isnan(wet.pixels[0, :, 0]).tolist() == [True, False, False, False]
    dry = see(trace, named_camera("above_side", size_px=FULL_HD), Condition(lost_beyond_share=1.0), seed=1)
    assert np.isnan(dry.pixels[0, :, 0]).tolist() == [False, True, True, True]
    feet = see(trace, side(), Condition(splash_feet_share=0.5, lost_s=0.0), seed=1)
    share = np.isnan(feet.pixels[..., 0]).mean(axis=0)
    assert share[2] == pytest.approx(0.5, abs=mean_of_noisy(0.5, len(feet.time_s)))
    assert share[[0, 1, 3]].tolist() == [0, 0, 0]


def test_left_and_right_change_places_for_the_share_that_is_set():
    points = {
        "left_wrist": (0.2, 0, -0.1),
        "right_wrist": (0.4, 0, -0.1),
        "left_knee": (-0.4, 0, 0),
        "right_knee": (-0.6, 0, 0),
    }
    plain = see(still(points, seconds=200), side(), Condition(), seed=6)
    mixed = see(still(points, seconds=200), side(), Condition(swap_share=0.05, swap_s=0.1), seed=6)
    arms = mixed.pixels[:, 0, 0] == plain.pixels[:, 1, 0]
    assert ((mixed.pixels[:, 1, 0] == plain.pixels[:, 0, 0]) == arms).all()
    assert arms.mean() == pytest.approx(0.05, abs=mean_of_noisy(0.22, 1000))  # stretches of 0.2 s
    legs = mixed.pixels[:, 2, 0] == plain.pixels[:, 3, 0]
    assert legs.mean() == pytest.approx(0.05, abs=mean_of_noisy(0.22, 1000))
    assert (arms & legs).mean() < 0.02  # each limb pair by itself


# ---- camera as believed, camera as it was


@pytest.mark.parametrize(
    ("view", "axis", "sign"),
    [("side_left", 0, 1), ("side_right", 0, 1), ("front", 1, 1), ("rear", 1, 1), ("below", 0, 1)],
)
def test_off_square_is_a_turn_round_the_swimmer_that_the_coach_does_not_know(view, axis, sign):
    camera = named_camera(view, size_px=FULL_HD)
    believed, real = believed_and_real(camera, Condition(pan_deg=8.0))
    middle = middle_m(camera)
    before, after = camera.position_m - middle, real.position_m - middle
    assert np.array_equal(believed.position_m, camera.position_m)
    assert np.linalg.norm(after) == pytest.approx(np.linalg.norm(before), abs=ALGEBRA)
    turned = np.degrees(np.arccos(after @ before / (after @ after)))
    assert turned == pytest.approx(8.0, abs=0.2 if view != "below" else 1e-6)
    assert sign * (after - before)[axis] > 0.1
    assert exact_pixels(real, middle[None])[0] == pytest.approx(
        exact_pixels(camera, middle[None])[0], abs=PIXEL
    )


def test_tilt_and_roll_turn_the_picture_by_their_angle():
    camera = named_camera("overhead", size_px=FULL_HD)
    real = believed_and_real(camera, Condition(roll_deg=10.0))[1]
    line = exact_pixels(real, np.array([[0.5, 0, 0], [-0.5, 0, 0]]))
    angle = np.degrees(np.arctan2(*(line[0] - line[1])[::-1])) % 180
    straight = exact_pixels(camera, np.array([[0.5, 0, 0], [-0.5, 0, 0]]))
    flat = np.degrees(np.arctan2(*(straight[0] - straight[1])[::-1])) % 180
    assert abs((angle - flat + 90) % 180 - 90) == pytest.approx(10.0, abs=1e-6)
    high = believed_and_real(named_camera("above_side"), Condition(tilt_deg=5.0))[1]
    assert high.position_m[2] > named_camera("above_side").position_m[2] + 0.2
    with pytest.raises(
        InputError, match="tilt_deg: expected the camera 'side_left' to stay under the surface"
    ):
        believed_and_real(side(), Condition(tilt_deg=20.0))


def test_distance_scale_and_speed_errors_are_shares():
    camera = side()
    middle = middle_m(camera)
    ends = middle + np.array([[-0.5, 0, 0], [0.5, 0, 0]])

    def width(cam):
        return np.ptp(exact_pixels(cam, ends)[:, 0])

    for settings, ratio in (({"distance_error_share": 0.25}, 0.8), ({"scale_error_share": 0.1}, 1.1)):
        believed, real = believed_and_real(camera, Condition(**settings))
        assert width(real) / width(believed) == pytest.approx(ratio, abs=1e-9)
    believed, real = believed_and_real(camera, Condition(distance_m=8.0))
    assert np.linalg.norm(believed.position_m - middle) == pytest.approx(8.0, abs=ALGEBRA)
    assert width(believed) == pytest.approx(width(camera), rel=1e-9)
    seen = see(still(grid(), speed=1.5), camera, Condition(speed_error_share=0.2), seed=1)
    assert seen.meta["camera_speed_m_s"] == pytest.approx(1.25, abs=ALGEBRA)


@pytest.mark.parametrize(("view", "kind"), [("side_left", "flat_port"), ("above_side", "surface")])
def test_a_measured_lens_is_in_the_camera_of_the_coach_and_another_is_not(view, kind):
    camera, lens = named_camera(view, size_px=FULL_HD), (-0.1, 0.02, 0.0, 0.0, 0.0)
    for known in (True, False):
        condition = Condition(lens=lens, refraction=True, calibrated=known)
        seen = see(still(grid()), camera, condition, seed=1)
        assert seen.camera.distortion == (lens if known else (0.0,) * 5)
        assert seen.camera.refraction == (kind if known else "none")
        points = np.array(list(grid().values()))
        again = exact_pixels(seen.camera, points)
        off = np.nanmax(np.abs(seen.pixels[0] - again))
        assert off < PIXEL if known else off > 3.0


# ---- time


def test_frames_begin_at_a_chance_instant_and_slow_motion_is_stamped_slow():
    seen = [see(still(grid()), side(), Condition(rate_hz=240.0, saved_hz=s), seed=9) for s in (None, 30.0)]
    assert 0 < seen[0].time_s[0] < 1 / 240
    assert np.diff(seen[0].time_s) == pytest.approx(1 / 240, abs=ALGEBRA)
    assert np.diff(seen[1].time_s) == pytest.approx(1 / 30, abs=ALGEBRA)
    assert [s.rate_hz for s in seen] == [240.0, 30.0]
    assert np.array_equal(seen[0].pixels, seen[1].pixels)
    starts = [see(still(grid()), side(), Condition(rate_hz=25.0), seed=s).time_s[0] for s in range(40)]
    assert max(starts) > 0.03 and min(starts) < 0.01
    shaky = see(still(grid(), seconds=60), side(), Condition(time_jitter_s=0.002), seed=9)
    assert np.std(np.diff(shaky.time_s)) == pytest.approx(0.002 * np.sqrt(2), rel=0.1)
    with pytest.raises(InputError, match="expected a source of two frames or more"):
        see(still(grid(), seconds=0.05), side(), Condition(rate_hz=25.0), seed=1)


# ---- chance


def test_one_seed_gives_one_picture_and_effects_do_not_stir_each_other():
    trace = still(grid(), seconds=5)
    bad = condition_named("bad day")
    one, again, other = (see(trace, side(), bad, seed=s) for s in (1, 1, 2))
    assert np.array_equal(one.pixels, again.pixels, equal_nan=True)
    assert not np.array_equal(one.pixels, other.pixels, equal_nan=True)
    plain = see(trace, side(), Condition(noise_px=2.0), seed=1)
    gappy = see(trace, side(), Condition(noise_px=2.0, lost_share=0.2), seed=1)
    kept = np.isfinite(gappy.pixels)
    assert np.array_equal(plain.pixels[kept], gappy.pixels[kept])
    right = dataclasses.replace(side(), name="another")
    assert not np.array_equal(see(trace, right, Condition(noise_px=2.0), seed=1).pixels, plain.pixels)


def test_the_seen_holds_nothing_that_a_coach_could_not_know():
    from made_swimmers import made

    trace = made("pace400_man").motion.trace(60.0, 3.0, meta={"stature_m": 1.83, "title": "dropped elbow"})
    seen = see(trace, side(), condition_named("pool deck"), seed=1)
    assert set(seen.meta) == {"condition", "stature_m", "camera_speed_m_s", "note"}
    assert seen.meta["stature_m"] == 1.83


def test_a_gap_in_the_trace_stays_a_gap():
    trace = still(grid())
    joints = trace.joints_m.copy()
    joints[30:40, 3] = np.nan
    seen = see(dataclasses.replace(trace, joints_m=joints), side(), Condition(), seed=1)
    gone = np.isnan(seen.pixels[..., 0])
    assert gone[:, 3].sum() in (10, 11)
    assert not np.delete(gone, 3, axis=1).any()


# ---- the named conditions


def test_the_named_conditions_say_what_they_are():
    square, deck = condition_named("square"), condition_named("pool deck")
    assert square == Condition(name="square", rate_hz=60.0, noise_px=2.0)
    assert (deck.rate_hz, deck.pan_deg, deck.noise_px, deck.lost_share) == (30.0, 8.0, 6.0, 0.10)
    assert {"exact", "square", "pool deck", "good action camera", "bad day"} == set(condition_names())
    assert condition_named("exact") == Condition()


def test_wrong_settings_are_named_all_at_once():
    with pytest.raises(InputError, match="did you mean 'pool deck'"):
        condition_named("pool_deck")
    with pytest.raises(
        InputError, match=r"(?s)rate_hz: expected 25 to 240, got 10.*lost_share: expected 0 to 0.9, got 2"
    ):
        make_condition({"rate_hz": 10, "lost_share": 2})
    with pytest.raises(InputError, match="noise: no such setting; did you mean 'noise_px'"):
        make_condition({"noise": 3})
    with pytest.raises(InputError, match=r"exposure_s: expected at most one frame, 0.01667 s, got 0.02"):
        Condition(exposure_s=0.02)
    with pytest.raises(InputError, match="lens: expected five numbers"):
        Condition(lens=(1, 2))
    with pytest.raises(InputError, match="refraction: expected true or false"):
        Condition(refraction="surface")
    changed = make_condition({"like": "pool deck", "pan_deg": 0.0})
    assert changed == dataclasses.replace(
        condition_named("pool deck"), pan_deg=0.0, name="pool deck, changed"
    )


@pytest.mark.parametrize(("view", "kind"), [("side_left", "flat_port"), ("above_side", "surface")])
def test_a_lens_of_the_camera_s_own_stays_as_it_is(view, kind):
    camera = named_camera(view, size_px=FULL_HD, refraction=kind)
    camera = dataclasses.replace(camera, distortion=(-0.1, 0.02, 0.0, 0.0, 0.0))
    points = grid()
    seen = see(still(points), camera, Condition(), seed=1)
    assert (seen.camera.distortion, seen.camera.refraction) == (camera.distortion, kind)
    assert seen.camera.focal_px == camera.focal_px
    exact = exact_pixels(camera, np.array(list(points.values())))
    kept = seen.confidence[0] == 1
    assert kept.sum() > 10
    assert np.abs(seen.pixels[0] - exact)[kept].max() < PIXEL
    again = see(still(points), camera, Condition(refraction=True), seed=1)  # it is bent already
    assert np.abs(again.pixels - seen.pixels)[:, kept].max() < PIXEL
