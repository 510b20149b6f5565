"""Exact measures of the legs: knee, hip, heel, from continuous functions."""

from __future__ import annotations

import numpy as np

from ..ground.conventions import SIDES
from .instants import greatest
from .kinematics import Motion

DEG, CM = 180 / np.pi, 100.0
SCANNED = 721  # instants of a cycle that are looked at first: the greatest of six beats alike to a hair


def leg_values(motion: Motion) -> dict[tuple[str, str], np.ndarray]:
    """Knee, hip and heel of both legs in every cycle, by (measure, side); shape (period,). [deg], [cm]"""
    low = np.arange(motion.period_cycles, dtype=float)
    made = {"knee_most": knee_flexion, "hip_flexion_most": hip_flexion, "heel_depth_least": heel_height}
    return {
        (name, side): _most(motion, how, side, low) * (-CM if name == "heel_depth_least" else DEG)
        for name, how in made.items()
        for side in SIDES
    }


def _most(motion: Motion, how, side: str, low: np.ndarray) -> np.ndarray:
    low = low + motion.arms[side].lag
    return greatest(lambda x: how(motion, side, x), low, low + 1, samples=SCANNED)[1]


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
