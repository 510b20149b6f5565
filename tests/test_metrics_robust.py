"""INVARIANT: whatever comes in, the reader answers with NaN and a reason, and never falls over."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from stick_swimmer import Stick, noisy, stick_trace

from swimsim.ground.conventions import SIDES
from swimsim.ground.records import Trace
from swimsim.ground.tables import read_toml
from swimsim.metrics import measure_trace

DEFINITIONS = read_toml("definitions")["measure"]
BASE = stick_trace(Stick(), rate_hz=50.0, cycles=4.3)


def check(reading):
    """Every key is there, and NaN goes with a reason."""
    over_all = [(m.measure, m.side) for m in reading.measures if m.cycle is None and m.breathing is None]
    expected = [(k, s) for k, d in DEFINITIONS.items() for s in (SIDES if d["per"] == "side" else (None,))]
    assert over_all == expected
    for m in reading.measures:
        assert np.isfinite(m.value) == (m.reason is None), m
    assert all(np.isfinite(e.time_s) for e in reading.events)
    return reading


def without(trace, *names):
    keep = [i for i, n in enumerate(trace.joint_names) if n not in names]
    kept = tuple(trace.joint_names[i] for i in keep)
    return Trace(trace.time_s, trace.joints_m[:, keep], kept, trace.rate_hz)


@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 2**31), share=st.floats(0.0, 1.0), block=st.integers(1, 40))
def test_random_gaps_never_raise(seed, share, block):
    rng = np.random.default_rng(seed)
    joints = np.array(BASE.joints_m)
    frames, count = joints.shape[:2]
    for _ in range(int(share * frames * count / block)):
        start, joint = rng.integers(frames), rng.integers(count)
        joints[start : start + block, joint, rng.integers(3)] = np.nan
    check(measure_trace(Trace(BASE.time_s, joints, BASE.joint_names, BASE.rate_hz)))


@settings(max_examples=40, deadline=None)
@given(
    seed=st.integers(0, 2**31),
    frames=st.integers(0, 300),
    size=st.sampled_from([0.0, 1e-12, 0.01, 1.0, 1e4, 1e200, np.inf]),
    joints=st.sets(st.sampled_from(BASE.joint_names)),
    even=st.booleans(),
)
def test_random_garbage_never_raises(seed, frames, size, joints, even):
    rng = np.random.default_rng(seed)
    names = tuple(sorted(joints))
    steps = np.full(frames, 0.02) if even else rng.exponential(0.02, frames) + 1e-9
    with np.errstate(invalid="ignore"):  # infinity times zero
        values = rng.choice([-1.0, 0.0, 1.0, np.nan], (frames, len(names), 3)) * size
    check(measure_trace(Trace(np.cumsum(steps), values, names, 50.0)))


@settings(max_examples=25, deadline=None)
@given(
    seed=st.integers(0, 2**31),
    sigma=st.sampled_from([0.02, 0.1, 1.0]),
    cutoff=st.sampled_from(["auto", None, 3.0]),
)
def test_heavy_noise_never_raises(seed, sigma, cutoff):
    check(measure_trace(noisy(BASE, sigma, seed=seed), cutoff_hz=cutoff))


@pytest.mark.parametrize("name", sorted({n.split("_", 1)[1] for n in BASE.joint_names if "_" in n}))
def test_a_missing_joint_is_named(name):
    """Without the joint the measures that need it are NaN and name it; those that do not are unchanged."""
    whole, less = measure_trace(BASE), check(measure_trace(without(BASE, f"left_{name}")))
    for m in whole.measures:
        if m.cycle is None and m.breathing is None and f"left_{name}" not in m.joints and m.side == "right":
            assert less.measure(m.measure, m.side).value == pytest.approx(m.value, abs=1e-6, nan_ok=True), (
                m.measure
            )
    # The ears only tell breathing strokes; with no breath in this trace nothing else hangs on them.
    named = [m for m in less.measures if m.reason and f"left_{name}" in m.reason]
    assert named or name == "ear"


def test_the_left_arm_alone_is_read():
    right = [n for n in BASE.joint_names if n.startswith("right_")]
    reading = check(measure_trace(without(BASE, *right)))
    assert np.isfinite(reading.measure("elbow_least", "left").value)
    assert np.isfinite(reading.measure("speed").value)
    assert "joint missing: right_fingertip" in reading.measure("elbow_least", "right").reason
    assert np.isnan(reading.measure("coordination_index").value)


def test_less_than_a_cycle_says_so():
    reading = check(measure_trace(stick_trace(Stick(), cycles=0.9, start_s=-0.1)))
    assert (
        "no whole cycle of the right arm: entries found 1"
        in reading.measure("elbow_at_entry", "right").reason
    )
    assert all(np.isnan(m.value) for m in reading.measures)


def test_a_planar_trace_has_no_roll_and_no_lines():
    flat = np.array(BASE.joints_m)
    flat[..., 1] = 0.0
    reading = check(measure_trace(Trace(BASE.time_s, flat, BASE.joint_names, BASE.rate_hz)))
    for name in ("hip_roll_peak", "shoulder_roll_peak", "entry_line", "pull_line", "palm_at_hip_line"):
        assert "planar trace" in reading.measure(name, "left").reason
    assert "planar trace" in reading.measure("pull_line_breathing_difference", "left").reason
    for name in ("twist_range", "hip_lag"):
        assert "planar trace" in reading.measure(name).reason
    for name in ("elbow_least", "forearm_slope_at_shoulder_plane", "hand_depth", "phase_pull"):
        assert np.isfinite(reading.measure(name, "left").value)


def test_too_few_or_too_slow_frames_say_so():
    few = Trace(BASE.time_s[:5], BASE.joints_m[:5], BASE.joint_names, BASE.rate_hz)
    assert "too few frames: 5" in check(measure_trace(few)).measure("speed").reason
    slow = stick_trace(Stick(), rate_hz=12.0)
    assert "frame rate 12 Hz, 25 Hz or more needed" in check(measure_trace(slow)).measure("speed").reason
    time = np.array(BASE.time_s)
    time[100:] += 1e6
    jumps = Trace(time, BASE.joints_m, BASE.joint_names, BASE.rate_hz)
    assert "frame times jump" in check(measure_trace(jumps)).measure("speed").reason


def test_short_gaps_are_filled_and_long_ones_are_not():
    """Three frames at 50 Hz are 0.08 s from frame to frame; the value stays within a millimetre."""
    joints = np.array(BASE.joints_m)
    wrist = BASE.joint_names.index("left_wrist")
    joints[90:93, wrist] = np.nan
    short = measure_trace(Trace(BASE.time_s, joints, BASE.joint_names, 50.0), cutoff_hz=None)
    whole = measure_trace(BASE, cutoff_hz=None)
    # Elbow angles at five instants of every cycle: a millimetre at the wrist is 0.3 degrees.
    for m in whole.measures:
        if m.measure.startswith("elbow_at") and m.side == "left" and m.breathing is None:
            twin = short.measure(m.measure, m.side, cycle=m.cycle)
            assert twin.value == pytest.approx(m.value, abs=0.3)
    joints[80:110, wrist] = np.nan
    long = check(measure_trace(Trace(BASE.time_s, joints, BASE.joint_names, 50.0), cutoff_hz=None))
    lost = long.measure(
        "elbow_at_end_backward", "left", cycle=0
    )  # at 1.52 s, inside the gap from 1.3 to 1.9 s
    assert "missing in this cycle" in lost.reason


def test_uneven_frame_times_are_read_as_well_as_even_ones():
    trace = stick_trace(Stick(), rate_hz=240.0)
    keep = np.sort(
        np.random.default_rng(5).choice(len(trace.time_s), len(trace.time_s) * 2 // 3, replace=False)
    )
    rough = Trace(trace.time_s[keep], trace.joints_m[keep], trace.joint_names, 160.0)
    whole, reading = measure_trace(trace), check(measure_trace(rough))
    for name, side in (
        ("phase_pull", "left"),
        ("elbow_least", "right"),
        ("hip_roll_peak", "left"),
        ("speed", None),
    ):
        # Gaps of up to a few frames of 4 ms, filled by a curve.
        assert reading.measure(name, side).value == pytest.approx(whole.measure(name, side).value, abs=0.05)
