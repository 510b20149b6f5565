"""HAND-COUNTED: what cannot be trusted is left out with a reason: merged cycles, gaps, strokes that disagree."""

from dataclasses import replace

import numpy as np
import pytest
from stick_swimmer import Stick, stick_trace

from swimsim.ground.conventions import SIDES
from swimsim.metrics import measure_trace
from swimsim.metrics.measures_lines import _backward

STICK = Stick()
HAND = ("fingertip", "knuckles", "wrist", "thumb_tip")
CYCLE_S = STICK.cycle_s


def swum(cycles=8.4):
    return stick_trace(STICK, rate_hz=60.0, cycles=cycles)


def changed(trace, change, *names):
    """The trace with the named joints' positions (n, 3) put through `change`."""
    joints = trace.joints_m.copy()
    for name in names:
        at = trace.joint_names.index(name)
        joints[:, at] = change(joints[:, at])
    return replace(trace, joints_m=joints)


def stroke_of(trace, side):
    """Number of the arm's own cycle of each frame, by hand: the left hand enters half a cycle later."""
    return np.floor(trace.time_s / CYCLE_S - (STICK.left_delay if side == "left" else 0.0)).astype(int)


def lost(trace, name, frames):
    def hide(points):
        points[frames] = np.nan
        return points

    return changed(trace, hide, name)


def values(reading, name, side):
    return [m.value for m in reading.measures if (m.measure, m.side) == (name, side) and m.cycle is not None]


def test_a_hand_that_stays_at_the_surface_in_one_recovery_makes_no_long_cycle():
    trace = swum()
    third = stroke_of(trace, "left") == 2

    def skim(points):
        points[third, 2] = np.minimum(points[third, 2], 0.005)  # below the height that tells up from down
        return points

    reading = measure_trace(changed(trace, skim, *(f"left_{part}" for part in HAND)))
    numbers = [m.cycle for m in reading.measures if (m.measure, m.side) == ("phase_recovery", "left")]
    assert (
        len([n for n in numbers if n is not None]) == 5
    )  # of seven closed cycles two went into one that is left out
    assert reading.measure("cycle_time").value == pytest.approx(CYCLE_S, rel=1e-3)
    assert reading.measure("stroke_rate").value == pytest.approx(60 / CYCLE_S, rel=1e-3)
    kept = values(reading, "phase_recovery", "left")
    assert kept == pytest.approx([100 * (1 - STICK.exit_share())] * 5, abs=0.1)


def hip_lost_at_exits(trace, strokes):
    stroke, share = stroke_of(trace, "left"), (trace.time_s / CYCLE_S - STICK.left_delay) % 1
    near = np.abs(share - STICK.exit_share()) < 0.15
    return lost(trace, "left_hip", near & np.isin(stroke, strokes))


@pytest.mark.parametrize(("strokes", "told"), [((0, 1, 2), True), ((0, 1, 2, 3, 4), False)])
def test_a_measure_of_few_of_the_strokes_filmed_is_left_out(strokes, told):
    reading = measure_trace(hip_lost_at_exits(swum(), strokes))
    one = reading.measure("exit_past_hip", "left")
    assert np.isfinite(one.value) == told
    assert (one.reason is None) == told
    if not told:
        assert one.reason == "read in 2 of about 8 strokes filmed: too many gaps to trust it"
        assert np.isnan(values(reading, "exit_past_hip", "left")).all()
    assert np.isfinite(reading.measure("exit_past_hip", "right").value)


def test_without_gaps_every_stroke_counts():
    reading = measure_trace(swum(2.4))
    assert len(values(reading, "exit_past_hip", "left")) == 1
    assert np.isfinite(reading.measure("exit_past_hip", "left").value)


@pytest.mark.parametrize("holes", [False, True])
def test_strokes_that_disagree_are_left_out_where_points_are_lost(holes):
    trace = swum()
    stroke = stroke_of(trace, "left")

    def jump(points):
        points[:, 0] += np.where(stroke % 2, 0.4, -0.4)  # standard error of seven: 0.43 / sqrt(7) = 16 cm
        return points

    trace = changed(trace, jump, "left_hip")
    trace = hip_lost_at_exits(trace, (3,)) if holes else trace
    one = measure_trace(trace).measure("exit_past_hip", "left")
    assert np.isnan(one.value) == holes
    assert (one.reason or "").startswith("the strokes disagree too much to trust it") == holes


def test_a_surface_that_is_not_where_it_is_taken_to_be_is_told():
    def sink(points):
        return points - [0.0, 0.0, 0.168]  # the highest point of the hand is 1.4 cm above the surface then

    trace = swum()
    reading = measure_trace(changed(trace, sink, *trace.joint_names))
    for side in SIDES:
        one = reading.measure("hand_depth", side)
        assert np.isnan(one.value)
        assert one.reason.endswith("the surface is not where it is taken to be")
    assert not reading.events


def test_a_hand_that_comes_forward_was_not_followed():
    back = _backward(np.array([[1.0, 0.5], [0.2, 0.6], [0.3, np.nan]]))
    assert back[0] == pytest.approx(50.0)
    assert np.isnan(back[1:]).all()
