"""INVARIANT: every joint moves smoothly and periodically, bones keep their length, mirrors are mirrors."""

import dataclasses
import itertools

import numpy as np
import pytest
from made_swimmers import BREATHING, body_for, made, made_from, spread
from tolerances import BONE, CLOSED

from swimsim.faults.catalogue import FaultSetting, faults
from swimsim.ground.conventions import BONES, JOINT_INDEX, JOINTS, other_side
from swimsim.ground.errors import UnreachableError
from swimsim.motion.frame import level_motion
from swimsim.motion.solve import solve
from swimsim.stroke.presets import PRESETS, make_pattern, mirror

STEP = 4e-4  # first step of the differences [cycle]
#: A sine stands 1.4 above its root mean square, the head of one breath in three or four 4 to 5; a spike
#: that lasts a fiftieth of the cycle would stand 7 above.
STANDS_OUT = 6.0
GROSS = 0.9


def places(period):
    """Times over the period, on and just off the knots of the curves (1/40 cycle) and at random. [cycle]"""
    grid = np.arange(200 * period) / 200
    loose = np.random.default_rng(1).uniform(0, period, 200)
    return np.sort(np.concatenate([grid, grid + 1e-5, loose]))


def acceleration(motion, share, step):
    """Second differences of all joints, shape (n, joints, 3). [m/cycle^2]"""
    at = [motion.joints((share + k * step) * motion.cycle_s) for k in (-1, 0, 1)]
    return (at[0] - 2 * at[1] + at[2]) / step**2


def assert_smooth(motion):
    """Acceleration exists everywhere: differences settle as the step shrinks, fourfold by halves.

    A jump in position, velocity or acceleration makes them grow or stay; a kink in acceleration halves them.
    """
    share = places(motion.period_cycles)
    rows = [acceleration(motion, share, STEP / k) for k in (1, 2, 4)]
    wide, close = (np.abs(a - b).max(axis=(0, 2)) for a, b in itertools.pairwise(rows))
    settled = 1e-4  # rounding of positions of some metres over the smallest step squared
    poor = [(JOINTS[j], wide[j], close[j]) for j in range(len(JOINTS)) if close[j] > wide[j] / 3 + settled]
    assert np.isfinite(rows[-1]).all() and not poor
    size = np.linalg.norm(rows[-1], axis=2)
    usual = np.sqrt((size**2).mean(axis=0))
    spikes = [
        (JOINTS[j], size[:, j].max() / usual[j])
        for j in np.flatnonzero(size.max(axis=0) > STANDS_OUT * usual)
    ]
    assert not [spike for spike in spikes if usual[JOINT_INDEX[spike[0]]] > settled]


@pytest.mark.parametrize(("preset", "breathing", "kick", "stature_m"), spread())
def test_clean_swimmers_move_smoothly(preset, breathing, kick, stature_m):
    assert_smooth(made(preset, breathing=breathing, kick=kick, stature_m=stature_m).motion)


@pytest.mark.parametrize("fault", sorted(faults()))
@pytest.mark.parametrize("preset", ["pace400_man", "masters_woman"])
def test_swimmers_with_a_fault_move_smoothly(preset, fault):
    """A fault that this body cannot show is refused: test_faults.py says which may be."""
    try:
        one = made(preset, breathing=("left", 2), faults=(FaultSetting(fault, severity=GROSS),))
    except UnreachableError as refusal:
        pytest.skip(str(refusal))
    assert_smooth(one.motion)


@pytest.mark.parametrize("breathing", BREATHING)
@pytest.mark.parametrize("preset", PRESETS)
def test_the_motion_repeats_after_its_period(preset, breathing):
    one = made(preset, breathing=breathing)
    period_s = one.motion.period_cycles * one.motion.cycle_s
    time = np.array([0.0, 0.11, 0.498, 0.5, 0.77, 0.999]) * period_s
    moved = one.motion.joints(time + period_s) - one.motion.joints(time)
    assert np.abs(moved - [one.pattern.speed_m_s * period_s, 0, 0]).max() < CLOSED


@pytest.mark.parametrize("breathing", [b for b in BREATHING if b[1] > 2])
def test_the_period_is_no_shorter(breathing):
    motion = made("pace400_man", breathing=breathing).motion
    time = np.linspace(0, motion.cycle_s, 50)
    for cycles in range(1, motion.period_cycles):
        moved = motion.joints(time + cycles * motion.cycle_s) - motion.joints(time)
        moved[..., 0] -= motion.pattern.speed_m_s * cycles * motion.cycle_s
        assert np.abs(moved).max() > 0.02


@pytest.mark.parametrize(("preset", "breathing", "kick", "stature_m"), spread())
def test_bones_keep_their_length(preset, breathing, kick, stature_m):
    one = made(preset, breathing=breathing, kick=kick, stature_m=stature_m)
    trace = one.motion.trace(60 / one.motion.cycle_s, one.motion.period_cycles * one.motion.cycle_s)
    for a, b in BONES:
        length = np.linalg.norm(trace.joint(a) - trace.joint(b), axis=1)
        assert np.ptp(length) < BONE, (a, b)


def test_bones_have_the_length_of_the_body():
    one = made("pace400_man")
    trace = one.motion.trace(60, 1.0)
    wanted = {
        ("left_shoulder", "left_elbow"): one.body.upper_arm_m,
        ("left_elbow", "left_wrist"): one.body.forearm_m,
        ("left_wrist", "left_knuckles"): one.body.hand_to_knuckles_m,
        ("left_wrist", "left_fingertip"): one.body.hand_to_fingertip_m,
        ("left_hip", "left_knee"): one.body.thigh_m,
        ("left_knee", "left_ankle"): one.body.shank_m,
        ("left_hip", "right_hip"): one.body.hip_width_m,
        ("pelvis", "thorax"): one.body.trunk_m,
        ("thorax", "neck"): one.body.neck_m,
        ("neck", "head_top"): one.body.head_m,
    }
    for (a, b), length in wanted.items():
        assert np.linalg.norm(trace.joint(a) - trace.joint(b), axis=1) == pytest.approx(length, abs=BONE), (
            a,
            b,
        )


@pytest.mark.parametrize("lag", [0.5, 0.46])
def test_the_mirrored_swimmer_is_the_mirror_image_half_a_cycle_on(lag):
    changes = (("left_entry_line_m", 0.06), ("hip_roll_left_rad", 0.38), ("arm_lag_share", lag))
    one = made("pace400_man", breathing=("left", 2), targets=changes)
    turned = made_from(mirror(one.pattern), one.body)
    share = np.linspace(0, 1, 40, endpoint=False)
    here = one.motion.joints((share + lag) * one.motion.cycle_s)
    there = turned.motion.joints(share * one.motion.cycle_s)
    swap = [JOINT_INDEX[_other(name)] for name in JOINTS]
    image = here[:, swap] * [1, -1, 1]
    image[..., 0] -= one.pattern.speed_m_s * lag * one.motion.cycle_s
    assert np.abs(image - there).max() < 1e-6  # each is solved on its own


def _other(name):
    side, _, rest = name.partition("_")
    return f"{other_side(side)}_{rest}" if side in ("left", "right") else name


def test_heave_and_pitch_of_the_body_are_followed_and_targets_still_met():
    """A body that rises and pitches twice a cycle, as arms alternate: the hips follow the given functions."""
    body = body_for("pace400_man")
    pattern = make_pattern("pace400_man", body)
    rate = 2 * np.pi * 2 * pattern.stroke_rate_hz
    moves = dataclasses.replace(
        level_motion(pattern.speed_m_s),
        heave=lambda t: 0.01 * np.sin(rate * np.asarray(t)),
        pitch=lambda t: 0.01 * np.cos(rate * np.asarray(t)),
    )
    motion = solve(pattern, body, body_motion=moves)
    still = made("pace400_man").motion
    time = np.linspace(0, motion.cycle_s, 50)
    rise = (motion.joints(time) - still.joints(time))[:, JOINT_INDEX["pelvis"]]
    assert rise == pytest.approx(np.stack([0 * time, 0 * time, moves.heave(time)], axis=1), abs=CLOSED)
    assert_smooth(motion)


def test_joints_do_not_depend_on_how_they_are_asked_for():
    motion = made("sprint_woman").motion
    time = np.linspace(0, 3, 5000)
    together = motion.joints(time)
    assert np.abs(together[4321:4330] - motion.joints(time[4321:4330])).max() < BONE
    assert motion.trace(100, 1.0).joints_m[37] == pytest.approx(
        motion.joints(np.array([0.37]))[0], abs=CLOSED
    )
