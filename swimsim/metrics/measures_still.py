"""How long the lead hand lies still before it starts to move backward."""

from __future__ import annotations

import numpy as np

from ..ground.conventions import SIDES, STILL_SHARE
from .curves import Curve
from .readout import Readout
from .strokes import Strokes

STEP_S = 1 / 400  # of the scan between the frames; the instants are found between its steps


def lead_hands(strokes: Strokes) -> list[Readout]:
    """Time from the first to the last instant before backward movement at which the hand is still. [%]

    Still: slower, forward and up or down against the mid-shoulder, than a share of the mean forward speed.
    """
    track, readouts = strokes.track, []
    for side in SIDES:
        arm, hand = strokes.cycles[side], f"{side}_knuckles"
        before = track.signal(
            ("before_the_body", side),
            lambda hand, *middle: (hand - np.mean(middle, axis=0))[:, [0, 2]],
            hand,
            *track.shoulder_joints,
        )
        ends = np.stack([arm.entry, arm.next_entry], axis=1)
        x = track.mid_hip().at(ends)[..., 0]
        limit = STILL_SHARE * (x[:, 1] - x[:, 0]) / arm.time_s
        spans = _spans(before, arm.entry, arm.start_backward, limit)
        joints = (hand, *track.shoulder_joints, *track.hip_joints)
        share = 100 * (spans[:, 1] - spans[:, 0]) / arm.time_s
        readouts.append(Readout("lead_hand_still", side, share, joints, spans))
    return readouts


def _spans(before: Curve, entry: np.ndarray, start: np.ndarray, limit: np.ndarray) -> np.ndarray:
    """First and last instant of each stroke at which the hand is still, shape (n, 2); NaN where unknown. [s]"""
    found = np.full((len(entry), 2), np.nan)
    told = np.flatnonzero(
        np.isfinite(entry + start + limit) & (start > entry) & before.readable(entry, start)
    )
    if not len(told):
        return found
    scans = [
        np.linspace(entry[i], start[i], max(int((start[i] - entry[i]) / STEP_S), 8)) for i in told
    ]  # of all strokes at once: one look at the curve
    speeds = np.hypot(*before.slope_at(np.concatenate(scans)).T)
    parts = np.split(speeds, np.cumsum([len(scan) for scan in scans])[:-1])
    for i, times, speed in zip(told, scans, parts, strict=True):
        found[i] = _span(times, speed - limit[i])
    return found


def _span(times: np.ndarray, over: np.ndarray) -> tuple[float, float]:
    """First and last time of a scan at which a speed is not over its limit; the first time twice if it never is. [s]"""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], (over < 0).astype(np.int8), [0]])))
    if not len(edges):
        return float(times[0]), float(times[0])
    return _edge(times, over, edges[0] - 1), _edge(times, over, edges[-1] - 1)


def _edge(times: np.ndarray, over: np.ndarray, i: int) -> float:
    """Where the speed passes the limit between step i and the next; an end of the scan where there is none."""
    if i < 0 or i + 1 >= len(times):
        return float(times[max(min(i, len(times) - 1), 0)])
    return float(times[i] - over[i] * (times[i + 1] - times[i]) / (over[i + 1] - over[i]))
