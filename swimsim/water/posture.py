"""What the posture does to the drag: head, slope of trunk and legs, roll, depth."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..ground.conventions import JOINT_INDEX, SIDES
from ..ground.tables import read_toml
from ..swimmer.anthropometry import Body
from .drag import area_factor, depth_factor, head_factor
from .float_parts import TRUNK, Parts, float_parts
from .path import StrokePath


@dataclass(frozen=True)
class Posture:
    """Posture of one stroke, as far as the drag asks for it.

    Parameters
    ----------
    area_m2, reference_m2 : float
        Frontal area, mean over the period, and that of the posture which the drag factor belongs to. [m2]
    extension_rad : numpy.ndarray, shape (n,)
        Neck extension, chin forward positive. [rad]
    deeper_m : float
        How much deeper the middle of the trunk lies than in that posture. [m]
    """

    area_m2: float
    reference_m2: float
    extension_rad: np.ndarray
    deeper_m: float

    def factor(self, speed_m_s: float, *, follows=None, saves=None) -> np.ndarray:
        """Factor on the drag at every instant, shape (..., n), for draws of shape (...).

        Parameters
        ----------
        speed_m_s : float
            At which the share of wave drag is taken. [m/s]
        follows, saves : array_like, optional
            As in `area_factor` and `head_factor`.
        """
        depth = depth_factor(speed_m_s, self.deeper_m)
        steady = np.asarray(area_factor(self.area_m2, self.reference_m2, follows=follows) * depth)
        saves = None if saves is None else np.asarray(saves, float)[..., None]
        return steady[..., None] * head_factor(self.extension_rad, saves=saves)


def posture(path: StrokePath) -> Posture:
    """Posture of a stroke path."""
    shares = read_toml("water")["posture"]
    stature = path.body.stature_m
    depth = -(path.joint("thorax")[:, 2] + path.joint("pelvis")[:, 2]).mean() / 2
    return Posture(
        float(frontal_area(path.joints_m, path.body).mean()),
        shares["reference_share"][path.body.sex] * stature**2,
        neck_extension(path.joints_m),
        depth - shares["reference_depth_share"] * stature,
    )


def frontal_area(joints_m: np.ndarray, body: Body) -> np.ndarray:
    """Area that head, trunk and legs show to the flow from ahead, shape (n_frames,). [m2]

    Notes
    -----
    The silhouette of a body that slopes down backwards: its greatest cross-section, and below it a band as broad as
    the trunk (turned by the roll) and the pair of legs, as high as they drop. What lies in the shade of the kick is
    left out by taking the legs' mean drop over all frames. [derived]
    """
    parts = float_parts(body)
    breadth, depth, section = _trunk_shape(parts)
    thigh = 2 * float(parts.half_depth_m[parts.names.index("left_thigh")].mean())

    def z(name: str) -> np.ndarray:
        return joints_m[:, JOINT_INDEX[name], 2]

    def level(name: str) -> np.ndarray:
        line = joints_m[:, JOINT_INDEX[f"left_{name}"]] - joints_m[:, JOINT_INDEX[f"right_{name}"]]
        return 1 - (line[:, 2] / np.linalg.norm(line, axis=1)) ** 2  # squared cosine of the roll

    roll = (level("shoulder") + level("hip")) / 2
    trunk = 2 * np.sqrt(breadth**2 * roll + depth**2 * (1 - roll))
    legs = np.sqrt((2 * thigh) ** 2 * level("hip") + thigh**2 * (1 - level("hip")))
    drop = np.mean([z(f"{side}_hip") - z(f"{side}_ankle") for side in SIDES])
    return section + trunk * np.maximum(z("thorax") - z("pelvis"), 0) + legs * max(drop, 0.0)


def _trunk_shape(parts: Parts) -> tuple[float, float, float]:
    """Half breadth and half depth, mean over the trunk, and its greatest mean cross-section. [m], [m], [m2]"""
    own = [i for i, name in enumerate(parts.names) if name in TRUNK]
    volume = parts.volume_m3[own]
    area = volume / parts.length_m[own]
    depth = np.sqrt(area / (np.pi * parts.breadth_over_depth[own]))
    breadth = depth * parts.breadth_over_depth[own]
    return tuple(float(np.average(v, weights=volume)) for v in (breadth, depth)) + (float(area.max()),)


def neck_extension(joints_m: np.ndarray) -> np.ndarray:
    """Angle from the line neck to head top towards the trunk's line, on the side of the face, shape (n_frames,). [rad]

    Positive: chin forward, face towards where the swimmer goes.
    """
    trunk = joints_m[:, JOINT_INDEX["thorax"]] - joints_m[:, JOINT_INDEX["pelvis"]]
    neck = joints_m[:, JOINT_INDEX["neck"]]
    head, nose = (joints_m[:, JOINT_INDEX[name]] - neck for name in ("head_top", "nose"))
    head = head / np.linalg.norm(head, axis=1, keepdims=True)
    face = nose - (nose * head).sum(axis=1, keepdims=True) * head
    face = face / np.linalg.norm(face, axis=1, keepdims=True)
    return np.arctan2((trunk * face).sum(axis=1), (trunk * head).sum(axis=1))
