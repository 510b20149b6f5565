"""Pinhole projection in the OpenCV convention: world metres to pixels, with lens distortion.

Source: the camera model printed in the OpenCV documentation (distortion order k1, k2, p1, p2, k3).
The water surface is not part of this model.
"""

from __future__ import annotations

import numpy as np

from .records import Camera

NEAR_M = 0.05  # points nearer than this to the camera plane are not seen


def project(camera: Camera, points_m: np.ndarray, *, shift_m: np.ndarray | float = 0.0) -> np.ndarray:
    """Pixels of world points.

    Parameters
    ----------
    camera : Camera
    points_m : numpy.ndarray, shape (n_frames, ..., 3)
        World positions. [m]
    shift_m : numpy.ndarray, shape (n_frames,), or float
        How far the camera has travelled along x at each frame. [m]

    Returns
    -------
    numpy.ndarray, shape (n_frames, ..., 2)
        Pixel positions; NaN behind the camera. [px]
    """
    points = np.asarray(points_m, float)
    relative = points - camera.position_m
    shift = np.asarray(shift_m, float)
    relative[..., 0] -= shift.reshape(shift.shape + (1,) * (points.ndim - 2)) if shift.ndim else shift
    seen = relative @ camera.rotation.T
    depth = np.where(seen[..., 2] > NEAR_M, seen[..., 2], np.nan)
    x, y = seen[..., 0] / depth, seen[..., 1] / depth
    if any(camera.distortion):
        x, y = distort(x, y, camera.distortion)
    return np.stack(
        [camera.focal_px[0] * x + camera.centre_px[0], camera.focal_px[1] * y + camera.centre_px[1]], axis=-1
    )


def distort(x: np.ndarray, y: np.ndarray, coefficients: tuple[float, ...]) -> tuple[np.ndarray, np.ndarray]:
    """Distorted normalised picture coordinates, from undistorted ones."""
    k1, k2, p1, p2, k3 = coefficients
    r2 = x * x + y * y
    radial = 1 + r2 * (k1 + r2 * (k2 + r2 * k3))
    xy = x * y
    return (
        x * radial + 2 * p1 * xy + p2 * (r2 + 2 * x * x),
        y * radial + p1 * (r2 + 2 * y * y) + 2 * p2 * xy,
    )


def look_at(
    position_m: np.ndarray, aim_m: np.ndarray, *, up: tuple[float, float, float] = (0, 0, 1)
) -> np.ndarray:
    """Rotation (3, 3), world to camera, of a camera at `position_m` that looks at `aim_m` with `up` upwards.

    Raises
    ------
    ValueError
        The aim is the position, or the view runs along `up`.
    """
    forward = np.asarray(aim_m, float) - np.asarray(position_m, float)
    length = np.linalg.norm(forward)
    right = np.cross(forward, np.asarray(up, float))
    if length < 1e-9 or np.linalg.norm(right) < 1e-9 * length:
        raise ValueError("camera: the aim must differ from the position and not lie along the up direction")
    forward, right = forward / length, right / np.linalg.norm(right)
    return np.stack([right, np.cross(forward, right), forward])
