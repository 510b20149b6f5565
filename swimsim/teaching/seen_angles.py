"""Angles as a view shows them, beside the true ones: a limb out of the picture plane looks bent otherwise."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ..ground.records import Camera, Drawn, Trace

SHORT = 0.30  # a line that looks shorter than this share of itself shows no direction
DIFFERS_DEG = 3.0  # less than this is not said


def with_seen(drawn: Drawn, trace: Trace, camera: Camera) -> Drawn:
    """The same arc with its angle as the camera shows it; anything else as it is.

    Parameters
    ----------
    camera : Camera
        Travels with the mean speed of the trace if it travels.

    Returns
    -------
    Drawn
        `seen` is NaN where the camera looks along one of the two directions. [deg]
    """
    if drawn.kind != "arc" or drawn.values is None:
        return drawn
    shown = np.isfinite(drawn.values)
    seen = angle_in_picture(drawn.points_m, trace, camera)
    off = np.abs(seen - drawn.values)[shown]
    alike = np.max(np.nan_to_num(off, nan=np.inf), initial=0.0) < DIFFERS_DEG
    return drawn if alike else replace(drawn, seen=seen)


def angle_in_picture(corners_m: np.ndarray, trace: Trace, camera: Camera) -> np.ndarray:
    """Angle (n_frames,) at the first of three points (n_frames, 3, 3) in the camera's picture. [deg]"""
    from ..view.cameras import mean_speed
    from ..view.figure import Shot

    shift = mean_speed(trace) * trace.time_s if camera.travels else 0 * trace.time_s
    shot = Shot(camera, corners_m, (), shift)
    pixels = shot.see(corners_m)
    rays, long_m = pixels[:, 1:] - pixels[:, :1], corners_m[:, 1:] - corners_m[:, :1]
    scale = camera.focal_px[0] / np.maximum(shot.depth(corners_m[:, :1]), 0.1)
    shown = np.linalg.norm(rays, axis=-1) / np.maximum(np.linalg.norm(long_m, axis=-1) * scale, 1e-12)
    (ax, ay), (bx, by) = np.moveaxis(rays, 0, -1)
    angle = np.degrees(np.arctan2(np.abs(ax * by - ay * bx), ax * bx + ay * by))
    return np.where((shown > SHORT).all(axis=1), angle, np.nan)
