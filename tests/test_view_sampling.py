"""HAND-COUNTED: clip times and phase lock; INVARIANT: interpolation is exact at frames and on parabolas."""

import numpy as np
import pytest
from drawn_swimmer import marks_for, swimmer
from tolerances import ALGEBRA

from swimsim.ground.errors import InputError
from swimsim.ground.records import Marks, Trace
from swimsim.view.sampling import clip_times, cycle_time, locked_times, phase_at, positions_at


def one_joint(time, x):
    return Trace(time, np.stack([x, 0 * x, 0 * x], -1)[:, None], ("nose",), 10.0)


def test_frames_come_back_unchanged():
    trace = swimmer(1.0)
    assert np.array_equal(positions_at(trace, trace.time_s), trace.joints_m)


def test_parabolas_are_exact_inside():
    """Central differences are the true slopes of a parabola, also for uneven frames."""
    time = np.array([0.0, 0.1, 0.25, 0.3, 0.5, 0.6])
    trace = one_joint(time, 3 * time**2 - time + 1)
    at = np.linspace(0.1, 0.5, 37)
    assert np.abs(positions_at(trace, at)[:, 0, 0] - (3 * at**2 - at + 1)).max() < ALGEBRA


def test_interpolation_is_smooth_across_frames():
    time = np.arange(40) / 10
    at = np.linspace(1, 3, 2001)
    speed = np.diff(positions_at(one_joint(time, np.sin(2 * time)), at)[:, 0, 0]) / np.diff(at)
    assert np.abs(np.diff(speed)).max() < 0.02, "no step of speed at a frame: 4 m/s2 over 1 ms is 0.004"


def test_a_gap_stays_a_gap_and_spoils_no_neighbour():
    time = np.arange(8) / 10
    x = time.copy()
    x[3] = np.nan
    got = positions_at(one_joint(time, x), np.array([0.1, 0.15, 0.25, 0.35, 0.45, 0.5]))[:, 0, 0]
    assert np.isnan(got).tolist() == [False, False, True, True, False, False]
    assert abs(got[1] - 0.15) < ALGEBRA and abs(got[4] - 0.45) < ALGEBRA


def test_times_before_and_after_take_the_ends():
    trace = swimmer(0.5)
    got = positions_at(trace, np.array([-1.0, 9.0]))
    assert np.array_equal(got, trace.joints_m[[0, -1]])


def test_a_single_frame_repeats():
    trace = Trace(np.zeros(1), np.ones((1, 1, 3)), ("nose",), 10.0)
    assert positions_at(trace, np.array([0.0, 1.0])).shape == (2, 1, 3)


@pytest.mark.parametrize(
    ("fps", "slow", "seconds", "count"),
    [(30, 1.0, None, 61), (30, 0.5, None, 121), (25, 1.0, 1.2, 30), (60, 0.25, 1.0, 240)],
)
def test_number_of_frames(fps, slow, seconds, count):
    times = clip_times(swimmer(2.0), fps=fps, slow=slow, seconds=seconds)
    assert len(times) == count
    assert abs(times[1] - slow / fps) < ALGEBRA


@pytest.mark.parametrize(
    ("wrong", "words"),
    [({"fps": 0}, "fps: expected a positive"), ({"fps": 30, "slow": -1}, "slow"),
     ({"fps": 30, "seconds": 9}, "at most 2.00")],
)  # fmt: skip
def test_wrong_times_are_refused(wrong, words):
    with pytest.raises(InputError, match=words):
        clip_times(swimmer(2.0), **wrong)


def test_panels_of_other_tempo_share_the_phase():
    slow, quick = swimmer(4.2, cycle_s=1.4), swimmer(4.2, cycle_s=1.2)
    panels = [
        (slow, marks_for(slow, fault=True, cycle_s=1.4)),
        (quick, marks_for(quick, fault=False, cycle_s=1.2)),
    ]
    lead = clip_times(slow, fps=30)
    times = locked_times(panels, lead)
    assert len(times[0]) == len(times[1]) == len(lead)
    assert np.abs(times[1] - times[0] * 1.2 / 1.4).max() < 1e-9
    phases = [phase_at(m, t, at) for (t, m), at in zip(panels, times, strict=True)]
    apart = np.abs((phases[0] - phases[1] + 0.5) % 1 - 0.5)
    assert apart.max() < 1e-9
    assert abs(cycle_time(panels[0][1], slow) - 1.4) < 1e-9


def test_lock_waits_for_the_next_entry():
    """A panel that starts at 75 % of its cycle is joined by the other at 75 % of its own."""
    trace = swimmer(4.2)
    late = Marks(phase=(trace.time_s / 1.4 + 0.75) % 1.0)
    times = locked_times(
        [(trace, late), (trace, Marks(phase=(trace.time_s / 1.4) % 1.0))], np.array([0.0, 0.35])
    )
    assert np.abs(times[1] - [0.75 * 1.4, 1.4]).max() < 1e-9


def test_an_instant_of_a_later_cycle_is_joined_by_the_same_cycle():
    """A still of the third cycle must not be set beside the first: their breaths may differ."""
    trace = swimmer(4.2)
    marks = Marks(phase=(trace.time_s / 1.4 + 0.5) % 1.0)
    times = locked_times([(trace, marks), (trace, marks)], np.array([3.0]))
    assert abs(times[1][0] - 3.0) < 1e-9


def test_without_a_phase_panels_share_the_clock():
    trace = swimmer(2.0)
    times = locked_times([(trace, Marks()), (trace, Marks())], clip_times(trace, fps=30))
    assert np.array_equal(*times)
    assert phase_at(Marks(), trace, times[0]) is None and cycle_time(Marks(), trace) is None


def test_the_shorter_panel_ends_the_clip():
    long, short = swimmer(3.0), swimmer(1.0)
    times = locked_times(
        [(long, marks_for(long, fault=True)), (short, marks_for(short, fault=False))],
        clip_times(long, fps=30),
    )
    assert len(times[0]) == len(times[1]) == 31
