"""HAND-COUNTED stick swimmers, rigid poses and identities in closed form: all measures of the definitions."""

import numpy as np
import pytest
from stick_swimmer import Stick, mirrored, noisy, stick_trace
from tolerances import ALGEBRA

from swimsim.ground.conventions import SIDES
from swimsim.ground.records import Trace
from swimsim.ground.tables import read_csv, read_toml
from swimsim.metrics import Track, measure_trace, read_strokes
from swimsim.metrics import measures_arm as arm
from swimsim.metrics.readout import mean

CURVE = 2e-3  # what cubic curves through 120 frames a second leave, in door units (cm, deg, %)


def value(reading, name, side=None, **kwargs):
    return reading.measure(name, side, **kwargs).value


@pytest.fixture(scope="module")
def reading():
    return measure_trace(stick_trace(Stick()))


@pytest.fixture(scope="module")
def stick():
    return Stick()


#: Measures of a breath: not there in a swimmer who takes none.
BREATHS = ("neck_extension", "mouth_height", "breath_turn_start", "breath_face_return")


def test_every_definition_has_its_record_and_unit(reading):
    definitions = read_toml("definitions")["measure"]
    assert len(definitions) == 79
    over_all = {(m.measure, m.side) for m in reading.measures if m.cycle is None and m.breathing is None}
    for key, row in definitions.items():
        for side in SIDES if row["per"] == "side" else (None,):
            assert (key, side) in over_all
    for m in reading.measures:
        row = definitions[m.measure]
        assert (m.unit, m.rule, m.definition) == (row["unit"], row["rule"], m.measure)
        assert np.isnan(m.value) == (m.reason is not None)
        if m.measure not in ("pull_line_breathing_difference", *BREATHS):
            assert np.isfinite(m.value), m
            assert m.joints and (m.frames or "pair" in row)  # an index of all strokes stands at no instant


def test_rates_are_the_definitions(reading, stick):
    assert value(reading, "cycle_time") == pytest.approx(1.37, abs=1e-6)
    assert value(reading, "stroke_rate") == pytest.approx(60 / 1.37, abs=1e-5)
    assert value(reading, "speed") == pytest.approx(1.40, abs=1e-9)
    assert value(reading, "stroke_length") == pytest.approx(1.40 * 1.37, abs=1e-6)
    product = value(reading, "stroke_rate") / 60 * value(reading, "stroke_length")
    assert product == pytest.approx(value(reading, "speed"), rel=1e-6)  # v = rate x length


@pytest.mark.parametrize("side", SIDES)
def test_phases_sum_to_a_hundred_and_are_those_of_the_ellipse(reading, stick, side):
    shares = stick.event_shares()
    expected = {
        "phase_entry_catch": shares["start_backward"],
        "phase_pull": shares["shoulder_plane"] - shares["start_backward"],
        "phase_push": shares["exit"] - shares["shoulder_plane"],
        "phase_recovery": 1 - shares["exit"],
    }
    for name, share in expected.items():
        assert value(reading, name, side) == pytest.approx(100 * share, abs=CURVE)
    assert sum(value(reading, name, side) for name in expected) == pytest.approx(100, abs=1e6 * ALGEBRA)


@pytest.mark.parametrize("delay", [0.5, 0.46, 0.58])
@pytest.mark.parametrize("beta", [-1.2, -0.7])
def test_index_of_coordination_identities(delay, beta):
    """Exact: with pull + push P and the left arm later by q, right is P - 100 q, left P - 100 (1 - q)."""
    stick = Stick(left_delay=delay, beta=beta)
    found, shares = measure_trace(stick_trace(stick)), stick.event_shares()
    for name, end in (("coordination_index", "exit"), ("coordination_index_backward", "end_backward")):
        push = 100 * (shares[end] - shares["start_backward"])
        right, left = (value(found, f"{name}_side", side) for side in ("right", "left"))
        assert right == pytest.approx(push - 100 * delay, abs=CURVE)
        assert right - left == pytest.approx(100 * (1 - 2 * delay), abs=2 * CURVE)
        assert value(found, name) == pytest.approx(push - 50, abs=CURVE)


def test_overlap_is_positive_and_a_gap_negative():
    catch_up = measure_trace(stick_trace(Stick(beta=-1.2)))
    overlap = measure_trace(stick_trace(Stick(beta=-0.4, alpha=-0.9, reach_m=0.9)))
    assert value(catch_up, "coordination_index") < -5
    assert value(overlap, "coordination_index") > 5


# ---- roll


def test_roll_peaks_ranges_and_twist(reading):
    """Pure sines: peaks are the amplitudes; the twist range follows from amplitudes and lag (cosine rule)."""
    shoulder, hip = np.degrees(0.8), np.degrees(0.4)
    for side in SIDES:
        assert value(reading, "shoulder_roll_peak", side) == pytest.approx(shoulder, abs=CURVE)
        assert value(reading, "hip_roll_peak", side) == pytest.approx(hip, abs=CURVE)
    assert value(reading, "shoulder_roll_range") == pytest.approx(2 * shoulder, abs=CURVE)
    assert value(reading, "hip_shoulder_ratio") == pytest.approx(0.5, abs=1e-5)
    lag = 2 * np.pi * 0.08
    apart = np.sqrt(shoulder**2 + hip**2 - 2 * shoulder * hip * np.cos(lag))
    together = np.sqrt(shoulder**2 + hip**2 + 2 * shoulder * hip * np.cos(lag))
    assert value(reading, "twist_range") == pytest.approx(2 * apart, abs=CURVE)
    assert value(reading, "whole_body_roll_peak", "left") == pytest.approx(together / 2, abs=CURVE)
    assert value(reading, "hip_lag") == pytest.approx(8.0, abs=1e-4)


@pytest.mark.parametrize("lag", [-0.1, 0.0, 0.25])
def test_hip_lag_is_positive_when_the_hips_come_later(lag):
    assert value(measure_trace(stick_trace(Stick(hip_lag=lag))), "hip_lag") == pytest.approx(
        100 * lag, abs=1e-4
    )


def test_harmonic_shares_by_algebra():
    """Amplitudes 0.40, 0.10, 0.05: shares 100 a^2 / sum."""
    found = measure_trace(stick_trace(Stick(hip_roll=(0.40, 0.10, 0.05), shoulder_roll=(0.8, 0.04, 0.0))))
    total = 0.40**2 + 0.10**2 + 0.05**2
    for order, amplitude in ((1, 0.40), (2, 0.10), (3, 0.05)):
        expected = 100 * amplitude**2 / total
        assert value(found, f"hip_roll_h{order}_share") == pytest.approx(expected, abs=1e-4)
    assert value(found, "shoulder_roll_h2_share") == pytest.approx(
        100 * 0.04**2 / (0.8**2 + 0.04**2), abs=1e-4
    )


@pytest.mark.parametrize(("third", "peaks"), [(1 / 9 - 0.005, 1), (1 / 9 + 0.005, 2), (0.3, 2)])
def test_a_third_harmonic_splits_the_peak_above_one_ninth(third, peaks):
    """sin x + a sin 3x has curvature 9 a - 1 at its top: two peaks only above 1/9 (algebra)."""
    found = measure_trace(stick_trace(Stick(hip_roll=(0.4, 0.0, 0.4 * third))))
    for side in SIDES:
        assert value(found, "hip_roll_peaks", side) == peaks
        dip = split_dip(third) if peaks == 2 else 0.0
        assert value(found, "hip_roll_dip", side) == pytest.approx(dip, abs=0.01)


@pytest.mark.parametrize(("second", "peaks"), [(0.25 - 0.005, 1), (0.25 + 0.005, 2)])
def test_a_second_harmonic_splits_one_side_above_a_quarter(second, peaks):
    """cos x - a cos 2x is flat at its top when a = 1/4 (algebra); the other side keeps one peak."""
    t = np.arange(1200) / 120
    turn = 2 * np.pi * t / 1.37
    trace = stick_trace(Stick(), start_s=0.0)
    t = trace.time_s
    turn = 2 * np.pi * t / 1.37 - 1.0
    roll = 0.4 * (np.cos(turn) - second * np.cos(2 * turn))
    joints = np.array(trace.joints_m)
    for side, sign in (("left", 1), ("right", -1)):
        pelvis = trace.joint("pelvis")
        across = 0.09 * sign * np.stack([0 * roll, np.cos(roll), np.sin(roll)], axis=1)
        joints[:, trace.joint_names.index(f"{side}_hip")] = pelvis + across
    found = measure_trace(Trace(t, joints, trace.joint_names, trace.rate_hz))
    assert value(found, "hip_roll_peaks", "left") == peaks
    assert value(found, "hip_roll_peaks", "right") == 1


def split_dip(third):
    """Dip of sin x + a sin 3x between its two tops, by trying a fine grid; the valley is 1 - a. [%]"""
    x = np.linspace(0, np.pi, 200_001)
    top = (np.sin(x) + third * np.sin(3 * x)).max()
    return 100 * (top - (1 - third)) / top


@pytest.mark.parametrize("rate", [60.0, 120.0])
def test_a_dip_of_a_fifth_is_read_through_5_mm_of_noise(rate):
    # Five standard errors of a difference: 2.25 degrees a frame, 13 parameters, six cycles, peak 21 degrees.
    limit = 5 * np.sqrt(2) * 2.25 * np.sqrt(13 / (6 * 1.37 * rate)) / 21 * 100
    for seed in range(4):
        bumpy = measure_trace(
            noisy(stick_trace(Stick(hip_roll=(0.4, 0, 0.1)), rate_hz=rate), 0.005, seed=seed)
        )
        for side in SIDES:
            assert value(bumpy, "hip_roll_peaks", side) == 2
            assert value(bumpy, "hip_roll_dip", side) == pytest.approx(split_dip(0.25), abs=limit)


def test_harmonics_and_the_mean_cycle_do_not_depend_on_the_smoothing():
    """A cut-off of 2 Hz would take away most of a third harmonic of 2.19 Hz."""
    trace = noisy(stick_trace(Stick(hip_roll=(0.4, 0, 0.1))), 0.005)
    found = measure_trace(trace, cutoff_hz=2.0)
    share = 100 * 0.1**2 / (0.4**2 + 0.1**2)
    assert value(found, "hip_roll_h3_share") == pytest.approx(share, abs=0.6)  # amplitude to 5 %: six errors
    assert value(found, "hip_roll_dip", "left") == pytest.approx(split_dip(0.25), abs=8)
    assert value(found, "hip_roll_dip", "left", cycle=1) == 0  # single cycles are read off smoothed frames


@pytest.mark.parametrize("rate", [25.0, 60.0])
def test_no_dip_is_invented_from_noise(rate):
    for seed in range(4):
        even = measure_trace(noisy(stick_trace(Stick(), rate_hz=rate), 0.005, seed=seed))
        for side in SIDES:
            assert value(even, "hip_roll_peaks", side) == 1
            assert value(even, "hip_roll_dip", side) == 0


# ---- hand lines and travel


def test_hand_lines_depth_and_travel(reading, stick):
    shares = stick.event_shares()

    def ahead(share):
        return stick.reach_m * np.cos(2 * np.pi * share + stick.beta) + stick.ahead_m

    start, end = shares["start_backward"], shares["end_backward"]
    travel = ahead(start) - ahead(end) - stick.speed_m_s * (end - start) * stick.cycle_s
    thorax_ahead = 0.50 * np.cos(stick.trunk_slope)
    expected = {
        "entry_line": 4.0, "extension_line": 4.0, "pull_line": 4.0, "mid_pull_line": 4.0,  # hand 4 cm outside
        # deepest fingertip at the bottom of the sine, 1 + sin(alpha) times 35 cm below; knuckles 2 cm higher
        "hand_depth": 35 * (1 - np.sin(stick.alpha)) - 2,
        "backward_displacement": 100 * travel,
        "exit_past_hip": -100 * (ahead(shares["exit"]) + thorax_ahead),
        "entry_reach": 100 * ahead(0.0),
    }  # fmt: skip
    for name, cm in expected.items():
        for side in SIDES:
            assert value(reading, name, side) == pytest.approx(cm, abs=CURVE), name


def test_the_line_is_measured_from_the_line_of_travel():
    """Three metres to the left, the hand lines are the same."""
    trace = stick_trace(Stick(line_m=-0.05))
    moved = Trace(trace.time_s, trace.joints_m + np.array([0, 3.0, 0]), trace.joint_names, trace.rate_hz)
    assert value(measure_trace(moved), "entry_line", "left") == pytest.approx(-5.0, abs=CURVE)
    assert value(measure_trace(moved), "entry_line", "right") == pytest.approx(-5.0, abs=CURVE)


def test_a_shoulder_that_reaches_forward_changes_no_hand_line():
    """Shoulders 6 cm apart along the line of travel, now the one, now the other ahead."""
    trace = stick_trace(Stick())
    joints = np.array(trace.joints_m)
    ahead = 0.03 * np.sin(2 * np.pi * trace.time_s / 1.37)
    for side, sign in (("left", 1.0), ("right", -1.0)):
        joints[:, trace.joint_names.index(f"{side}_shoulder"), 0] += sign * ahead
    found = measure_trace(Trace(trace.time_s, joints, trace.joint_names, trace.rate_hz))
    for side in SIDES:
        assert value(found, "mid_pull_line", side) == pytest.approx(4.0, abs=CURVE)


def test_breathing_strokes_are_told_apart_by_the_head():
    """Breath to the left every second cycle; only those left strokes go 6 cm wider."""
    stick = Stick(breath_left=2)
    trace = stick_trace(stick, cycles=8.4)
    share = trace.time_s / 1.37 - 0.5  # left arm
    wide = np.where(np.floor(share) % 2 == 0, 0.06, 0.0)
    joints = np.array(trace.joints_m)
    for name in ("wrist", "knuckles", "fingertip", "thumb_tip"):
        joints[:, trace.joint_names.index(f"left_{name}"), 1] += wide
    found = measure_trace(Trace(trace.time_s, joints, trace.joint_names, trace.rate_hz), cutoff_hz=None)
    assert value(found, "pull_line", "left", breathing=True) == pytest.approx(10.0, abs=CURVE)
    assert value(found, "pull_line", "left", breathing=False) == pytest.approx(4.0, abs=CURVE)
    # Others: the left strokes without a breath, at 4 cm.
    assert value(found, "pull_line_breathing_difference", "left") == pytest.approx(6.0, abs=CURVE)


@pytest.mark.parametrize("every", [0, 1])
def test_no_difference_without_both_kinds_of_stroke(every):
    """Never a breath: NaN. Every left stroke a breath: left against right."""
    found = measure_trace(stick_trace(Stick(breath_left=every)))
    found = found.measure("pull_line_breathing_difference", "left")
    if every:
        assert found.value == pytest.approx(0.0, abs=CURVE)
    else:
        assert np.isnan(found.value)
        assert "both kinds of strokes needed: 0 breathing" in found.reason


# ---- rigid poses, counted by hand


@pytest.mark.parametrize(
    ("shoulder", "elbow", "wrist", "angle"),
    [
        ([0, 0, 0], [0.3, 0, 0], [0.6, 0, 0], 180),
        ([0, 0, 0], [0.3, 0, 0], [0.3, 0, -0.2], 90),
        ([0, 0, 0], [0.3, 0, 0], [0.1, 0, 0], 0),
        ([1, 1, 1], [1.3, 1, 1], [1.3, 1.3, 1], 90),
        ([0, 0, 0], [1, 0, 0], [1.5, 0, np.sqrt(3) / 2], 120),  # equilateral
    ],
)
def test_elbow_angle_of_a_pose(shoulder, elbow, wrist, angle):
    points = (np.array([p], float) for p in (shoulder, elbow, wrist))
    assert arm.included_deg(*points)[0] == pytest.approx(angle, abs=1e3 * ALGEBRA)


@pytest.mark.parametrize(
    ("far", "slope"),
    [
        ([1, 0, 0], 0), ([1, 0.7, -1], 45), ([0, 0, -1], 90), ([-1, 0, -1], 135), ([-1, 0, 0], 180),
        ([1, 0, 1], -45), ([-1, 0, 1], 225),
    ],
)  # fmt: skip
def test_slope_of_a_pose(far, slope):
    """0 forward, 90 straight down, above 90 pointing back; the sideways part does not count."""
    found = arm.slope_deg(np.zeros((1, 3)), np.array([far], float))[0]
    assert found == pytest.approx(slope, abs=1e3 * ALGEBRA)


def posed(change):
    """A stick swimmer whose arm joints are set by `change(side, sign, shoulder, share) -> dict`."""
    trace = stick_trace(Stick(shoulder_roll=(0.0,)))
    joints = np.array(trace.joints_m)
    for side, sign, late in (("left", 1.0, 0.5), ("right", -1.0, 0.0)):
        share = trace.time_s / 1.37 - late
        for name, points in change(side, sign, trace, share).items():
            joints[:, trace.joint_names.index(f"{side}_{name}")] = points
    return measure_trace(Trace(trace.time_s, joints, trace.joint_names, trace.rate_hz), cutoff_hz=None)


def test_elbow_angles_of_the_stick_swimmer(reading):
    """The elbow lies 12 cm off the middle of shoulder and wrist: 2 atan(half their distance / 12 cm)."""
    stick = Stick()
    trace = stick_trace(stick)
    strokes = read_strokes(Track(trace, None))
    shares = stick.event_shares()
    shares["mid_recovery"] = (shares["exit"] + 1) / 2
    for name, share in shares.items():
        turn = 2 * np.pi * share
        dx = stick.reach_m * np.cos(turn + stick.beta) + stick.ahead_m - 0.09
        height = -stick.depth_m * (np.sin(turn + stick.alpha) - np.sin(stick.alpha)) + 0.05
        roll = 0.8 * np.sin(turn)  # right arm: the roll of the shoulder line at that instant
        shoulder_z = -0.12 + 0.5 * np.sin(stick.trunk_slope) - 0.18 * np.sin(roll)
        dy = 0.18 * np.cos(roll) - 0.18 - 0.04
        half = np.sqrt(dx**2 + dy**2 + (height - shoulder_z) ** 2) / 2
        expected = np.degrees(2 * np.arctan(half / 0.12))
        assert value(reading, f"elbow_at_{name}", "right") == pytest.approx(expected, abs=0.02), name
    assert len(strokes.cycles["right"].number) == 6


def test_forearm_instants_of_a_turning_arm():
    """Upper arm and forearm turn evenly: slopes 20 + 120 u and 10 + 150 u degrees.

    45 is reached at u = 25/120 = 0.2083 with the forearm at 41.25; 75 at u = 65/150.
    """

    def change(side, sign, trace, share):
        shoulder, u = trace.joint(f"{side}_shoulder"), share % 1.0
        upper, fore = np.radians(20 + 120 * u), np.radians(10 + 150 * u)
        elbow = shoulder + 0.3 * np.stack([np.cos(upper), 0 * u, -np.sin(upper)], axis=1)
        return {
            "elbow": elbow,
            "wrist": elbow + 0.25 * np.stack([np.cos(fore), 0 * u, -np.sin(fore)], axis=1),
        }

    trace = stick_trace(Stick(shoulder_roll=(0.0,)))
    strokes = read_strokes(Track(trace, None))
    joints = np.array(trace.joints_m)
    for side, late in (("left", 0.5), ("right", 0.0)):
        share = trace.time_s / 1.37 - late
        for name, points in change(side, 1.0, trace, share).items():
            joints[:, trace.joint_names.index(f"{side}_{name}")] = points
    turned = read_strokes(Track(Trace(trace.time_s, joints, trace.joint_names, trace.rate_hz), None))
    # The instants come from the hand of the first trace, the arm from the second.
    both = type(strokes)(turned.track, strokes.arms, strokes.cycles)
    found = {(r.measure, r.side): r.values for r in arm.forearms(both)}
    start, plane = Stick().event_shares()["start_backward"], Stick().event_shares()["shoulder_plane"]
    third = start + (plane - start) / 3
    for side in SIDES:
        inner = slice(1, 5)
        assert found["forearm_slope_at_45", side][inner] == pytest.approx(41.25, abs=0.05)
        assert found["forearm_slope_at_start_backward", side][inner] == pytest.approx(
            10 + 150 * start, abs=0.02
        )
        assert found["forearm_slope_at_third_of_pull", side][inner] == pytest.approx(
            10 + 150 * third, abs=0.02
        )
        assert found["forearm_slope_at_shoulder_plane", side][inner] == pytest.approx(
            10 + 150 * plane, abs=0.02
        )
        below = np.sin(np.radians(10 + 150 * third))
        assert found["wrist_below_elbow_third_of_pull", side][inner] == pytest.approx(below, abs=1e-3)
        u = 65 / 150
        ahead = 100 * (0.65 * np.cos(2 * np.pi * u - 1.2) + 0.05)
        assert found["hand_ahead_at_75", side][inner] == pytest.approx(ahead, abs=0.05)


@pytest.mark.parametrize("turned", [0.0, 20.0, 60.0, 85.0])
@pytest.mark.parametrize("inwards", [True, False])
def test_palm_angle_of_a_turned_hand(turned, inwards):
    """Fingers down, palm turned about them by a known angle from straight back, either way."""

    def change(side, sign, trace, share):
        knuckles = trace.joint(f"{side}_knuckles")
        wrist = knuckles + np.array([0, 0, 0.09])
        turn = np.radians(turned) * (1 if inwards else -1)
        thumb = np.array(
            [-np.sin(turn), -sign * np.cos(turn), 0.0]
        )  # of a palm straight back: towards the middle
        return {"wrist": wrist, "thumb_tip": wrist + 0.07 * thumb - np.array([0, 0, 0.05])}

    found = posed(change)
    for side in SIDES:
        assert value(found, "palm_at_hip_line", side) == pytest.approx(turned, abs=CURVE)


def test_a_palm_that_faces_forward_reads_180():
    def change(side, sign, trace, share):
        wrist = trace.joint(f"{side}_knuckles") + np.array([0, 0, 0.09])
        return {"wrist": wrist, "thumb_tip": wrist + 0.07 * np.array([0, sign, 0]) - np.array([0, 0, 0.05])}

    assert value(posed(change), "palm_at_hip_line", "left") == pytest.approx(180, abs=CURVE)


def test_elbow_above_wrist_in_mid_recovery():
    """The elbow is 10 + 20 u cm above the wrist; half-way from exit at u to the entry at 1: 10 (2 + u)."""

    def change(side, sign, trace, share):
        above = 0.10 + 0.20 * (share % 1.0)
        return {"elbow": trace.joint(f"{side}_wrist") + above[:, None] * np.array([0, 0, 1.0])}

    expected = 10 * (2 + Stick().exit_share())
    for side in SIDES:
        assert value(posed(change), "elbow_above_wrist", side) == pytest.approx(expected, abs=CURVE)


@pytest.mark.parametrize("turned", [-40.0, 0.0, 10.0, 59.0, 90.0, 130.0])
@pytest.mark.parametrize("slope", [0.0, 30.0, 70.0])
def test_palm_turned_out_about_a_forearm_of_any_slope(turned, slope):
    """Straight wrist; the thumb of a palm that faces down points to the middle, turned outward it points down.

    Square to a forearm that slopes down by s forward, the way most down is (-sin s, 0, -cos s).
    """
    s, turn = np.radians(slope), np.radians(turned)
    along, downmost = np.array([np.cos(s), 0, -np.sin(s)]), np.array([-np.sin(s), 0, -np.cos(s)])

    def change(side, sign, trace, share):
        knuckles = trace.joint(f"{side}_knuckles")
        inward = np.array([0, -sign, 0.0])
        thumb = np.cos(turn) * inward + np.sin(turn) * downmost
        wrist = knuckles - 0.09 * along
        return {
            "wrist": wrist,
            "elbow": wrist - 0.25 * along,
            "thumb_tip": wrist + 0.05 * along + 0.07 * thumb,
        }

    found = posed(change)
    for side in SIDES:
        assert value(found, "palm_out_at_entry", side) == pytest.approx(turned, abs=CURVE)


def test_recovery_line_is_the_hand_line_half_way_from_exit_to_entry():
    """The hand is 4 + 20 u cm outside its shoulder line; half-way from exit at u to the entry at 1: 14 + 10 u."""

    def change(side, sign, trace, share):
        aside = sign * 0.20 * (share % 1.0)[:, None] * np.array([0, 1.0, 0])
        return {"knuckles": trace.joint(f"{side}_knuckles") + aside}

    found, expected = posed(change), 14 + 10 * Stick().exit_share()
    for side in SIDES:
        assert value(found, "recovery_line", side) == pytest.approx(expected, abs=CURVE)


# ---- trunk and kick


def test_trunk_slope(reading):
    assert value(reading, "trunk_slope") == pytest.approx(np.degrees(0.15), abs=1e-6)


@pytest.mark.parametrize("beats", [1, 2, 3])
def test_kick_beats_range_and_timing(beats):
    """Low points at own entry and every 1/beats of the cycle, shifted by 30 degrees of the kick cycle."""
    stick = Stick(beats=beats, kick_shift=30 / 360)
    found, shares = measure_trace(stick_trace(stick)), stick.event_shares()
    assert value(found, "kick_beats") == 2 * beats

    def phase(share):
        return (360 * beats * share - 30 + 180) % 360 - 180

    lowest = (np.pi / 2 - stick.alpha) / (2 * np.pi)
    for side in SIDES:
        assert value(found, "kick_range", side) == pytest.approx(30, abs=0.02)
        for name, share in (("entry", 0.0), ("catch", shares["start_backward"]), ("exit", shares["exit"])):
            assert value(found, f"kick_phase_at_{name}", side) == pytest.approx(phase(share), abs=0.05)
        # The other foot is half an arm cycle later.
        expected = (360 * beats * (lowest - 0.5) - 30 + 180) % 360 - 180
        assert value(found, "kick_phase_at_deepest_hand", side) == pytest.approx(expected, abs=0.05)


def test_no_kick_has_no_beats_and_no_timing():
    found = measure_trace(stick_trace(Stick(kick_m=0.0)))
    assert value(found, "kick_beats") == 0
    assert "no low point" in found.measure("kick_phase_at_entry", "left").reason


# ---- invariants


def test_doubling_all_lengths_doubles_lengths_and_nothing_else():
    """INVARIANT: units. Only cm, m and m/s double."""
    one, two = (measure_trace(stick_trace(Stick(length=k))) for k in (1.0, 2.0))
    for a, b in zip(one.measures, two.measures, strict=True):
        # `elbow_at_30cm_depth` is read at a depth that does not grow with the swimmer.
        if not np.isnan(a.value) and a.measure != "elbow_at_30cm_depth":
            factor = 2 if a.unit in ("cm", "m", "m/s") else 1
            assert b.value == pytest.approx(factor * a.value, abs=1e-3), a.measure


def test_twice_the_tempo_doubles_rates_and_leaves_angles():
    """INVARIANT: time runs twice as fast, speed with it."""
    trace = stick_trace(Stick(), rate_hz=60)
    fast = Trace(trace.time_s / 2, trace.joints_m, trace.joint_names, 120.0)
    for a, b in zip(measure_trace(trace).measures, measure_trace(fast).measures, strict=True):
        factor = {"1/min": 2, "m/s": 2, "s": 0.5}.get(a.unit, 1)
        assert b.value == pytest.approx(factor * a.value, abs=1e-6, nan_ok=True), a.measure


def test_the_mirrored_swimmer_mirrors_every_measure():
    """INVARIANT: a left-handed mirror, arms unevenly spaced."""
    trace = stick_trace(Stick(left_delay=0.44, hip_roll=(0.4, 0.12, 0.05), breath_left=2))
    other = {"left": "right", "right": "left", None: None}
    found, swapped = measure_trace(trace), measure_trace(mirrored(trace))
    rows = read_toml("definitions")["measure"]
    for m in found.measures:
        if m.cycle is None:
            sign = -1 if "pair" in rows[m.measure] else 1  # an index of right against left
            twin = value(swapped, m.measure, other[m.side], breathing=m.breathing)
            assert twin == pytest.approx(sign * m.value, abs=1e-6, nan_ok=True), m.measure


def test_a_later_clock_changes_only_the_numbers_of_the_cycles():
    trace = stick_trace(Stick())
    late = Trace(trace.time_s + 100.0, trace.joints_m, trace.joint_names, trace.rate_hz)
    one = [m for m in measure_trace(trace).measures if m.cycle is None]
    two = [m for m in measure_trace(late).measures if m.cycle is None]
    for a, b in zip(one, two, strict=True):
        assert b.value == pytest.approx(a.value, abs=1e-3, nan_ok=True), a.measure


def test_uncertainty_is_the_standard_error_of_certified_data():
    """PUBLISHED: NIST StRD SiRstv, certified residual SD 1.04076068334656E-01 over five groups of five."""
    rows = read_csv("nist_strd_sirstv")
    groups = [[float(r["resistivity"]) for r in rows if r["instrument"] == k] for k in "12345"]
    error = [mean(np.array(group))[1] for group in groups]
    pooled = np.sqrt(np.mean([5 * e**2 for e in error]))
    assert pooled == pytest.approx(1.04076068334656e-01, abs=1e-9)  # float64 on seven-digit data
    assert mean(np.array([1.0, 2.0]))[1] is None
    assert mean(np.array([350.0, 10.0, 0.0]), turn=360.0)[0] == pytest.approx(
        0.0, abs=1e-9
    )  # round the circle
