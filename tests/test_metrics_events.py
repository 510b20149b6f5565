"""HAND-COUNTED squares and triangles, whose crossings are counted by hand: the instants of the stroke."""

from itertools import pairwise

import numpy as np
import pytest
from stick_swimmer import Stick, mirrored, noisy, stick_trace
from tolerances import ALGEBRA, sampled

from swimsim.ground.errors import InputError
from swimsim.ground.records import Trace
from swimsim.metrics import Track, measure_trace, read_strokes
from swimsim.metrics.curves import Curve

RATE = 50.0


def hand_trace(height, x=None, *, wrist_up=0.0, rate=RATE, start_s=0.0):
    """Left hand alone; knuckles and fingertip at `height`, the wrist higher by `wrist_up`."""
    height = np.asarray(height, float)
    x = np.zeros(len(height)) if x is None else np.asarray(x, float)
    point = np.stack([x, 0.3 + 0 * x, height], axis=1)
    names = ("left_fingertip", "left_knuckles", "left_wrist", "left_shoulder")
    joints = np.stack([point, point, point + np.array([0, 0, wrist_up]), 0 * point], axis=1)
    return Trace(start_s + np.arange(len(height)) / rate, joints, names, rate)


def square(*runs):
    """0/1 signal from run lengths: up, down, up, ... at +-0.2 m."""
    return np.concatenate([np.full(n, 0.2 if i % 2 == 0 else -0.2) for i, n in enumerate(runs)])


def triangle(*corners):
    """Straight lines through (frame, height) corners."""
    frames, heights = zip(*corners, strict=True)
    return np.interp(np.arange(frames[-1] + 1), frames, heights)


def arm(trace, *, side="left", **kwargs):
    return read_strokes(Track(trace, None), **kwargs).arms[side]


def test_square_wave_entries_and_exits_lie_in_the_frames_counted():
    strokes = arm(hand_trace(square(10, 20, 15, 20, 15, 20, 10)))
    assert len(strokes.entry) == 3
    # The hand is last up in frames 9, 44, 79 and last down in frames 29, 64, 99.
    assert (np.floor(strokes.entry * RATE + 1e-9) == [9, 44, 79]).all()
    assert (np.floor(strokes.exit * RATE + 1e-9) == [29, 64, 99]).all()
    assert strokes.number.tolist() == [0, 1, 2]
    assert strokes.whole.tolist() == [True, True, False]


def test_a_hand_that_brushes_the_water_in_recovery_is_still_recovering():
    """Down to 5 cm at frame 40, to 30 cm from frame 70 on: the brush is neither an entry nor an exit."""
    height = triangle(
        (0, 0.2),
        (10, -0.3),
        (20, -0.3),
        (30, 0.2),
        (40, -0.05),
        (50, 0.2),
        (70, -0.3),
        (80, -0.3),
        (90, 0.2),
        (110, -0.3),
    )
    strokes = arm(hand_trace(height))
    # 0.2 - 0.05 n = 0 four frames after 0; 0.2 - 0.025 n = 0 eight after 50 and 90; rises: 0.3 / 0.05 = 6 after 20
    # and 80
    assert strokes.entry * RATE == pytest.approx([4, 58, 98], abs=0.1)
    assert strokes.exit[:2] * RATE == pytest.approx([26, 86], abs=0.1)


def test_triangle_crossings_are_found_between_frames():
    """Slopes of 0.02 m per frame: crossings half-way along each straight line."""
    height = triangle((0, 0.2), (20, -0.2), (41, 0.22), (62, -0.2), (80, 0.16))
    strokes = arm(hand_trace(height))
    # 0.2 - 0.02 n = 0 at n = 10; 0.22 - 0.02 n = 0 at n = 11 after frame 41; rises: 10 after 20, 10 after 62.
    assert strokes.entry * RATE == pytest.approx(
        [10, 52], abs=0.01
    )  # the cubic bends near corners ten frames off
    assert strokes.exit * RATE == pytest.approx([30, 72], abs=0.01)


def test_a_dip_that_never_gets_the_hand_up_is_no_new_entry():
    """Down, up to -2 mm (or to 5 mm, less than the hysteresis), down again, up: one stroke."""
    for middle in (-0.002, 0.005):
        height = triangle((0, 0.2), (20, -0.2), (40, middle), (60, -0.2), (80, 0.2))
        assert len(arm(hand_trace(height)).entry) == 1
    height = triangle((0, 0.2), (20, -0.2), (40, 0.05), (60, -0.2), (80, 0.2))
    assert len(arm(hand_trace(height)).entry) == 2


def test_exit_waits_for_the_last_of_the_hand():
    """The wrist comes up 5 frames before the rest: 0.1 m higher, 0.02 m per frame."""
    height = triangle((0, 0.3), (25, -0.2), (50, 0.3))
    trace = hand_trace(height, wrist_up=0.1)
    assert arm(trace).exit[0] * RATE == pytest.approx(35, abs=0.01)
    assert arm(trace, exit_rule="wrist_above_surface").exit[0] * RATE == pytest.approx(30, abs=0.01)


def test_backward_movement_begins_and_ends_at_the_turning_points():
    """x goes forward to frame 20, back to frame 50, forward again; the hand is down from frame 5 to 75."""
    x = triangle((0, 0.0), (20, 0.4), (50, -0.2), (90, 0.8))
    strokes = arm(hand_trace(triangle((0, 0.1), (40, -0.7), (80, 0.1), (90, 0.3)), x))
    # A cubic through a corner turns within half a frame of it.
    assert strokes.start_backward * RATE == pytest.approx([20], abs=0.5)
    assert strokes.end_backward * RATE == pytest.approx([50], abs=0.5)
    # x = 0.4 - 0.02 (n - 20) = 0, the shoulder's x, at frame 40.
    assert strokes.shoulder_plane * RATE == pytest.approx([40], abs=0.01)


def test_a_record_that_begins_in_the_pull_still_shows_the_shoulder_plane():
    """The same stroke from frame 30 on, hand down and moving back: the plane is 10 frames later."""
    x = triangle((0, 0.0), (20, 0.4), (50, -0.2), (90, 0.8))[30:]
    strokes = arm(hand_trace(triangle((0, 0.1), (40, -0.7), (80, 0.1), (90, 0.3))[30:], x))
    assert np.isnan([strokes.entry[0], strokes.start_backward[0]]).all()
    assert strokes.shoulder_plane * RATE == pytest.approx([10], abs=0.01)
    assert strokes.number.tolist() == [-1]


def test_a_short_twitch_backwards_is_not_the_start():
    """1.5 cm back at frame 10 is no lasting movement; the start is the furthest point at frame 30."""
    x = triangle((0, 0.0), (10, 0.2), (13, 0.185), (30, 0.5), (55, -0.2), (90, 0.8))
    strokes = arm(hand_trace(triangle((0, 0.1), (40, -0.7), (80, 0.1), (90, 0.3)), x))
    assert strokes.start_backward * RATE == pytest.approx([30], abs=0.5)


def test_a_hand_already_moving_back_at_entry_has_no_start():
    strokes = arm(
        hand_trace(triangle((0, 0.1), (40, -0.7), (80, 0.1), (90, 0.3)), triangle((0, 1), (50, 0), (90, 0.8)))
    )
    assert np.isnan(strokes.start_backward).all()
    assert strokes.end_backward * RATE == pytest.approx([50], abs=0.5)


def test_the_first_entry_at_or_after_time_zero_is_number_zero():
    trace = hand_trace(square(10, 20, 15, 20, 15, 20, 10), start_s=-0.5)
    assert arm(trace).number.tolist() == [-1, 0, 1]  # entries near -0.31, 0.39 and 1.09 s


def test_a_gap_over_an_entry_hides_it_and_a_short_one_does_not():
    height = triangle((0, 0.2), (20, -0.2), (40, 0.2), (60, -0.2), (80, 0.2), (100, -0.2), (120, 0.2))
    for frames, seen in ((2, True), (9, False)):
        trace = hand_trace(height)
        trace.joints_m[50 - frames // 2 : 50 + frames // 2 + 1] = np.nan
        entry = arm(trace).entry
        assert np.isfinite(entry[[0, 2]]).all()
        assert np.isfinite(entry[1]) == seen
        if seen:
            assert entry[1] * RATE == pytest.approx(50, abs=0.01)


def test_a_gap_that_swallows_a_stroke_makes_no_double_cycle():
    height = np.tile(triangle((0, 0.2), (20, -0.2), (39, 0.18)), 6)
    trace = hand_trace(height)
    trace.joints_m[83:118] = np.nan
    strokes = arm(trace)
    assert np.isfinite(strokes.entry).sum() == 5
    assert strokes.time_s[strokes.whole] == pytest.approx([0.8] * 3, abs=0.01)


@pytest.mark.parametrize("rate", [25.0, 60.0, 119.88, 240.0])
@pytest.mark.parametrize("stick", [Stick(), Stick(beta=-0.9, alpha=-0.4, left_delay=0.44)])
def test_every_instant_of_a_stick_swimmer(rate, stick):
    """The ellipse of the stick swimmer gives all instants by one arcsine and one arccosine."""
    shares, seen = stick.event_shares(), measure_trace(stick_trace(stick, rate_hz=rate)).events
    for event in seen:
        delay = stick.left_delay if event.side == "left" else 0.0
        true = (event.cycle + delay + shares[event.event]) * stick.cycle_s
        assert abs(event.time_s - true) < 0.01 * sampled(rate)  # cubic curves: far better than half a frame
    assert len(seen) >= 6 * 2 * 5


def test_error_falls_as_the_frame_rate_rises():
    stick, worst = Stick(), []
    for rate in (25.0, 50.0, 100.0, 200.0):
        errors = [
            e.time_s
            - (e.cycle + (stick.left_delay if e.side == "left" else 0) + stick.event_shares()[e.event]) * 1.37
            for e in measure_trace(stick_trace(stick, rate_hz=rate)).events
        ]
        worst.append(np.abs(errors).max())
    assert all(after < before / 4 for before, after in pairwise(worst))


@pytest.mark.parametrize("rate", [25.0, 60.0])
def test_noise_of_5_mm_moves_no_instant_by_more_than_25_ms_and_invents_none(rate):
    """COMMON PRACTICE: a frame of 25 Hz video is 40 ms; half of it and some."""
    stick = Stick()
    for seed in range(5):
        events = measure_trace(noisy(stick_trace(stick, rate_hz=rate), 0.005, seed=seed)).events
        counted = {(e.event, e.side): 0 for e in events}
        for e in events:
            counted[e.event, e.side] += 1
            delay = stick.left_delay if e.side == "left" else 0
            assert abs(e.time_s - (e.cycle + delay + stick.event_shares()[e.event]) * 1.37) < 0.025
        assert set(counted.values()) <= {6, 7}
        assert len(counted) == 10


def test_mirrored_swimmer_has_mirrored_events():
    trace = stick_trace(Stick(left_delay=0.45))
    other = {"left": "right", "right": "left"}
    events = sorted((e.event, other[e.side], round(e.time_s, 9)) for e in measure_trace(trace).events)
    swapped = sorted((e.event, e.side, round(e.time_s, 9)) for e in measure_trace(mirrored(trace)).events)
    assert events == swapped


def test_an_entry_on_the_very_first_frame_is_seen():
    first = measure_trace(stick_trace(Stick(), start_s=0.0)).events[0]
    assert (first.event, first.side, first.cycle) == ("entry", "right", 0)
    assert first.time_s == pytest.approx(0, abs=0.01 * sampled(120))


def test_curve_roots_and_turns_of_a_cubic_are_exact():
    """A spline through a cubic is that cubic: (t - 1)(t - 2.5)(t - 4) turns where 3 t^2 - 15 t + 16.5 = 0."""
    t = np.linspace(0, 5, 21)
    curve = Curve(t, (t - 1) * (t - 2.5) * (t - 4), np.ones(21, bool))
    assert curve.crossings(rising=True) == pytest.approx([1, 4], abs=1e3 * ALGEBRA)
    assert curve.crossings(rising=False) == pytest.approx([2.5], abs=1e3 * ALGEBRA)
    roots = np.sort(np.roots([3, -15, 16.5]))
    assert curve.turns(highest=True) == pytest.approx(roots[:1], abs=1e3 * ALGEBRA)
    assert curve.turns(highest=False) == pytest.approx(roots[1:], abs=1e3 * ALGEBRA)


def test_wrong_settings_are_refused():
    trace = stick_trace(Stick(), cycles=2)
    with pytest.raises(InputError, match="exit_rule: 'wrist' is not known"):
        measure_trace(trace, exit_rule="wrist")
    for wrong in (0, -1.0, 60.0, "6", True, float("nan")):
        with pytest.raises(InputError, match="cutoff_hz: expected 'auto'"):
            measure_trace(trace, cutoff_hz=wrong)
