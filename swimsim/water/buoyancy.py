"""Weight and buoyancy of a posture in closed form: the two centres, the torque that sinks or lifts the legs.

What is under the still surface z = 0 displaces water. A strip is a lying elliptic cylinder; the share of it that is
under water is that of its cross-section, exact for a level one.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..ground.conventions import JOINTS
from .float_parts import Parts

GRAVITY_M_S2 = 9.81
WATER_KG_M3 = 996.5  # pool water of 27 degrees C


@dataclass(frozen=True)
class Buoyancy:
    """Weight and buoyancy of one swimmer at every frame.

    Parameters
    ----------
    force_n, weight_n : numpy.ndarray, shape (n_frames,)
        Upward and downward. [N]
    centre_of_mass_m, centre_of_buoyancy_m : numpy.ndarray, shape (n_frames, 3)
        World positions; the second is NaN where nothing is under water. [m]
    torque_nm : numpy.ndarray, shape (n_frames,)
        Torque of the buoyant force about the centre of mass in the swimming plane; positive lifts the head and
        sinks the legs. [N m]
    roll_torque_nm : numpy.ndarray, shape (n_frames,)
        The same about the swimming direction; positive lifts the left side. [N m]
    """

    force_n: np.ndarray
    weight_n: np.ndarray
    centre_of_mass_m: np.ndarray
    centre_of_buoyancy_m: np.ndarray
    torque_nm: np.ndarray
    roll_torque_nm: np.ndarray


def share_under(depth_m: np.ndarray, half_depth_m: np.ndarray) -> np.ndarray:
    """Share of an elliptic cross-section that lies under water.

    Parameters
    ----------
    depth_m : numpy.ndarray
        Depth of its centre below the surface, negative above. [m]
    half_depth_m : numpy.ndarray
        Half its vertical size. [m]

    Returns
    -------
    numpy.ndarray
        0 (out of the water) to 1 (covered); smooth, with the slope of the waterline's width.

    Notes
    -----
    Area of a circular segment, the vertical scale of an ellipse changing nothing:
    1/2 + (u sqrt(1 - u^2) + asin u) / pi with u = depth over half depth. [derived]
    """
    u = np.clip(np.divide(depth_m, half_depth_m), -1.0, 1.0)
    return 0.5 + (u * np.sqrt(1.0 - u * u) + np.arcsin(u)) / np.pi


def centre_of_mass(parts: Parts, joints_m: np.ndarray) -> np.ndarray:
    """Centre of mass at every frame, shape (n_frames, 3). [m]"""
    centres = parts.at(joints_m, parts.centre[:, None])[:, :, 0]
    return np.einsum("p,npc->nc", parts.mass_kg, centres) / parts.mass_kg.sum()


def centre_of_volume(parts: Parts, joints_m: np.ndarray) -> np.ndarray:
    """Centre of buoyancy of the wholly covered body, shape (n_frames, 3). [m]"""
    strips = parts.at(joints_m, parts.strip_at)
    return np.einsum("ps,npsc->nc", parts.strip_volume_m3, strips) / parts.volume_m3.sum()


def buoyancy(
    parts: Parts, joints_m: np.ndarray, *, water_kg_m3: float = WATER_KG_M3, surface: bool = True
) -> Buoyancy:
    """Weight and buoyancy of every frame of a trace.

    Parameters
    ----------
    parts : Parts
    joints_m : array_like, shape (n_frames, n_joints, 3)
        Joint positions in the order of JOINTS. [m]
    water_kg_m3 : float
        Density of the water. [kg/m3]
    surface : bool
        False: everything counts as covered, as deep under water.

    Raises
    ------
    ValueError
        Joints that are missing or of another shape.
    """
    joints = np.asarray(joints_m, float)
    if joints.ndim != 3 or joints.shape[1:] != (len(JOINTS), 3):
        raise ValueError(f"joints_m: expected shape (n_frames, {len(JOINTS)}, 3), got {joints.shape}")
    if not np.isfinite(joints).all():
        raise ValueError("joints_m: expected every joint at every frame, got missing (NaN) ones")
    strips = parts.at(joints, parts.strip_at)
    lift = np.broadcast_to(water_kg_m3 * GRAVITY_M_S2 * parts.strip_volume_m3, strips.shape[:3])
    if surface:
        lift = lift * share_under(-strips[..., 2], half_height(parts, joints))
    force = lift.sum(axis=(1, 2))
    mass_centre = centre_of_mass(parts, joints)
    with np.errstate(invalid="ignore", divide="ignore"):
        centre = np.einsum("nps,npsc->nc", lift, strips) / force[:, None]
    arm = np.where(force[:, None] > 0, centre - mass_centre, 0.0)
    weight = np.full(len(joints), parts.mass_kg.sum() * GRAVITY_M_S2)
    return Buoyancy(force, weight, mass_centre, centre, arm[:, 0] * force, arm[:, 1] * force)


def half_height(parts: Parts, joints_m: np.ndarray) -> np.ndarray:
    """Half the vertical size of every strip's cross-section, shape (n_frames, p, s). [m]

    The trunk's ellipse turns with the line through its joints; limbs count as round.
    """
    half_depth = parts.half_depth_m
    half_breadth = half_depth * parts.breadth_over_depth[:, None]
    round_half = np.sqrt(half_depth * half_breadth)
    tilts = np.stack([_tilt(joints_m, joint) for joint in ("hip", "shoulder")], axis=1)  # (n, 2)
    out = np.broadcast_to(round_half, (len(joints_m), *round_half.shape)).copy()
    for i, name in enumerate(parts.names):
        if "trunk" in name or name in ("thorax", "abdomen_pelvis"):
            sine = tilts[:, int(name in ("upper_trunk", "thorax")), None]
            squared = half_depth[i] ** 2 * (1 - sine**2) + half_breadth[i] ** 2 * sine**2
            out[:, i] = np.sqrt(squared)
    return out


def _tilt(joints_m: np.ndarray, joint: str) -> np.ndarray:
    """Sine of the tilt of the line from the right to the left joint, shape (n_frames,)."""
    line = joints_m[:, JOINTS.index(f"left_{joint}")] - joints_m[:, JOINTS.index(f"right_{joint}")]
    return line[:, 2] / np.linalg.norm(line, axis=1)
