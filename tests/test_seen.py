"""SECOND METHOD and HAND-COUNTED: what one camera tells, against the truth of the swimmer and angles by hand.

Tolerances of measures say which set coordinate eats them: a hand 5 cm nearer than set, seen from 4 m, is 1.25 % larger.
"""

import dataclasses

import numpy as np
import pytest
from made_swimmers import made
from tolerances import ALGEBRA, STANDARD_ERRORS

from swimsim.ground.conventions import JOINTS
from swimsim.ground.errors import InputError
from swimsim.ground.rays import onto_plane
from swimsim.ground.records import Seen
from swimsim.ground.tables import read_toml
from swimsim.metrics.measures_arm import included_deg
from swimsim.metrics.seen_arms import on_sphere
from swimsim.metrics.seen_lift import lift
from swimsim.metrics.seen_reading import Scale, lifted, measure_seen
from swimsim.metrics.seen_sides import sides_put_right
from swimsim.metrics.seen_square import squared
from swimsim.metrics.seen_views import NO_SCALE, readable, view_of
from swimsim.view.cameras import free_camera, named_camera
from swimsim.view.conditions import Condition, condition_named
from swimsim.view.refraction import see as exact_pixels
from swimsim.view.seeing import see

FULL_HD = (1920, 1080)
PRESET = "pace400_man"


def swimmer():
    return made(PRESET, breathing=("left", 2))


def seen_by(view, condition=None, *, seed=1, cycles=7, **camera):
    """A swimmer of several cycles seen by a named camera."""
    one = swimmer()
    lens = dataclasses.replace(named_camera(view, one.body.stature_m, size_px=FULL_HD), **camera)
    trace = one.motion.trace(240.0, cycles * one.motion.cycle_s, meta={"stature_m": one.body.stature_m})
    return see(trace, lens, condition or Condition(), seed=seed)


def truth(name, side=None):
    return next(
        m.value
        for m in swimmer().truth.measures
        if (m.measure, m.side, m.cycle, m.breathing) == (name, side, None, None)
    )


# ---- which view tells what


@pytest.mark.parametrize(
    ("view", "axes", "above"),
    [
        ("side_left", "xz", False), ("side_right", "xz", False), ("front", "yz", False), ("rear", "yz", False),
        ("below", "xy", False), ("above_side", "xz", True), ("above_front", "yz", True), ("overhead", "xy", True),
    ],
)  # fmt: skip
def test_a_view_knows_its_axes(view, axes, above):
    found = view_of(named_camera(view))
    assert (found.axes, found.above) == (axes, above)


def test_every_measure_says_from_where_it_can_be_read():
    rows = read_toml("seen")["measure"]
    assert set(read_toml("definitions")["measure"]) <= set(rows)
    for name, row in rows.items():
        assert row["water"] in ("under", "above", "any"), name
        assert all(set(axes) <= set("xyz") for axes in row["axes"]), name


@pytest.mark.parametrize(
    ("measure", "view", "reason"),
    [
        ("hip_roll_peak", "side_left", "needs y and z; a side view shows x and z"),
        ("forearm_slope_at_45", "front", "needs x and z; a front or rear view shows y and z"),
        ("hand_depth", "below", "needs z; a view from below or above shows x and y"),
        ("hand_depth", "above_side", "read from parts under water, which a camera above does not show truly"),
        (
            "elbow_above_wrist",
            "side_left",
            "read from parts above the surface, which a camera under water does not",
        ),
    ],
)
def test_a_measure_that_a_view_does_not_show_says_why(measure, view, reason):
    why, _ = readable(measure, view_of(named_camera(view)))
    assert why.startswith(reason)
    rows = [m for m in measure_seen(seen_by(view)).measures if m.measure == measure]
    assert rows and all(np.isnan(m.value) and m.reason == why and m.uncertainty is None for m in rows)


def test_an_unknown_measure_is_not_readable():
    assert (
        readable("nothing", view_of(named_camera("front")))[0] == "not known to be readable from one camera"
    )


# ---- rays, planes, spheres by hand


def test_parallax_is_what_the_distance_says():
    # a stick 0.2 m nearer than the plane it is set to, square camera: 2.5/2.3, 4/3.8 and 5/4.8
    for distance, percent in ((2.5, 8.7), (4.0, 5.3), (5.0, 4.2)):
        camera = free_camera((0, distance, -0.5), (0, 0, -0.5), field_deg=60, travels=False)
        stick = np.array([[[-0.2, 0.2, -0.5], [0.2, 0.2, -0.5]]])
        found = onto_plane(camera, exact_pixels(camera, stick), axis=1, level_m=0.0)
        assert 100 * (np.ptp(found[0, :, 0]) / 0.4 - 1) == pytest.approx(percent, abs=0.05)


def test_a_ray_meets_a_sphere_before_and_behind():
    origins, along = np.zeros((4, 3)), np.tile([1.0, 0, 0], (4, 1))
    centres = np.array([[10.0, 3, 0], [10, 3, 0], [10, 3, 0], [10, 7, 0]])
    found = on_sphere(origins, along, centres, 5.0, np.array([1.0, -1.0, 0.0, 1.0]))
    assert found[:, 0].tolist() == [6, 14, 10, 10]  # 3-4-5; half-way; one that passes by
    assert (found[:, 1:] == 0).all()


def arm_in_the_picture(elbow_deg, turn_deg):
    """Pixels of an arm whose forearm is swung out of the picture about the upper arm's line, seen from far away."""
    angle, turn = np.radians(elbow_deg), np.radians(turn_deg)
    shoulder, elbow = np.array([0.3, 0, 0]), np.zeros(3)
    across = np.array([0, np.sin(turn), -np.cos(turn)])
    wrist = 0.3 * (np.cos(angle) * np.array([1.0, 0, 0]) + np.sin(angle) * across)
    camera = free_camera((0, 400.0, -0.1), (0, 0, -0.1), field_deg=0.0 + 1.0, travels=False)
    names = ("left_shoulder", "left_elbow", "left_wrist")
    points = np.repeat(np.stack([shoulder, elbow, wrist])[None], 30, axis=0)
    return Seen(np.arange(30) / 60, exact_pixels(camera, points), np.ones((30, 3)), names, camera, 60.0, {})


@pytest.mark.parametrize(
    ("elbow", "turn", "reads"),
    [
        (100, 45, 104),
        (100, 60, 109),
        (120, 45, 129),
        (120, 60, 139),
        (140, 45, 149),
        (140, 60, 157),
        (90, 45, 90),
    ],
)
def test_the_angle_in_the_picture_is_not_the_one_in_space(elbow, turn, reads):
    # tan(seen - 90) = tan(elbow - 90) / cos(turn): a forearm swung out about the upper arm's line
    trace = lift(
        arm_in_the_picture(elbow, turn), stature_m=1.8, time_s=np.arange(30) / 60, limbs=False, square=False
    )
    joints = [trace.joint(f"left_{name}") for name in ("shoulder", "elbow", "wrist")]
    assert included_deg(*joints)[15] == pytest.approx(
        reads, abs=0.6
    )  # printed to a degree; 0.1 of perspective


def test_the_height_of_the_mouth_is_told_from_ahead_alone():
    """Beside the lane and above it a face turned to the side looks lower, by how far it lies off the midline."""
    beside = measure_seen(seen_by("above_side")).measure("mouth_height", "left")
    assert np.isnan(beside.value) and beside.reason == "needs y and z; a side view shows x and z"
    ahead = measure_seen(seen_by("above_front")).measure("mouth_height", "left")
    assert ahead.value == pytest.approx(truth("mouth_height", "left"), abs=1.5)  # what the perspective leaves


def test_the_rule_says_how_an_angle_was_told():
    seen = seen_by("side_left")
    by_limbs, in_picture = (measure_seen(seen, limbs=limbs) for limbs in (True, False))
    assert by_limbs.measure("elbow_least", "left").rule == "shoulder_elbow_wrist_by_limb_length"
    assert in_picture.measure("elbow_least", "left").rule == "shoulder_elbow_wrist_as_seen"
    assert by_limbs.measure("trunk_slope").rule == "mid_hip_to_mid_shoulder_side_plane"
    true = truth("elbow_least", "left")
    assert abs(by_limbs.measure("elbow_least", "left").value - true) < 6
    assert in_picture.measure("elbow_least", "left").value > true + 15


# ---- against the truth of the swimmer, nothing lost


SIDE = {
    "stroke_rate": 0.05, "stroke_length": 0.01, "speed": 0.01, "phase_entry_catch": 1.0, "phase_pull": 1.0,
    "phase_push": 1.0, "phase_recovery": 1.0, "coordination_index": 0.5, "trunk_slope": 0.3, "kick_beats": 0.01,
    "exit_past_hip": 2.0, "hand_depth": 1.5, "entry_reach": 3.0, "forearm_slope_at_45": 4.0, "kick_range": 1.5,
    "elbow_at_30cm_depth": 6.0, "elbow_at_shoulder_plane": 5.0, "knee_most": 1.5, "backward_displacement": 3.0,
    "palm_at_hip_line": 8.0,
}  # fmt: skip
HAND_SET_STRAIGHT = (
    13.0  # along the lane a hand is set straight before its forearm, and it enters bent, fingers first
)
FRONT = {
    "stroke_rate": 0.05, "shoulder_roll_peak": 1.0, "hip_roll_peak": 0.5, "hip_lag": 0.3, "hip_roll_dip": 0.5,
    "entry_line": 1.0, "extension_line": 1.5, "pull_line": 1.5, "foot_gap": 1.0, "phase_recovery": 1.0,
    "hand_depth": 1.5, "palm_out_at_entry": HAND_SET_STRAIGHT, "breath_turn_start": 1.0,
}  # fmt: skip
ABOVE_SIDE = {"elbow_above_wrist": 2.0, "stroke_rate": 0.05, "phase_recovery": 1.5, "entry_reach": 3.0}
ABOVE_FRONT = {"elbow_above_wrist": 2.5, "entry_line": 2.0, "recovery_line": 3.0, "stroke_rate": 0.05}


@pytest.mark.parametrize(
    ("view", "wanted"),
    [
        ("side_left", SIDE), ("side_right", SIDE), ("front", FRONT), ("rear", FRONT), ("above_side", ABOVE_SIDE),
        ("above_front", ABOVE_FRONT),
    ],
)  # fmt: skip
def test_a_view_tells_its_measures(view, wanted):
    reading = measure_seen(seen_by(view))
    sides = {key: d["per"] == "side" for key, d in read_toml("definitions")["measure"].items()}
    told = 0
    for name, tolerance in wanted.items():
        for side in ("left", "right") if sides[name] else (None,):
            if name == "breath_turn_start" and side == "right":
                continue  # this swimmer breathes to the left
            assert reading.measure(name, side).value == pytest.approx(truth(name, side), abs=tolerance), (
                name,
                side,
            )
            told += 1
    assert told >= len(wanted)


UNDER_WAY, AT_SURFACE = {"start_backward", "shoulder_plane", "end_backward"}, {"entry", "exit"}


@pytest.mark.parametrize(
    ("view", "events"),
    [
        ("side_right", UNDER_WAY | AT_SURFACE), ("front", AT_SURFACE), ("rear", AT_SURFACE), ("below", UNDER_WAY),
        ("above_side", AT_SURFACE), ("above_front", AT_SURFACE),
    ],
)  # fmt: skip
def test_only_events_that_a_view_shows_are_told(view, events):
    assert {e.event for e in measure_seen(seen_by(view)).events} == events


def test_from_below_rate_and_speed_are_read():
    reading = measure_seen(seen_by("below"))
    assert reading.measure("stroke_rate").value == pytest.approx(truth("stroke_rate"), abs=0.1)
    assert reading.measure("speed").value == pytest.approx(truth("speed"), abs=0.02)


@pytest.mark.parametrize("name", ["square", "pool deck"])
def test_events_of_the_side_view_lie_near_the_true_ones(name):
    reading, one = measure_seen(seen_by("side_left", condition_named(name))), swimmer()
    lens = {"entry": 0.035, "shoulder_plane": 0.035, "exit": 0.02}  # a shallow entry: 1 cm of height is 20 ms
    for event, tolerance in lens.items():
        true = np.array([e.time_s for e in one.truth.events if e.event == event and e.side == "left"])
        true = (true[0] + one.motion.cycle_s * np.arange(-1, 9))[:, None]
        found = np.array([e.time_s for e in reading.events if e.event == event and e.side == "left"])
        assert len(found) >= 5
        assert np.abs(true - found).min(axis=0).max() < tolerance * (1 if name == "square" else 2), event


# ---- off square


@pytest.mark.parametrize("view", ["side_left", "side_right", "front", "rear", "below"])
@pytest.mark.parametrize("pan", [-8.0, 0.0, 8.0, 15.0])
def test_the_body_tells_how_far_off_square_the_camera_stood(view, pan):
    condition = Condition(pan_deg=pan)
    seen = seen_by(view, condition, cycles=3)
    trace, _ = lifted(seen, Scale())
    real = {"side_left": -1, "side_right": 1, "front": 1, "rear": -1, "below": 0}[view] * pan
    assert trace.meta["turned_deg"] == pytest.approx(real, abs=1.0 + 0.06 * abs(pan))  # hips sway and roll
    plain, _ = lifted(seen, Scale(), square=False)
    assert plain.meta["turned_deg"] == 0.0


def test_squaring_takes_the_leak_out_of_the_hand_lines():
    seen = seen_by("front", Condition(pan_deg=8.0))
    squared_up, left_alone = (measure_seen(seen, square=square) for square in (True, False))
    true = truth("entry_line", "left")
    assert abs(squared_up.measure("entry_line", "left").value - true) < 3
    assert abs(left_alone.measure("entry_line", "left").value - true) > 10  # 0.9 m ahead x sin 8 degrees


def test_too_little_body_leaves_the_camera_as_it_is():
    camera = named_camera("front", size_px=FULL_HD)
    pixels = np.full((50, 2, 2), np.nan)
    same, turn = squared(
        camera, pixels, levels_m=np.zeros(2), names=("thorax", "pelvis"), view=view_of(camera)
    )
    assert same is camera
    assert turn == 0.0


# ---- scale


def test_a_wrong_scale_is_mended_by_the_body_or_a_line():
    seen = seen_by("side_left", Condition(scale_error_share=0.10))
    true = truth("hand_depth", "left")
    wrong = measure_seen(seen).measure("hand_depth", "left").value
    assert wrong == pytest.approx(1.10 * true, rel=0.05)
    by_body = measure_seen(seen, scale=Scale("body", swimmer().body.stature_m))
    assert by_body.measure("hand_depth", "left").value == pytest.approx(
        true, rel=0.04
    )  # proportions of the mean body
    real = dataclasses.replace(seen.camera, focal_px=tuple(1.1 * f for f in seen.camera.focal_px))
    middle = (np.array(FULL_HD) - 1) / 2
    ends = exact_pixels(real, np.array([[-1.0, 0, -0.2], [1.0, 0, -0.2]]))
    ends += middle - exact_pixels(real, onto_plane(seen.camera, middle[None, None], axis=1, level_m=0.0)[0])
    line = Scale("lane_line", 2.0, (tuple(ends[0]), tuple(ends[1])))
    assert measure_seen(seen, scale=line).measure("hand_depth", "left").value == pytest.approx(true, rel=0.03)


def test_a_rope_beside_the_lane_is_taken_at_its_distance():
    seen = seen_by("side_left")
    rope = exact_pixels(seen.camera, np.array([[-1.0, -1.25, 0.0], [1.0, -1.25, 0.0]]))
    scale = Scale("lane_line", 2.0, (tuple(rope[0]), tuple(rope[1])), beside_m=-1.25)
    a, b = (measure_seen(seen, scale=s).measure("hand_depth", "left").value for s in (scale, "camera"))
    assert a == pytest.approx(b, abs=1e-6)


def test_without_a_scale_angles_and_shares_stay_and_lengths_go():
    reading = measure_seen(seen_by("side_left"), scale="none")
    assert reading.measure("hand_depth", "left").reason == NO_SCALE
    assert np.isnan(reading.measure("speed").value)
    assert reading.measure("trunk_slope").value == pytest.approx(truth("trunk_slope"), abs=0.3)
    assert np.isfinite(reading.measure("phase_pull", "left").value)


def test_a_scale_that_says_nothing_is_refused():
    with pytest.raises(
        InputError, match="expected one of camera, body, lane_line, none, got 'bodies'; did you mean 'body'"
    ):
        Scale("bodies")
    with pytest.raises(InputError, match="length: expected metres above 0, got -1"):
        Scale("body", -1)
    with pytest.raises(InputError, match="lane_line: expected the length of the line"):
        Scale("lane_line", 2.0)
    with pytest.raises(InputError, match="filmed_hz: expected frames a second above 0"):
        measure_seen(seen_by("side_left", cycles=2), filmed_hz=-3)


# ---- time, noise, camera


def test_slow_motion_is_read_by_the_rate_it_was_filmed_at():
    seen = seen_by("side_left", Condition(rate_hz=120.0, saved_hz=30.0), cycles=4)
    assert measure_seen(seen, filmed_hz=120.0).measure("stroke_rate").value == pytest.approx(
        truth("stroke_rate"), abs=0.1
    )
    believed = measure_seen(seen).measure("stroke_rate").value
    assert believed < truth("stroke_rate") / 3 or np.isnan(believed)


def test_white_noise_is_found_at_its_size_on_the_axes_that_are_seen():
    seen = seen_by("side_left", condition_named("square"), cycles=12)
    reading = measure_seen(seen)
    per_px = 4.0 * swimmer().body.stature_m / 1.8 / seen.camera.focal_px[0]
    for group in ("hip", "shoulder", "knee"):
        assert reading.noise_m[group] == pytest.approx(2 * per_px, rel=0.15), group


def test_points_of_low_confidence_are_left_out():
    seen = seen_by("side_left")
    confidence = seen.confidence.copy()
    confidence[:, JOINTS.index("left_elbow")] = 0.1
    reading = measure_seen(dataclasses.replace(seen, confidence=confidence))
    assert reading.measure("elbow_least", "left").reason == "joint missing: left_elbow"
    assert np.isfinite(reading.measure("elbow_least", "right").value)


def test_a_still_camera_reads_the_speed_of_what_passes():
    seen = seen_by("side_left", cycles=3, travels=False)
    inside = np.isfinite(seen.pixels[:, JOINTS.index("pelvis"), 0])
    trace, _ = lifted(seen, Scale())
    hip, time = trace.joint("pelvis")[inside, 0], trace.time_s[inside]
    assert np.polyfit(time, hip, 1)[0] == pytest.approx(truth("speed"), rel=0.02)


def test_seen_points_do_not_depend_on_the_order_of_joints():
    seen = seen_by("front", cycles=3)
    turned = dataclasses.replace(
        seen,
        pixels=seen.pixels[:, ::-1],
        confidence=seen.confidence[:, ::-1],
        joint_names=seen.joint_names[::-1],
    )
    a, b = lifted(seen, Scale())[0], lifted(turned, Scale())[0]
    assert np.nanmax(np.abs(a.joints_m - b.joints_m[:, ::-1])) < 1e3 * ALGEBRA


def test_noise_over_many_seeds_does_not_shift_the_entry_line():
    values = [
        measure_seen(seen_by("front", condition_named("square"), seed=s, cycles=4))
        .measure("entry_line", "left")
        .value
        for s in range(6)
    ]
    exact = measure_seen(seen_by("front", cycles=4)).measure("entry_line", "left").value
    spread = max(np.std(values, ddof=1), 0.05)
    assert abs(np.mean(values) - exact) < STANDARD_ERRORS * spread / np.sqrt(6) + 0.3  # gaps of chance frames


@pytest.mark.parametrize("view", ["side_left", "front", "rear", "below", "above_side", "above_front"])
def test_what_a_view_cannot_tell_is_left_out_and_nothing_else(view):
    from swimsim.metrics import measure_trace

    seen = seen_by(view, condition_named("square"), cycles=4)
    trace, how = lifted(seen, Scale())
    full = {(m.measure, m.side, m.cycle, m.breathing): m for m in measure_trace(trace).measures}
    short = {(m.measure, m.side, m.cycle, m.breathing): m for m in measure_seen(seen).measures}
    for key, measure in full.items():
        why, _ = readable(measure.measure, how)
        if why is None:
            assert short[key].value == measure.value or np.isnan([short[key].value, measure.value]).all(), key
            assert short[key].reason == measure.reason
        elif measure.cycle is None and measure.breathing is None:
            assert np.isnan(short[key].value) and short[key].reason == why
        else:
            assert key not in short
    assert set(short) <= set(full)


# ---- left and right put right


def two_hands(frames=60):
    """Arms of two joints a side that stay apart, at 30 frames a second."""
    names = ("left_elbow", "right_elbow", "left_wrist", "right_wrist", "nose")
    time = np.arange(frames) / 30
    places = np.array([[200.0, 300], [600, 320], [150, 400], [650, 420], [400, 100]])
    pixels = (
        places + 20 * np.sin(2 * time)[:, None, None] + np.random.default_rng(0).normal(0, 2, (frames, 5, 2))
    )
    return names, time, pixels


def with_sides_exchanged(pixels, rows):
    swapped = pixels.copy()
    swapped[np.ix_(rows, [0, 1, 2, 3])] = pixels[np.ix_(rows, [1, 0, 3, 2])]
    return swapped


@pytest.mark.parametrize("rows", [[10], [10, 11, 12], list(range(20, 32)), [5, 6, 30]])
def test_a_short_exchange_of_sides_is_undone(rows):
    names, time, pixels = two_hands()
    mended, count = sides_put_right(with_sides_exchanged(pixels, rows), names, time)
    assert np.array_equal(mended, pixels)
    assert count == len(rows)


def test_limbs_that_never_change_places_are_left_alone():
    names, time, pixels = two_hands()
    mended, count = sides_put_right(pixels, names, time)
    assert mended is pixels
    assert count == 0
    long = with_sides_exchanged(pixels, list(range(20, 50)))  # a second: perhaps the arms crossed
    assert np.array_equal(sides_put_right(long, names, time)[0], long)


def test_limbs_too_close_together_tell_nothing():
    names, time, pixels = two_hands()
    near = pixels.copy()
    near[:, 1], near[:, 3] = near[:, 0] + 5, near[:, 2] + 5
    swapped = with_sides_exchanged(near, [10, 11])
    assert np.array_equal(sides_put_right(swapped, names, time)[0], swapped)


@pytest.mark.parametrize("view", ["side_left", "front", "rear", "below", "above_front", "above_side"])
def test_a_swimmer_without_exchanges_keeps_every_side(view):
    for name in ("exact", "square", "pool deck"):
        seen = seen_by(view, condition_named(name), cycles=5)
        assert sides_put_right(seen.pixels, seen.joint_names, seen.time_s)[1] == 0, name


def test_most_exchanges_of_a_front_view_are_undone():
    swaps = {"swap_share": 0.04, "swap_s": 0.1}
    plain, mixed = (seen_by("front", Condition(noise_px=2.0, **more), cycles=8) for more in ({}, swaps))
    wrong = [(p != plain.pixels).any(axis=-1).mean() for p in (mixed.pixels, mended_of(mixed))]
    assert wrong[0] > 0.02
    assert wrong[1] < 0.2 * wrong[0]


def mended_of(seen):
    return sides_put_right(seen.pixels, seen.joint_names, seen.time_s)[0]


def test_a_hand_lost_in_its_splash_is_read_across_the_gap():
    seen = seen_by("side_left", Condition(rate_hz=60.0, splash_s=0.12))
    reading = measure_seen(seen)
    assert reading.measure("stroke_rate").value == pytest.approx(truth("stroke_rate"), abs=0.5)
    assert reading.measure("phase_recovery", "left").value == pytest.approx(
        truth("phase_recovery", "left"), abs=3.0
    )
