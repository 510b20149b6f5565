"""Rate, length, speed, phases of the arm cycle, index of coordination."""

from __future__ import annotations

import numpy as np

from ..ground.conventions import SIDES, other_side
from .readout import Readout
from .strokes import Strokes


def rates(strokes: Strokes) -> list[Readout]:
    """Stroke rate [1/min], stroke length [m], speed [m/s], cycle time [s]."""
    track, body = strokes.track, strokes.body
    if not len(body.number):
        return []
    ends = np.stack([body.entry, body.next_entry], axis=1)
    x = track.mid_hip().at(ends)[..., 0]
    travel = x[:, 1] - x[:, 0]
    whole = strokes.span[1] - strokes.span[0]
    speed = (x[-1, 1] - x[0, 0]) / whole
    hand, hip = (f"{body.side}_fingertip",), (f"{body.side}_fingertip", *track.hip_joints)
    return [
        Readout("cycle_time", None, body.time_s, hand, ends, overall=strokes.cycle_s, joined=True),
        Readout("stroke_rate", None, 60 / body.time_s, hand, ends, overall=60 / strokes.cycle_s, joined=True),
        Readout("stroke_length", None, travel, hip, ends, joined=True),
        Readout("speed", None, travel / body.time_s, hip, ends, overall=speed, joined=True),
    ]


def phases(strokes: Strokes) -> list[Readout]:
    """Shares of the arm's own cycle. [%]"""
    readouts = []
    for side in SIDES:
        arm = strokes.cycles[side]
        hand = (f"{side}_fingertip", f"{side}_knuckles", f"{side}_wrist")
        shoulder = (*hand, f"{side}_shoulder")
        for name, start, stop, joints in (
            ("phase_entry_catch", arm.entry, arm.start_backward, hand),
            ("phase_pull", arm.start_backward, arm.shoulder_plane, shoulder),
            ("phase_push", arm.shoulder_plane, arm.exit, shoulder),
            ("phase_recovery", arm.exit, arm.next_entry, hand),
        ):
            share = 100 * (stop - start) / arm.time_s
            readouts.append(Readout(name, side, share, joints, np.stack([start, stop], axis=1)))
    return readouts


def coordination(strokes: Strokes) -> list[Readout]:
    """One-sided indices and their mean, with the push ended at exit and at the last backward movement. [%]

    The start of the other arm that belongs to a stroke is its first start of backward movement after this
    arm's own.
    """
    readouts = []
    for name, event in (("coordination_index", "exit"), ("coordination_index_backward", "end_backward")):
        sides = {side: _one_sided(strokes, side, event) for side in SIDES}
        for side, (values, times) in sides.items():
            joints = tuple(
                f"{s}_{j}" for s in (side, other_side(side)) for j in ("fingertip", "knuckles", "wrist")
            )
            readouts.append(Readout(f"{name}_side", side, values, joints, times))
        readouts.append(_both(name, strokes, sides))
    return readouts


def _one_sided(strokes: Strokes, side: str, event: str) -> tuple[np.ndarray, np.ndarray]:
    arm, other = strokes.cycles[side], strokes.arms[other_side(side)].start_backward
    later = np.append(np.sort(other[np.isfinite(other)]), np.nan)
    follows = later[np.searchsorted(later[:-1], np.nan_to_num(arm.start_backward, nan=np.inf), side="right")]
    near = follows - arm.start_backward < 1.2 * strokes.cycle_s
    end = getattr(arm, event)
    values = np.where(near, 100 * (end - follows) / strokes.cycle_s, np.nan)
    return values, np.stack([end, follows], axis=1)


def _both(name: str, strokes: Strokes, sides: dict) -> Readout:
    """Mean of the two one-sided indices; cycle by cycle where both arms have that cycle."""
    left, right = strokes.cycles["left"].number, strokes.cycles["right"].number
    shared, at_left, at_right = np.intersect1d(left, right, return_indices=True)
    values = (sides["left"][0][at_left] + sides["right"][0][at_right]) / 2
    times = np.concatenate([sides["left"][1][at_left], sides["right"][1][at_right]], axis=1)
    each = [one[0][np.isfinite(one[0])] for one in sides.values()]
    overall = np.mean([one.mean() for one in each]) if all(map(len, each)) else np.nan
    joints = tuple(f"{s}_{j}" for s in SIDES for j in ("fingertip", "knuckles", "wrist"))
    return Readout(name, None, values, joints, times, number=shared, overall=float(overall))
