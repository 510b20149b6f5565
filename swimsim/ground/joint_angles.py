"""Joint angles of shoulder, elbow and wrist in the ISB convention, from rotation matrices or joint points.

Axes here are fixed to a body segment and are not the pool axes: with the body standing in the anatomical
position X is forward, Y up, Z to the swimmer's right. A rotation matrix holds the axes of the far segment as
columns, in the frame of the near one; the identity is the anatomical position. The rules are written for the
right arm; the left one is mirrored in the middle plane first (`mirrored`), so that equal angles mean equal
postures.

Source: Wu G et al. 2005, J Biomech 38:981-992, as applied in later papers. Shoulder angles lock where the arm
hangs or is straight overhead (elevation 0 or 180 degrees): there plane and axial rotation are not told apart,
and only their sum (hanging) or difference (overhead) means anything. Elbow and wrist lock at a sideways angle
of 90 degrees, which no joint reaches.
"""

from __future__ import annotations

import numpy as np

_MIRROR = np.array([1.0, 1.0, -1.0])


def shoulder_rotation(angles_rad: np.ndarray) -> np.ndarray:
    """Upper arm in the trunk: turn about Y by the plane, about X by minus the elevation, about the new Y.

    Parameters
    ----------
    angles_rad : numpy.ndarray, shape (..., 3)
        Plane of elevation (0 sideways, pi/2 forward), elevation (0 hanging, positive raised: the convention
        has a negative X rotation here), axial rotation (positive inwards). [rad]

    Returns
    -------
    numpy.ndarray, shape (..., 3, 3)
    """
    plane, elevation, axial = np.moveaxis(np.asarray(angles_rad, float), -1, 0)
    return _about(1, plane) @ _about(0, -elevation) @ _about(1, axial)


def shoulder_angles(rotation: np.ndarray) -> np.ndarray:
    """Plane, elevation (0 to pi) and axial rotation of the upper arm, shape (..., 3). [rad]"""
    r = np.asarray(rotation, float)
    elevation = np.arctan2(np.hypot(r[..., 0, 1], r[..., 2, 1]), r[..., 1, 1])
    return np.stack(
        [np.arctan2(-r[..., 0, 1], -r[..., 2, 1]), elevation, np.arctan2(-r[..., 1, 0], r[..., 1, 2])],
        axis=-1,
    )


def elbow_rotation(angles_rad: np.ndarray) -> np.ndarray:
    """Forearm in the upper arm, shape (..., 3, 3): turn about Z, then X, then Y of the moving frame.

    Parameters
    ----------
    angles_rad : numpy.ndarray, shape (..., 3)
        Flexion (0 straight), sideways angle (positive towards the body, so a natural carrying angle is
        negative), pronation (0 fully supinated, palm forward in the anatomical position). [rad]
    """
    flexion, sideways, pronation = np.moveaxis(np.asarray(angles_rad, float), -1, 0)
    return _about(2, flexion) @ _about(0, sideways) @ _about(1, pronation)


def elbow_angles(rotation: np.ndarray) -> np.ndarray:
    """Flexion, sideways angle (-pi/2 to pi/2) and pronation of the forearm, shape (..., 3). [rad]"""
    r = np.asarray(rotation, float)
    sideways = np.arctan2(r[..., 2, 1], np.hypot(r[..., 2, 0], r[..., 2, 2]))
    return np.stack(
        [np.arctan2(-r[..., 0, 1], r[..., 1, 1]), sideways, np.arctan2(-r[..., 2, 0], r[..., 2, 2])], axis=-1
    )


#: The wrist follows the same sequence: flexion (positive to the palm), deviation (positive to the little
#: finger), axial rotation.
wrist_rotation = elbow_rotation
wrist_angles = elbow_angles


def included_elbow_angle(flexion_rad: np.ndarray | float) -> np.ndarray | float:
    """Angle between upper arm and forearm as swimming papers give it: pi when straight. [rad]"""
    return np.pi - flexion_rad


def mirrored(rotation: np.ndarray) -> np.ndarray:
    """The same posture on the other side of the body: Z reversed in both segments, shape (..., 3, 3)."""
    return np.asarray(rotation, float) * _MIRROR[:, None] * _MIRROR


def segment_frame(along: np.ndarray, right: np.ndarray) -> np.ndarray:
    """Axes of a segment as columns, from two directions in any common frame.

    Parameters
    ----------
    along : numpy.ndarray, shape (..., 3)
        Towards the near end of a limb, or the head end of the trunk: becomes Y.
    right : numpy.ndarray, shape (..., 3)
        Any direction whose part square to `along` points to Z.

    Returns
    -------
    numpy.ndarray, shape (..., 3, 3)
        NaN where a direction is missing or the two are in line.
    """
    y, x = _unit(along), _unit(np.cross(along, right))
    return np.stack([x, y, np.cross(x, y)], axis=-1)


def relative(near: np.ndarray, far: np.ndarray) -> np.ndarray:
    """Far segment in the frame of the near one, from two frames of shape (..., 3, 3)."""
    return np.swapaxes(near, -1, -2) @ far


def _unit(vector: np.ndarray) -> np.ndarray:
    length = np.linalg.norm(vector, axis=-1, keepdims=True)
    return vector / np.where(length > 0, length, np.nan)


def _about(axis: int, angle_rad: np.ndarray) -> np.ndarray:
    """Rotation matrices about one axis, right-handed, shape (..., 3, 3)."""
    angle = np.asarray(angle_rad, float)
    turned = np.zeros((*angle.shape, 3, 3))
    i, j = (axis + 1) % 3, (axis + 2) % 3
    turned[..., axis, axis] = 1.0
    turned[..., i, i] = turned[..., j, j] = np.cos(angle)
    turned[..., j, i] = np.sin(angle)
    turned[..., i, j] = -np.sin(angle)
    return turned
