"""The instant at which a fault is seen best: the very instant at which its main measure is taken."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..ground.conventions import side_sign
from ..motion.arm_truth import arm_events
from ..motion.body_truth import rolls
from ..motion.head import TURNED_RAD
from ..motion.head_truth import LOOK, face_turn, neck_extension
from ..motion.instants import first_crossing, greatest
from ..motion.kinematics import Motion
from ..motion.leg_truth import SCANNED, ankle_gap, hip_flexion
from ..motion.still import still_stretch
from ..scenario.play import Swum

AFTER_ENTRY = 0.02  # the rule of the forearm slope looks from here on [cycle]
HALF_ROLL = 0.25  # a roll peak lies within a quarter of a cycle of its middle [cycle]
VALLEY = 0.03  # the valley between two peaks lies within this of their middle [cycle]
LEAN, LATER = 1e-3, 1e-5  # enough to choose between instants at which the neck is bent alike
BEFORE_ENTRY = 0.02  # a breath is looked at up to here [cycle]
ROLL_FAULTS = ("flat_hips", "shoulder_driven", "double_bump", "over_rotation")
LEG_FAULTS = ("sinking_legs", "knee_kick")


@dataclass(frozen=True)
class Key:
    """The key instant of a fault in one cycle of an arm: time [s], and share 0..1 of that cycle."""

    time_s: float
    share: float
    cycle: int

    @classmethod
    def of(cls, swum: Swum, fault: str, *, side: str, cycle: int) -> Key:
        """Found in the motion; see `key_time`."""
        time = key_time(swum, fault, side=side, cycle=cycle)
        entry, after = (float(swum.motion.arms[side].time(p)) for p in _entries(swum, side, cycle))
        return cls(time, round((time - entry) / (after - entry), 12) % 1.0, cycle)

    def in_period(self, period_cycles: int) -> float:
        """The same instant in cycles after the entry with which its breathing period begins. [cycle]"""
        return self.cycle % period_cycles + self.share


def key_time(swum: Swum, fault: str, *, side: str, cycle: int) -> float:
    """Time at which the main measure of a fault is taken in one cycle of an arm. [s]

    Parameters
    ----------
    fault : str
        Slug, or the name of an event. Faults of the roll are seen at the roll peak with this side up (flat hips,
        over-rotation), at the greatest twist (shoulder-driven) or in the valley between two peaks (double bump; the
        middle of the peak without one); those of the legs where this side's thigh is furthest forward.
    side : {"left", "right"}
    cycle : int
        Of this arm, counted from its first entry.
    """
    arm = swum.motion.arms[side]
    if fault in ROLL_FAULTS:
        return float(_roll_share(swum.motion, fault, side=side, cycle=cycle)) / swum.motion.frame.rate
    if fault in LEG_FAULTS:
        return float(_leg_share(swum.motion, side=side, cycle=cycle)) / swum.motion.frame.rate
    at = arm_events(arm, np.array([cycle]))
    place = {
        "dropped_elbow": lambda: arm.upper_arm_45(at["entry"] + AFTER_ENTRY, at["end_backward"]),
        "straight_arm_press": lambda: arm.deep_30(at["entry"], at["exit"]),
        "wide_pull": lambda: arm.greatest_line(at["start_backward"], at["shoulder_plane"])[0],
        "early_exit": lambda: at["exit"],
        "head_lift": lambda: _in_breath(arm, swum.motion, at["shoulder_plane"], cycle),
        "late_breath": lambda: _face_out(arm, swum.motion, at["exit"]),
        "scissor_kick": lambda: _widest(arm, swum.motion, at["shoulder_plane"], cycle),
        "palm_in_finish": lambda: arm.hip_line(at["shoulder_plane"], at["end_backward"]),
        "long_glide": lambda: _waiting(arm, at["entry"], at["start_backward"]),
        "low_elbow_recovery": lambda: (at["exit"] + arm_events(arm, np.array([cycle + 1]))["entry"]) / 2,
    }.get(fault, lambda: at.get(fault, at["entry"]))()
    return float(arm.time(place)[0])


def time_of(swum: Swum, share: float, *, side: str, cycle: int) -> float:
    """Time of a share of one cycle of an arm, from its true entries. [s]"""
    entry, after = (float(swum.motion.arms[side].time(p)) for p in _entries(swum, side, cycle))
    return entry + share * (after - entry)


def _entries(swum: Swum, side: str, cycle: int) -> np.ndarray:
    return arm_events(swum.motion.arms[side], np.array([cycle, cycle + 1]))["entry"]


def _roll_share(motion: Motion, fault: str, *, side: str, cycle: int) -> float:
    """Place on the right arm's clock, within the arm's own cycle. [cycle]"""
    sign, roll = side_sign(side), motion.pattern.roll
    lag = 0.0 if fault in ("shoulder_driven", "over_rotation") else roll.hip_lag_share
    middle = roll.roll_peak_share + lag + (0.0 if side == "left" else 0.5)
    start = cycle + motion.arms[side].lag
    middle += np.ceil(start - middle)  # the first peak after this entry

    def of(share):
        found = rolls(motion, share)
        if fault == "shoulder_driven":
            return sign * found["twist"]
        if fault == "over_rotation":
            return sign * found["shoulder"]
        return sign * found["hip"] * (-1.0 if fault == "double_bump" else 1.0)

    half = VALLEY if fault == "double_bump" else HALF_ROLL
    if fault == "double_bump" and motion.pattern.roll.hip_roll_dip <= 0:
        return middle
    return greatest(of, np.array([middle - half]), np.array([middle + half]), samples=65)[0][0]


def _waiting(arm, entry: np.ndarray, start: np.ndarray) -> np.ndarray:
    """Middle of the time that the lead hand lies still; where it is slowest if it never does. [cycle]"""
    low, high = still_stretch(arm, entry, start)
    slowest = greatest(lambda own: -arm.hand_speed(own), entry, start, samples=SCANNED)[0]
    return np.where(np.isnan(low), slowest, (low + high) / 2)


def _widest(arm, motion: Motion, plane: np.ndarray, cycle: int) -> np.ndarray:
    """Place on the arm's own clock at which the ankles are furthest apart, until its next entry. [cycle]"""
    after = arm_events(arm, np.array([cycle + 1]))["entry"]
    return greatest(lambda x: ankle_gap(motion, x + arm.lag), plane, after, samples=SCANNED)[0]


def _in_breath(arm, motion: Motion, plane: np.ndarray, cycle: int) -> np.ndarray:
    """Place on the arm's own clock at which the neck is bent back most. [cycle]

    Of instants alike the one with the face turned furthest, and of those the last, with the arm past the face.
    """
    after = arm_events(arm, np.array([cycle + 1]))["entry"] - BEFORE_ENTRY

    def bent(own):
        share = own + arm.lag
        return neck_extension(motion, share) + LEAN * motion.frame.head_turn.weight(share) + LATER * own

    return greatest(bent, plane, after, samples=SCANNED)[0]


def _face_out(arm, motion: Motion, out: np.ndarray) -> np.ndarray:
    """Place on the arm's own clock at which the face leaves the water. [cycle]"""
    sign = side_sign(arm.side)
    return first_crossing(
        lambda own: sign * face_turn(motion, own + arm.lag) - TURNED_RAD,
        out - LOOK,
        out + LOOK,
        samples=SCANNED,
    )


def _leg_share(motion: Motion, *, side: str, cycle: int) -> float:
    """Place on the right arm's clock at which this side's thigh is furthest forward in the arm's own cycle. [cycle]"""
    start = np.array([cycle + motion.arms[side].lag])
    return greatest(lambda x: hip_flexion(motion, side, x), start, start + 1, samples=SCANNED)[0][0]
