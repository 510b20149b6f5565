"""Plain postures to weigh and float: the straight body, arms ahead or at the sides."""

from __future__ import annotations

import math

import numpy as np

from ..ground.conventions import JOINT_INDEX, JOINTS, SIDES, side_sign
from ..swimmer.anthropometry import Body


def straight_body(
    body: Body, *, arms: str = "ahead", depth_m: float = 0.0, slope_rad: float = 0.0
) -> np.ndarray:
    """Joints of a straight body, face down, head along x, feet pointed.

    Parameters
    ----------
    arms : str
        `ahead` (beside the head) or `sides` (beside the trunk).
    depth_m : float
        Depth of the body's line at the hips. [m]
    slope_rad : float
        Head higher than the feet. [rad]

    Returns
    -------
    numpy.ndarray, shape (1, n_joints, 3)
        [m]
    """
    way = 1.0 if arms == "ahead" else -1.0
    along = _heights(body)
    shoulder = body.trunk_m
    for name, reach in _reaches(body).items():
        along[name] = shoulder + way * reach
    out = np.zeros((1, len(JOINTS), 3))
    for name, height in along.items():
        for joint, y in _both(body, name):
            out[0, JOINT_INDEX[joint]] = height, y, 0.0
    sine, cosine = math.sin(slope_rad), math.cos(slope_rad)
    x = out[..., 0].copy()
    out[..., 0], out[..., 2] = x * cosine, x * sine - depth_m
    return out


def standing_stature_share(body: Body, along_m: float) -> float:
    """Height above the soles as a share of stature of a point `along_m` above the hips of the standing body."""
    crown = body.trunk_m + body.neck_m + body.head_m
    return 1 + (along_m - crown) / body.stature_m


def _heights(body: Body) -> dict[str, float]:
    """Distance of every joint but the arms' from the hips, positive towards the head. [m]"""
    neck = body.trunk_m + body.neck_m
    knee, ankle = -body.thigh_m, -body.leg_m
    face = {name: neck + point[0] for name, point in body.face_m.items()}
    return {
        "pelvis": 0.0, "hip": 0.0, "thorax": body.trunk_m, "shoulder": body.trunk_m, "neck": neck,
        "head_top": neck + body.head_m, "knee": knee, "ankle": ankle,
        "heel": ankle + body.heel_back_m, "toe": ankle - body.toe_forward_m, **face,
    }  # fmt: skip


def _reaches(body: Body) -> dict[str, float]:
    """Distance of the arm's joints from the shoulder. [m]"""
    wrist = body.upper_arm_m + body.forearm_m
    return {
        "elbow": body.upper_arm_m,
        "wrist": wrist,
        "knuckles": wrist + body.hand_to_knuckles_m,
        "fingertip": wrist + body.hand_to_fingertip_m,
        "thumb_tip": wrist + body.thumb_along_m,
    }


def _both(body: Body, name: str):
    """Joint names and sideways places of one named point."""
    if name in JOINT_INDEX:
        return [(name, 0.0)]
    leg = name in ("hip", "knee", "ankle", "heel", "toe")
    half = (body.hip_width_m if leg else body.shoulder_width_m) / 2
    half = body.face_m[name][2] if name in body.face_m else half
    return [(f"{side}_{name}", side_sign(side) * half) for side in SIDES]
