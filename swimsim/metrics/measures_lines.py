"""Where the hand goes: hand lines, depth, reach, travel, exit."""

from __future__ import annotations

import numpy as np

from ..ground.conventions import SIDES, other_side, side_sign
from .curves import Curve
from .events import ArmStrokes
from .readout import Readout, mean
from .strokes import Strokes

PLANAR = "planar trace: no sideways positions"
NO_BREATH = "head turn not visible: needs both ears, both eyes, or nose and neck"


def hand_lines(strokes: Strokes) -> list[Readout]:
    """Outward distance of the knuckles from the own shoulder line. [cm]"""
    readouts = []
    for side in SIDES:
        arm = strokes.cycles[side]
        line, extended = _line(strokes, side), (arm.entry + arm.start_backward) / 2
        widest, greatest = line.extreme(arm.start_backward, arm.shoulder_plane, highest=True)
        for name, times, values in (
            ("entry_line", arm.entry, line.at(arm.entry)),
            ("extension_line", extended, line.at(extended)),
            ("pull_line", widest, greatest),
            ("mid_pull_line", arm.shoulder_plane, line.at(arm.shoulder_plane)),
            ("recovery_line", mid_recovery(arm), line.at(mid_recovery(arm))),
        ):
            if strokes.track.planar:
                values = np.full(len(values), np.nan)
            reason = PLANAR if strokes.track.planar else None
            joints = (f"{side}_knuckles", "left_shoulder", "right_shoulder", *strokes.track.hip_joints)
            readouts.append(Readout(name, side, 100 * values, joints, times, reason=reason))
    pull_lines = {r.side: r for r in readouts if r.measure == "pull_line"}
    return readouts + [_breathing_difference(strokes, pull_lines, side) for side in SIDES]


def mid_recovery(arm: ArmStrokes) -> np.ndarray:
    """Instants half-way between exit and the next entry. [s]"""
    return (arm.exit + arm.next_entry) / 2


def _line(strokes: Strokes, side: str) -> Curve:
    """Hand line of one side, + outside the shoulder. [m]"""
    middle, half = strokes.midline_m, strokes.half_shoulder_m
    offset = np.nan_to_num(side_sign(side) * middle) + np.nan_to_num(half)
    name = f"{side}_knuckles"
    needed = (name, "left_shoulder", "right_shoulder", *strokes.track.hip_joints)
    lacking = strokes.track.missing(*needed) or not np.isfinite(middle + half)
    make = strokes.track.signal
    if lacking:
        return make(("line", side), lambda hand: np.zeros(len(hand)), f"no {name}")
    return make(("line", side), lambda hand: side_sign(side) * hand[:, 1] - offset, name)


def hand_ahead(strokes: Strokes, side: str) -> Curve:
    """Knuckles ahead of the own shoulder. [m]"""
    names = f"{side}_knuckles", f"{side}_shoulder"
    return strokes.track.signal(("ahead", side), lambda hand, shoulder: hand[:, 0] - shoulder[:, 0], *names)


def _breathing_difference(strokes: Strokes, pull_lines: dict[str, Readout], side: str) -> Readout:
    """Mean greatest hand line of this arm's breathing strokes minus that of its others, or the other arm's. [cm]"""
    breath, own = _by_breath(strokes, pull_lines, side)
    rest = own if len(own) else _by_breath(strokes, pull_lines, other_side(side))[1]
    both = len(breath) and len(rest)
    joints = tuple(dict.fromkeys(j for readout in pull_lines.values() for j in readout.joints))
    reason = PLANAR if strokes.track.planar else NO_BREATH if strokes.head_turn is None else None
    if not reason and not both:
        reason = f"both kinds of strokes needed: {len(breath)} breathing, {len(rest)} others"
    values = np.array([mean(breath)[0] - mean(rest)[0]] if both else [])
    none = np.array([], int)
    return Readout("pull_line_breathing_difference", side, values, joints, number=none, reason=reason)


def _by_breath(strokes: Strokes, pull_lines: dict[str, Readout], side: str) -> tuple[np.ndarray, np.ndarray]:
    """Greatest hand lines of one arm's breathing strokes and of its others. [cm]"""
    values, kinds = pull_lines[side].values, strokes.breathing[side]
    usable = np.isfinite(values) & np.isfinite(kinds)
    return values[usable & (kinds == 1)], values[usable & (kinds == 0)]


def _backward(x: np.ndarray) -> np.ndarray:
    """How far a hand came back, from x at start and end; NaN where it did not: then it was not followed. [cm]"""
    back = 100 * (x[:, 0] - x[:, 1])
    return np.where(back > 0, back, np.nan)


def depth_and_travel(strokes: Strokes) -> list[Readout]:
    """Depth, backward displacement, reach at entry, exit against the hip. [cm]"""
    track, readouts = strokes.track, []
    for side in SIDES:
        arm = strokes.cycles[side]
        hand, shoulder, hip = (f"{side}_{name}" for name in ("knuckles", "shoulder", "hip"))
        height = track.signal(("height", hand), lambda p: p[:, 2], hand)
        deepest, lowest = height.extreme(arm.entry, arm.exit, highest=False)
        ends = np.stack([arm.start_backward, arm.end_backward], axis=1)
        x = track.at(hand, ends)[..., 0]
        hip_x, hand_x = track.together((hip, hand), arm.exit)[..., 0]
        readouts += [
            Readout("hand_depth", side, -100 * lowest, (hand,), deepest),
            Readout("backward_displacement", side, _backward(x), (hand,), ends),
            Readout("exit_past_hip", side, 100 * (hip_x - hand_x), (hand, hip), arm.exit),
            Readout(
                "entry_reach",
                side,
                100 * hand_ahead(strokes, side).at(arm.entry),
                (hand, shoulder),
                arm.entry,
            ),
        ]
    return readouts
