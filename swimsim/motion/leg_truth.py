"""Exact measures of the legs: knee, hip, heel, gap, from continuous functions."""

from __future__ import annotations

import numpy as np

from ..ground.conventions import SIDES
from .instants import greatest
from .kinematics import Motion

DEG, CM = 180 / np.pi, 100.0
SCANNED = 721  # instants of a cycle that are looked at first: the greatest of six beats alike to a hair


def leg_values(motion: Motion, at: dict[str, dict[str, np.ndarray]]) -> dict[tuple[str, str], np.ndarray]:
    """Knee, hip and heel of both legs in every cycle, and the gap of the ankles in the later part of every stroke.

    Parameters
    ----------
    at : mapping of side to event places on the arm's own clock. [cycle]

    Returns
    -------
    dict of (measure, side) to numpy.ndarray, shape (period,). [deg], [cm]
    """
    low = np.arange(motion.period_cycles, dtype=float)
    made = {"knee_most": knee_flexion, "hip_flexion_most": hip_flexion, "heel_depth_least": heel_height}
    values = {("foot_gap", side): _gap(motion, at[side], side) for side in SIDES}
    return values | {
        (name, side): _most(motion, how, side, low) * (-CM if name == "heel_depth_least" else DEG)
        for name, how in made.items()
        for side in SIDES
    }


def _most(motion: Motion, how, side: str, low: np.ndarray) -> np.ndarray:
    low = low + motion.arms[side].lag
    return greatest(lambda x: how(motion, side, x), low, low + 1, samples=SCANNED)[1]


def _gap(motion: Motion, at: dict[str, np.ndarray], side: str) -> np.ndarray:
    """Greatest sideways distance of the ankles from each shoulder plane to the next entry. [cm]"""
    lag, after = motion.arms[side].lag, np.append(at["entry"][1:], at["entry"][0] + motion.period_cycles)
    window = at["shoulder_plane"] + lag, after + lag
    return greatest(lambda x: ankle_gap(motion, x), *window, samples=SCANNED)[1] * CM


def ankle_gap(motion: Motion, share: np.ndarray) -> np.ndarray:
    """Left ankle to the left of the right one. [m]"""
    left, right = (leg_points(motion, side, share)[0]["ankle"][1] for side in SIDES)
    return left - right


def leg_points(motion: Motion, side: str, share: np.ndarray) -> tuple[dict[str, np.ndarray], np.ndarray]:
    """Points of one leg, each (3, ...) [m], and the trunk's way from thorax to pelvis; share of the right arm.

    Of a planar swimmer, in the swimming plane.
    """
    lines = motion.frame.lines(np.asarray(share, float) / motion.frame.rate)
    points = motion.legs.points(side, share, lines)
    if motion.dimensions == 2:
        for point in points.values():
            point[1] = 0.0
    return points, -lines.axis


def knee_flexion(motion: Motion, side: str, share: np.ndarray) -> np.ndarray:
    """Knee flexion, 0 straight. [rad]"""
    p, _ = leg_points(motion, side, share)
    thigh, shank = p["knee"] - p["hip"], p["ankle"] - p["knee"]
    return np.arctan2(np.linalg.norm(np.cross(thigh, shank, axis=0), axis=0), (thigh * shank).sum(0))


def hip_flexion(motion: Motion, side: str, share: np.ndarray) -> np.ndarray:
    """Thigh below the trunk line carried on backwards, in the side plane. [rad]"""
    p, back = leg_points(motion, side, share)
    thigh = p["knee"] - p["hip"]
    return np.arctan2(-thigh[2], -thigh[0]) - np.arctan2(-back[2], -back[0])


def heel_height(motion: Motion, side: str, share: np.ndarray) -> np.ndarray:
    """Height of the heel above still water. [m]"""
    return leg_points(motion, side, share)[0]["heel"][2]
