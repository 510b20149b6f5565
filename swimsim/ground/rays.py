"""From pixels back into the world: the ray that a pixel looks along, and where it meets a plane.

The inverse of `projection` and of the refraction of a flat port or of the still surface: what a reader of pictures
can know from the camera alone.
"""

from __future__ import annotations

import numpy as np

from .projection import distort
from .records import Camera

N_WATER = 1.333  # IAPWS R9-97: 1.33335 at 589.3 nm, 20 C, 1 atm
SETTLED = 1e-15  # of undistortion, where the picture is of order one
UNDISTORT_STEPS = 30  # of a fixed-point search; each takes off a factor of about the distortion itself


def undistort(x: np.ndarray, y: np.ndarray, coefficients: tuple[float, ...]) -> tuple[np.ndarray, np.ndarray]:
    """Undistorted normalised picture coordinates, from distorted ones (fixed-point search)."""
    if not any(coefficients):
        return x, y
    straight_x, straight_y = x, y
    for _ in range(UNDISTORT_STEPS):
        bent_x, bent_y = distort(straight_x, straight_y, coefficients)
        off_x, off_y = x - bent_x, y - bent_y
        straight_x, straight_y = straight_x + off_x, straight_y + off_y
        if not ((np.abs(off_x) > SETTLED).any() or (np.abs(off_y) > SETTLED).any()):
            break
    return straight_x, straight_y


def bend(directions: np.ndarray, normal: np.ndarray) -> np.ndarray:
    """Unit directions in water of rays that come out of air through a flat border (Snell's law as vectors).

    Parameters
    ----------
    directions : numpy.ndarray, shape (..., 3)
        Unit vectors in air.
    normal : numpy.ndarray, shape (3,)
        Unit normal of the border, into the water.
    """
    across = directions @ normal
    inside = np.sqrt(1 - (1 - across**2) / N_WATER**2)
    return directions / N_WATER + (inside - across / N_WATER)[..., None] * normal


def rays(camera: Camera, pixels: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Origins and unit directions of the rays of pixels, for the camera at its place at time 0.

    Behind a flat port they are the rays in the water, which begin on the port; otherwise those in front of the
    lens.

    Parameters
    ----------
    pixels : numpy.ndarray, shape (..., 2)
        NaN gives NaN. [px]

    Returns
    -------
    origins, directions : numpy.ndarray, shape (..., 3)
        World positions [m] and unit vectors.
    """
    x = (pixels[..., 0] - camera.centre_px[0]) / camera.focal_px[0]
    y = (pixels[..., 1] - camera.centre_px[1]) / camera.focal_px[1]
    x, y = undistort(x, y, camera.distortion)
    ahead = np.stack([x, y, np.ones_like(x)], axis=-1)
    unit = ahead / np.sqrt(x * x + y * y + 1)[..., None]
    if camera.refraction != "flat_port":
        origins = np.broadcast_to(camera.position_m, unit.shape)
        return origins, unit @ camera.rotation
    unit = bend(unit, np.array([0.0, 0.0, 1.0]))
    return camera.position_m + camera.port_m * ahead @ camera.rotation, unit @ camera.rotation


def onto_plane(
    camera: Camera,
    pixels: np.ndarray,
    *,
    axis: int,
    level_m: np.ndarray | float,
    shift_m: np.ndarray | float = 0.0,
) -> np.ndarray:
    """World points in which the rays of pixels meet a plane square to a world axis.

    Parameters
    ----------
    camera : Camera
        Its refraction is undone; one in air with refraction `surface` looks on through the still water.
    pixels : numpy.ndarray, shape (n_frames, n_points, 2)
        Pixel positions. [px]
    axis : int
        0, 1 or 2: the plane is x, y or z = `level_m`.
    level_m : array_like, broadcast over (n_frames, n_points)
        Where the plane lies; along x it travels with the camera. [m]
    shift_m : array_like, shape (n_frames,), or float
        How far the camera has travelled along x at each frame. [m]

    Returns
    -------
    numpy.ndarray, shape (n_frames, n_points, 3)
        NaN where the ray does not meet the plane ahead of the lens. [m]
    """
    origins, along = rays(camera, np.asarray(pixels, float))
    points = meet(origins, along, axis, level_m)
    if camera.refraction == "surface":
        crossing = meet(origins, along, 2, 0.0)
        under = meet(crossing, bend(along, np.array([0.0, 0.0, -1.0])), axis, level_m)
        with np.errstate(invalid="ignore"):
            wet = np.asarray(level_m) < 0 if axis == 2 else ~(points[..., 2] >= 0)
        points = np.where(np.broadcast_to(wet, points.shape[:-1])[..., None], under, points)
    shift = np.asarray(shift_m, float)
    points[..., 0] += shift[:, None] if shift.ndim else shift
    return points


def meet(origins: np.ndarray, along: np.ndarray, axis: int, level_m: np.ndarray | float) -> np.ndarray:
    """Points in which rays meet the plane x, y or z (`axis`) = `level_m`; NaN behind their origins. [m]"""
    with np.errstate(divide="ignore", invalid="ignore"):
        far = (level_m - origins[..., axis]) / along[..., axis]
        far = np.where(far > 0, far, np.nan)
        return origins + far[..., None] * along
