"""INVARIANT: whatever is asked for, the swimmer is human and smooth at every instant, or is refused in words.

The limits are wide and COMMON PRACTICE: only an impossible motion breaks them.
"""

from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_swimmers import BREATHING, KICKS, made, spread
from scipy.spatial.transform import Rotation
from test_smooth_motion import assert_smooth

from swimsim.faults.apply import apply_faults
from swimsim.faults.catalogue import FaultSetting, faults
from swimsim.ground.conventions import JOINT_INDEX, SIDES
from swimsim.ground.errors import InputError, UnreachableError
from swimsim.motion.human import problems
from swimsim.motion.solve import solve
from swimsim.stroke.pattern import fields_by_name, set_targets
from swimsim.stroke.presets import PRESETS, make_pattern, preset_row
from swimsim.swimmer.anthropometry import SEXES, make_body

few = settings(max_examples=25, derandomize=True, deadline=None, database=None)


def assert_human(motion):
    assert not problems(motion)
    assert_smooth(motion)
    assert_knees_bend_back(motion)
    assert_heels_are_at_the_back(motion)


def assert_heels_are_at_the_back(motion):
    """The heel lies on the side of the shank to which the knee bends, the toes on the other side of the sole's line."""
    time = np.linspace(0, motion.period_cycles * motion.cycle_s, 100, endpoint=False)
    joints = motion.joints(time)
    across = joints[:, JOINT_INDEX["left_hip"]] - joints[:, JOINT_INDEX["right_hip"]]
    for side in SIDES:
        knee, ankle, heel, toe = (
            joints[:, JOINT_INDEX[f"{side}_{name}"]] for name in ("knee", "ankle", "heel", "toe")
        )
        for along, to in ((ankle - knee, heel - ankle), (toe - heel, heel - ankle)):
            assert (np.einsum("ij,ij->i", np.cross(along, to), across) > 0).all()


def assert_knees_bend_back(motion):
    """The shank turns to the back of the thigh, seen along the hip line."""
    time = np.linspace(0, motion.period_cycles * motion.cycle_s, 400, endpoint=False)
    joints = motion.joints(time)
    across = joints[:, JOINT_INDEX["left_hip"]] - joints[:, JOINT_INDEX["right_hip"]]
    for side in SIDES:
        hip, knee, ankle = (joints[:, JOINT_INDEX[f"{side}_{name}"]] for name in ("hip", "knee", "ankle"))
        turn = np.einsum("ij,ij->i", np.cross(knee - hip, ankle - knee), across)
        assert (turn > 0).all()


# ---- What the check sees: a human motion changed by hand into an impossible one


def changed(motion, change):
    """A motion whose joints are `change(joints, share)` of the given one."""
    parts = {name: getattr(motion, name) for name in ("cycle_s", "period_cycles", "pattern", "body")}
    return SimpleNamespace(joints=lambda t: change(motion.joints(t), t / motion.cycle_s), **parts)


def turned(joints, pivot, names, axis, degrees):
    """Joints with some of them turned about a pivot joint."""
    joints, at = joints.copy(), [JOINT_INDEX[name] for name in names]
    middle = joints[:, JOINT_INDEX[pivot]]
    for k, unit in enumerate(axis / np.linalg.norm(axis, axis=1, keepdims=True)):
        turn = Rotation.from_rotvec(np.radians(degrees) * unit)
        joints[k, at] = middle[k] + turn.apply(joints[k, at] - middle[k])
    return joints


HAND = ("left_knuckles", "left_fingertip", "left_thumb_tip")


def bend_wrist(degrees):
    def change(joints, _):
        def at(name):
            return joints[:, JOINT_INDEX[f"left_{name}"]]

        hand, thumb = at("knuckles") - at("wrist"), at("thumb_tip") - at("wrist")
        return turned(joints, "left_wrist", HAND, np.cross(np.cross(hand, thumb), hand), degrees)

    return change


def jerk_hand(joints, share):
    """Two centimetres off for a fortieth of the cycle."""
    joints = joints.copy()
    joints[:, [JOINT_INDEX[name] for name in HAND], 2] += (
        0.02 * np.exp(-(((share - 0.5) / 0.004) ** 2))[:, None]
    )
    return joints


def lock_elbow(joints, _):
    """Wrist and hand put on the line of the upper arm."""
    joints = joints.copy()
    upper = joints[:, JOINT_INDEX["right_elbow"]] - joints[:, JOINT_INDEX["right_shoulder"]]
    joints[:, JOINT_INDEX["right_wrist"]] = joints[:, JOINT_INDEX["right_elbow"]] + 0.9 * upper
    return joints


def fold_knee(joints, _):
    """Ankle and foot laid back onto the thigh."""
    joints = joints.copy()
    for name in ("ankle", "heel", "toe"):
        joints[:, JOINT_INDEX[f"left_{name}"]] = joints[:, JOINT_INDEX["left_hip"]] + 0.05
    return joints


def turn_head(degrees):
    """The head turned about the trunk's line, or bent back about the ears."""

    def change(joints, _, *, axis=("thorax", "pelvis")):
        names = ("head_top", "chin", "nose", *(f"{side}_{part}" for side in SIDES for part in ("eye", "ear")))
        way = joints[:, JOINT_INDEX[axis[0]]] - joints[:, JOINT_INDEX[axis[1]]]
        return turned(joints, "neck", names, way, degrees)

    return change


def bend_neck(degrees):
    def change(joints, share):
        return turn_head(degrees)(joints, share, axis=("right_ear", "left_ear"))

    return change


def lose_a_joint(joints, share):
    joints = joints.copy()
    joints[np.abs(share - 0.3) < 0.01, JOINT_INDEX["left_toe"]] = np.nan
    return joints


@pytest.mark.parametrize(
    ("change", "word"),
    [
        (bend_wrist(110), "left wrist extension: expected -80 to 70"),
        (bend_wrist(-130), "left wrist extension: expected -80 to 70"),
        (jerk_hand, "left hand acceleration: expected 0 to 220"),
        (lock_elbow, "right elbow: expected 30 to 179, got 180.0"),
        (fold_knee, "left knee flexion: expected 0 to 140"),
        (turn_head(60), "neck turn: expected -90 to 90"),
        (turn_head(-60), "neck turn: expected -90 to 90"),
        (bend_neck(80), "neck extension: expected -60 to 75"),
        (bend_neck(-80), "neck extension: expected -60 to 75"),
        (lose_a_joint, "a joint is not finite"),
    ],
)
def test_an_impossible_motion_is_named(change, word):
    found = problems(changed(made("pace400_man").motion, change))
    assert any(text.startswith(word) for text in found), found


def test_the_motion_that_was_changed_is_human_and_wrists_extend_in_the_push():
    """Late in the push the wrist extends, so 40 degrees more break the limit and 40 less do not."""
    motion = made("pace400_man").motion
    assert problems(changed(motion, lambda joints, _: joints)) == ()
    assert [text[:21] for text in problems(changed(motion, bend_wrist(40)))] == ["left wrist extension:"]
    assert problems(changed(motion, bend_wrist(-40))) == ()
    assert problems(changed(motion, turn_head(30))) == problems(changed(motion, bend_neck(30))) == ()


# ---- Presets and bodies (faults of every size: test_cross_talk.py)


@pytest.mark.parametrize(("preset", "breathing", "kick", "stature_m"), spread())
def test_clean_swimmers_are_human(preset, breathing, kick, stature_m):
    one = made(preset, breathing=breathing, kick=kick, stature_m=stature_m)
    assert not problems(one.motion)
    assert_knees_bend_back(one.motion)


@pytest.mark.parametrize(
    ("target", "value", "event"),
    [
        ("exit_past_hip_m", -0.34, "end_backward"),  # a hand so short of the hip, in the time of a full push
        ("push_share", 0.32, "end_backward"),
        ("catch_depth_m", 0.60, "start_backward"),
        ("push_share", 0.35, "entry"),  # so little time to recover that the hand drags through the water
    ],
)
def test_a_hand_that_would_turn_twice_or_drag_is_refused(target, value, event):
    """All targets can be met, yet an event comes before its time: that is no stroke."""
    with pytest.raises(UnreachableError, match=f"{event}: expected at .* touches the water or turns twice"):
        solve(set_targets(made("pace400_man").pattern, {target: value}), made("pace400_man").body)


# ---- Anything


@st.composite
def swimmers(draw):
    """Any stroke of a preset on any body, rate up to 15 % off at the preset's stroke length."""
    preset = draw(st.sampled_from(PRESETS))
    body = make_body(draw(st.floats(1.45, 2.05)), sex=draw(st.sampled_from(SEXES)))
    rate = preset_row(preset)["rate_per_min"] / 60 * draw(st.floats(0.85, 1.15))
    side, every = draw(st.sampled_from(BREATHING))
    side = draw(st.sampled_from(["left", "right"])) if every else side
    pattern = make_pattern(
        preset, body, pace=(rate, None), breathing=(side, every), kick_beats=draw(st.sampled_from(KICKS))
    )
    return body, pattern


@st.composite
def settings_of_faults(draw, most=2):
    """One or two faults of any size and side."""
    chosen = draw(st.lists(st.sampled_from(sorted(faults())), min_size=1, max_size=most, unique=True))
    return [
        FaultSetting(
            slug, severity=draw(st.floats(0.05, 1.0)), side=draw(st.sampled_from(faults()[slug].sides))
        )
        for slug in chosen
    ]


@few
@given(swimmers())
def test_any_clean_swimmer_is_human(swimmer):
    """None of them is refused: every body from 1.45 to 2.05 m can swim every preset."""
    body, pattern = swimmer
    assert_human(solve(pattern, body))


@few
@given(swimmers(), settings_of_faults())
def test_any_swimmer_with_faults_is_human_or_refused_in_words(swimmer, asked):
    body, pattern = swimmer
    try:
        motion = solve(apply_faults(pattern, asked, half_width_m=body.shoulder_width_m / 2), body)
    except InputError as refusal:
        assert "expected" in str(refusal) or "cannot be reached" in str(refusal)
        return
    assert_human(motion)


TARGETS = (
    "hand_depth_m", "entry_line_m", "exit_past_hip_m", "pull_line_m", "elbow_at_entry_rad",
    "forearm_slope_at_45_rad", "elbow_at_shoulder_plane_rad", "trunk_slope_rad",
)  # fmt: skip


@settings(few, max_examples=8)
@given(swimmers(), st.dictionaries(st.sampled_from(TARGETS), st.floats(-1, 1), min_size=1, max_size=3))
def test_any_target_in_its_range_is_reached_or_refused(swimmer, shifts):
    """Targets anywhere between the ends of their plausible ranges."""
    body, pattern = swimmer
    known = fields_by_name()
    for name, shift in shifts.items():
        low, high = (known[name].metadata[end] for end in ("low", "high"))
        pattern = set_targets(pattern, {name: (low + high) / 2 + shift * (high - low) / 2})
    try:
        motion = solve(pattern, body)
    except InputError as refusal:
        assert "expected" in str(refusal) or "cannot be reached" in str(refusal)
        return
    assert np.isfinite(motion.joints(np.linspace(0, motion.cycle_s, 50))).all()
