"""Trunk slope, kick, knees, hips and heels."""

from __future__ import annotations

import numpy as np

from ..ground.conventions import SIDES, other_side
from .curves import Curve
from .measures_arm import between_deg
from .measures_lines import PLANAR
from .measures_roll import STANDS_OUT_SIGMAS
from .readout import Readout
from .strokes import Strokes

LEAST_BEAT_M = 0.005  # a low point must stand out by this much to be a beat (choice of ours)


def trunk(strokes: Strokes) -> list[Readout]:
    """Mean slope of mid-hip to thorax (or mid-shoulder), head end up positive. [deg]"""
    track, body = strokes.track, strokes.body
    if not len(body.number):
        return []
    joints, count = (*track.hip_joints, *track.shoulder_joints), len(track.hip_joints)

    def make(*points: np.ndarray) -> np.ndarray:
        line = np.mean(points[count:], axis=0) - np.mean(points[:count], axis=0)
        return np.degrees(np.arctan2(line[:, 2], line[:, 0]))

    slope = track.signal(("trunk",), make, *joints)
    each = [slope.mean(start, stop) for start, stop in zip(body.entry, body.next_entry, strict=True)]
    ends = np.stack([body.entry, body.next_entry], axis=1)
    return [Readout("trunk_slope", None, np.array(each), joints, ends)]


def kicks(strokes: Strokes) -> list[Readout]:
    """Beats per cycle [1], range [cm] and timing [deg of the kick cycle]."""
    body = strokes.body
    if not len(body.number):
        return []
    lows = {side: low_points(strokes, side) for side in SIDES}
    return [_beats(strokes, lows), *_ranges(strokes), *_timing(strokes, lows)]


def _joints(side: str) -> tuple[str, str]:
    return f"{side}_ankle", f"{side}_hip"


def ankle_height(strokes: Strokes, side: str) -> Curve:
    """Height of the ankle above its own hip. [m]"""
    return strokes.track.signal(("ankle", side), lambda ankle, hip: ankle[:, 2] - hip[:, 2], *_joints(side))


def low_points(strokes: Strokes, side: str) -> np.ndarray:
    """Times of the low points of one ankle that stand out from noise. [s]"""
    from scipy.signal import find_peaks

    curve = ankle_height(strokes, side)
    if not curve.known.any():
        return np.empty(0)
    left = np.hypot(*(strokes.track.noise_left_m(joint) for joint in _joints(side)))
    tops, bottoms = curve.turns(highest=True), curve.turns(highest=False)
    times = np.sort(np.concatenate([curve.time_s[:1], tops, bottoms, curve.time_s[-1:]]))
    heights = np.nan_to_num(-curve.at(times), nan=-1e9)
    return times[find_peaks(heights, prominence=max(LEAST_BEAT_M, STANDS_OUT_SIGMAS * left))[0]]


def _beats(strokes: Strokes, lows: dict[str, np.ndarray]) -> Readout:
    """Low points of both ankles in each cycle. [1]"""
    body = strokes.body
    readable = [ankle_height(strokes, side).readable(body.entry, body.next_entry) for side in SIDES]
    count = sum(_count(strokes, lows[side]) for side in SIDES)
    values = np.where(np.logical_and.reduce(readable), count, np.nan)
    ends = np.stack([body.entry, body.next_entry], axis=1)
    return Readout("kick_beats", None, values, (*_joints("left"), *_joints("right")), ends)


def _count(strokes: Strokes, lows: np.ndarray) -> np.ndarray:
    """Low points of one ankle in each cycle, counted from the middle of their widest gap.

    Low points often fall on the entry itself, where an entry found a little late or early would miss or
    double one.
    """
    body, length = strokes.body, strokes.body.time_s
    row = np.searchsorted(body.entry, lows, side="right") - 1
    inside = (row >= 0) & (lows < body.next_entry[np.maximum(row, 0)])
    if not inside.any():
        return np.zeros(len(length))
    share = np.sort(((lows - body.entry[row]) / length[row])[inside])
    gap = np.diff(share, append=share[0] + 1)
    start = body.entry + (share + gap / 2)[np.argmax(gap)] % 1 * length
    start = np.where(start + length > strokes.track.time_s[-1], start - length, start)
    return np.diff(np.searchsorted(lows, np.stack([start, start + length], axis=1)), axis=1)[:, 0].astype(
        float
    )


def _ranges(strokes: Strokes) -> list[Readout]:
    body, readouts = strokes.body, []
    ends = np.stack([body.entry, body.next_entry], axis=1)
    for side in SIDES:
        curve = ankle_height(strokes, side)
        high, low = (curve.extreme(body.entry, body.next_entry, highest=up)[1] for up in (True, False))
        readouts.append(
            Readout("kick_range", side, 100 * (high - low), _joints(side), ends, number=body.number)
        )
    return readouts


def _timing(strokes: Strokes, lows: dict[str, np.ndarray]) -> list[Readout]:
    """Arm instants against the nearest low point of a foot. [deg]"""
    readouts = []
    for side in SIDES:
        arm, hand = strokes.cycles[side], f"{side}_knuckles"
        height = strokes.track.signal(("height", hand), lambda p: p[:, 2], hand)
        deepest = height.extreme(arm.entry, arm.exit, highest=False)[0]
        for name, times, foot in (
            ("kick_phase_at_entry", arm.entry, side),
            ("kick_phase_at_catch", arm.start_backward, side),
            ("kick_phase_at_deepest_hand", deepest, other_side(side)),
            ("kick_phase_at_exit", arm.exit, side),
        ):
            phase = _phase(times, lows[foot], strokes.cycle_s)
            reason = None if len(lows[foot]) else f"no low point of the {foot} foot that stands out"
            joints = (hand, *_joints(foot))
            readouts.append(Readout(name, side, phase, joints, times, turn=360.0, reason=reason))
    return readouts


def _phase(times: np.ndarray, lows: np.ndarray, cycle_s: float) -> np.ndarray:
    """Place of each instant between the low points around it, -180..180; NaN where one is missing. [deg]"""
    if len(lows) < 2:
        return np.full(len(times), np.nan)
    after = np.searchsorted(lows, np.nan_to_num(times, nan=np.inf), side="right")
    inside = np.clip(after, 1, len(lows) - 1)
    beat = lows[inside] - lows[inside - 1]
    share = (times - lows[inside - 1]) / beat
    known = (after >= 0) & (share > -0.5) & (share < 1.5) & (beat < 1.5 * cycle_s)
    return np.where(known, (360 * share + 180) % 360 - 180, np.nan)


def legs(strokes: Strokes) -> list[Readout]:
    """Greatest knee and hip flexion [deg] and least depth of the heel [cm] in each cycle."""
    track = strokes.track
    trunk_ends = (*track.hip_joints, *track.shoulder_joints)
    readouts = []
    for side in SIDES:
        hip, knee, ankle, heel = (f"{side}_{name}" for name in ("hip", "knee", "ankle", "heel"))
        for name, make, joints, scale in (
            ("knee_most", _knee_deg, (hip, knee, ankle), 1.0),
            ("hip_flexion_most", _flexion_of(len(track.hip_joints)), (hip, knee, *trunk_ends), 1.0),
            ("heel_depth_least", lambda heel: heel[:, 2], (heel,), -100.0),
        ):
            curve = track.signal((name, side), make, *joints)
            arm = strokes.cycles[side]
            times, values = curve.extreme(arm.entry, arm.next_entry, highest=True)
            readouts.append(Readout(name, side, scale * values, joints, times))
    return readouts + [_gap(strokes, side) for side in SIDES]


def _gap(strokes: Strokes, side: str) -> Readout:
    """Greatest sideways distance of the ankles from this arm's shoulder plane to its next entry. [cm]"""
    arm, joints = strokes.cycles[side], ("left_ankle", "right_ankle")
    curve = strokes.track.signal(("gap",), lambda left, right: left[:, 1] - right[:, 1], *joints)
    times, values = curve.extreme(arm.shoulder_plane, arm.next_entry, highest=True)
    if strokes.track.planar:
        return Readout("foot_gap", side, np.full(len(values), np.nan), joints, times, reason=PLANAR)
    return Readout("foot_gap", side, 100 * values, joints, times)


def _knee_deg(hip: np.ndarray, knee: np.ndarray, ankle: np.ndarray) -> np.ndarray:
    return between_deg(knee - hip, ankle - knee)


def _flexion_of(n_hips: int):
    """Angle of the thigh below the trunk line carried on, in the side plane; the mid-hip is of `n_hips` joints."""

    def make(hip: np.ndarray, knee: np.ndarray, *ends: np.ndarray) -> np.ndarray:
        back = np.mean(ends[:n_hips], axis=0) - np.mean(ends[n_hips:], axis=0)
        thigh = knee - hip
        return np.degrees(np.arctan2(-thigh[:, 2], -thigh[:, 0]) - np.arctan2(-back[:, 2], -back[:, 0]))

    return make
