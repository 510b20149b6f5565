"""Exact measures of the head in a breath, from continuous functions."""

from __future__ import annotations

import numpy as np

from ..ground.conventions import SIDES, side_sign
from .head import TURNED_RAD
from .instants import first_crossing, greatest
from .kinematics import Motion
from .vectors import dot, unit

DEG, CM, PERCENT = 180 / np.pi, 100.0, 100.0
LOOK = 0.30  # how far before and after the exit the start of the turn is looked for [cycle]
SCANNED = 181

BREATH_MEASURES = ("neck_extension", "mouth_height", "breath_turn_start", "breath_face_return")


def breath_values(motion: Motion, at: dict[str, dict[str, np.ndarray]]) -> dict[tuple[str, str], np.ndarray]:
    """Measures of every stroke with a breath, by (measure, side); shape (period,), NaN without one.

    Parameters
    ----------
    at : mapping of side to event places on the arm's own clock. [cycle]
    """
    values = {
        (name, side): np.full(motion.period_cycles, np.nan) for name in BREATH_MEASURES for side in SIDES
    }
    for side in SIDES:
        cycles = np.array([c for c in range(motion.period_cycles) if motion.pattern.breathes(side, c)], int)
        if len(cycles):
            for name, found in _in_cycles(motion, at[side], side, cycles).items():
                values[name, side][cycles] = found
    return values


def _in_cycles(
    motion: Motion, at: dict[str, np.ndarray], side: str, cycles: np.ndarray
) -> dict[str, np.ndarray]:
    """The measures of the strokes of one side that have a breath."""
    lag = motion.arms[side].lag
    after = (np.append(at["entry"][1:], at["entry"][0] + motion.period_cycles) + lag)[cycles]
    plane, out, entry = (at[name][cycles] + lag for name in ("shoulder_plane", "exit", "entry"))
    length = (after - entry) / PERCENT

    def over(share):
        return face_turn(motion, share) * side_sign(side) - TURNED_RAD

    start = first_crossing(over, out - LOOK, out + LOOK, samples=SCANNED)
    back = first_crossing(over, start + 1e-6, start + 0.9, samples=SCANNED, rising=False)
    window = {"low": plane, "high": after, "samples": SCANNED}
    return {
        "neck_extension": greatest(lambda x: neck_extension(motion, x), **window)[1] * DEG,
        "mouth_height": greatest(lambda x: mouth(motion, x)[2], **window)[1] * CM,
        "breath_turn_start": (start - out) / length,
        "breath_face_return": (back - after) / length,
    }


def head_points(motion: Motion, share: np.ndarray) -> tuple[dict[str, np.ndarray], np.ndarray]:
    """Points of the head, each (3, ...) [m], and the trunk's unit vector; share of the right arm."""
    time = np.asarray(share, float) / motion.frame.rate
    lines = motion.frame.lines(time)
    return motion.frame.head(time, lines), lines.axis


def face_turn(motion: Motion, share: np.ndarray) -> np.ndarray:
    """Turn of the face from straight down, positive to the left: tilt of the line through the ears. [rad]"""
    points, _ = head_points(motion, share)
    across = points["left_ear"] - points["right_ear"]
    return np.arctan2(across[2], across[1])


def neck_extension(motion: Motion, share: np.ndarray) -> np.ndarray:
    """Trunk line towards the face against the line from neck to head top, in the plane of the face. [rad]"""
    points, axis = head_points(motion, share)
    crown = unit(points["head_top"] - points["neck"])
    nose = points["nose"] - points["neck"]
    face = unit(nose - dot(nose, crown) * crown)
    return np.arctan2(dot(axis, face), dot(axis, crown))


def mouth(motion: Motion, share: np.ndarray) -> np.ndarray:
    """Middle of nose and chin, (3, ...). [m]"""
    points, _ = head_points(motion, share)
    return (points["nose"] + points["chin"]) / 2
