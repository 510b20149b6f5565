"""Pixels through a flat port or through the water surface: exact refraction in front of a pinhole camera.

Both are one problem. A ray crosses one flat border; the lens is `near` away from it on one side, the point `far`
away on the other. With a = tan(angle in air) the ray comes down sideways at

    near a + far a / sqrt(n^2 + (n^2 - 1) a^2)

(Snell, n_air = 1), which rises with a and bends downwards, so Newton's method from below never overshoots. The
glass of a thin parallel port drops out. Index of water 1.333 (IAPWS R9-97: 1.33335 at 589.3 nm, 20 C, 1 atm).
Lens distortion comes after the bending, as in a real lens.
"""

from __future__ import annotations

import numpy as np

from swimsim.ground.errors import InputError, nearest
from swimsim.ground.projection import NEAR_M, distort, project
from swimsim.ground.rays import N_WATER
from swimsim.ground.records import Camera

KINDS = ("none", "flat_port", "surface")
NEWTON_STEPS = 60  # a dozen do, but for rays that graze the border
SETTLED = 2e-15  # a step this small against the value itself changes nothing more


def see(camera: Camera, points_m: np.ndarray, shift_m: np.ndarray | float = 0.0) -> np.ndarray:
    """Pixels of world points as the camera sees them, through whatever bends its rays.

    Parameters
    ----------
    camera : Camera
        With `refraction` "none", "flat_port" (at `port_m` ahead of the lens) or "surface".
    points_m : numpy.ndarray, shape (n_frames, ..., 3)
        World positions. [m]
    shift_m : numpy.ndarray, shape (n_frames,), or float
        How far the camera has travelled along x at each frame. [m]

    Returns
    -------
    numpy.ndarray, shape (n_frames, ..., 2)
        NaN behind the camera, between lens and port, and where no ray leads. [px]

    Raises
    ------
    InputError
        Unknown word, a port in air, or a camera under water that is to look through the surface from above.

    Notes
    -----
    A camera behind a port sees points above z = 0 as if they were under water too: the pictures of underwater
    cameras are cut-aways, in which the water in front of the swimmer has no end.
    """
    check(camera)
    if camera.refraction == "none":
        return project(camera, points_m, shift_m=shift_m)
    points = np.asarray(points_m, float)
    shift = np.asarray(shift_m, float)
    shift = shift.reshape(shift.shape + (1,) * (points.ndim - 2)) if shift.ndim else shift
    relative = points - camera.position_m
    relative[..., 0] -= shift
    if camera.refraction == "surface":
        return project(camera, camera.position_m + _on_surface(relative, camera.position_m[2]))
    return _through_port(camera, relative @ camera.rotation.T)


def check(camera: Camera) -> None:
    """Refuse a refraction that the camera cannot have.

    Raises
    ------
    InputError
    """
    kind, height, name = camera.refraction, float(camera.position_m[2]), f"camera '{camera.name}'"
    if kind not in KINDS:
        raise InputError(
            f"{name}: refraction: expected one of {', '.join(KINDS)}, got '{kind}'; {nearest(kind, KINDS)}"
        )
    if kind == "surface" and height <= 0:
        raise InputError(
            f"{name}: refraction: 'surface' is for a camera in air (position z above 0), got z = {height:g} m; "
            "under water use 'flat_port'"
        )
    if kind == "flat_port" and height >= 0:
        raise InputError(
            f"{name}: refraction: 'flat_port' is for a camera under water (position z below 0), "
            f"got z = {height:g} m; in air use 'surface'"
        )
    if kind == "flat_port" and not (np.isfinite(camera.port_m) and camera.port_m >= 0):
        raise InputError(f"{name}: port_m: expected 0 m or more from lens to port, got {camera.port_m:g}")


def air_slope(near_m: np.ndarray, far_m: np.ndarray, aside_m: np.ndarray) -> np.ndarray:
    """Tangent of the angle in air of the ray that crosses a flat border between air and water.

    Parameters
    ----------
    near_m, far_m : array_like
        Distance of the lens (in air) and of the point (in water) from the border, along its normal. [m]
    aside_m : array_like
        Distance of the point from the normal through the lens. [m]

    Returns
    -------
    numpy.ndarray
        NaN where no ray leads: a lens on the border sees nothing beyond the critical angle.
    """
    near, far, aside = np.broadcast_arrays(*(np.asarray(v, float) for v in (near_m, far_m, aside_m)))
    squared, more = N_WATER**2, N_WATER**2 - 1
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        slope = aside / (near + far / N_WATER)
        for _ in range(NEWTON_STEPS):
            root = np.sqrt(squared + more * slope * slope)
            step = (aside - slope * (near + far / root)) / (near + far * squared / (root * root * root))
            slope = slope + step
            if not (np.abs(step) > SETTLED * np.abs(slope)).any():
                break
        reachable = (near > 0) | (aside < far / np.sqrt(more))
    return np.where(reachable, slope, np.nan)


def _on_surface(relative: np.ndarray, height_m: float) -> np.ndarray:
    """Points relative to the camera; those under water moved to where their ray crosses z = 0."""
    depth = -(relative[..., 2] + height_m)
    sunk = depth > 0
    aside = np.hypot(relative[..., 0], relative[..., 1])
    reach = height_m * air_slope(height_m, np.where(sunk, depth, 0.0), aside)
    share = np.where(sunk & (aside > 0), reach / np.where(aside > 0, aside, 1.0), 1.0)
    crossing = np.where(sunk, -height_m, relative[..., 2])
    return np.stack([relative[..., 0] * share, relative[..., 1] * share, crossing], axis=-1)


def _through_port(camera: Camera, inside: np.ndarray) -> np.ndarray:
    """Pixels of points in camera axes (..., 3) seen through the port."""
    beyond = inside[..., 2] - camera.port_m
    beyond = np.where((beyond > 0) & (inside[..., 2] > NEAR_M), beyond, np.nan)
    aside = np.hypot(inside[..., 0], inside[..., 1])
    slope = air_slope(camera.port_m, beyond, aside)
    on_axis = 1 / (camera.port_m + beyond / N_WATER)
    per_metre = np.where(aside > 0, slope / np.where(aside > 0, aside, 1.0), on_axis)
    x, y = inside[..., 0] * per_metre, inside[..., 1] * per_metre
    if any(camera.distortion):
        x, y = distort(x, y, camera.distortion)
    return np.stack(
        [camera.focal_px[0] * x + camera.centre_px[0], camera.focal_px[1] * y + camera.centre_px[1]], axis=-1
    )
