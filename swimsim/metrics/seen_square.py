"""How far off square a camera stood, from the swimmer: on the mean a body lies along its line of travel.

A coach believes the camera to be square to the lane and it never is. Seen from the side, the hip line runs
straight across the lane on the mean of many frames; seen from the front, rear, below or above the trunk runs along
it. What is left over is the turn of the camera about the upright. A swimmer who travels slantwise all the time would be
read as a camera off square; nothing but a second camera could tell the two apart.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ..ground.rays import onto_plane
from ..ground.records import Camera
from .seen_views import View

MOST_DEG = 30.0  # a greater turn is no error of aiming
LEAST_FRAMES = 20
ROUNDS = 2
_HIPS = ("left_hip", "right_hip")  # shoulders reach ahead with the roll, and would tell of it


def squared(
    camera: Camera, pixels: np.ndarray, *, levels_m: np.ndarray, names: tuple[str, ...], view: View
) -> tuple[Camera, float]:
    """The camera turned about the upright through the middle of its picture, and by how much. [deg]

    Parameters
    ----------
    pixels : numpy.ndarray, shape (n_frames, n_joints, 2)
        NaN where lost. [px]
    levels_m : numpy.ndarray, shape (n_joints,)
        Where each joint lies along the axis that is not seen. [m]

    Returns
    -------
    camera : Camera
        The same one where the body shows too little.
    turn_deg : float
        Positive counter-clockwise from above.
    """
    keep = [i for i, name in enumerate(names) if name in _NEEDED]
    used = tuple(names[i] for i in keep)
    total = 0.0
    for _ in range(ROUNDS):
        points = onto_plane(camera, pixels[:, keep], axis=view.hidden, level_m=levels_m[keep])
        turn = -_off(points, used, view)
        if not np.isfinite(turn) or abs(total + turn) > np.radians(MOST_DEG):
            return camera, np.degrees(total)
        camera, total = turned(camera, turn, view), total + turn
    return camera, float(np.degrees(total))


_NEEDED = {"pelvis", "thorax", *_HIPS}


def turned(camera: Camera, angle_rad: float, view: View) -> Camera:
    """The camera carried round the upright through the middle of its picture, counter-clockwise from above."""
    pixel = (np.array(camera.size_px, float) - 1) / 2
    middle = onto_plane(camera, pixel[None, None], axis=view.hidden, level_m=0.0)[0, 0]
    cosine, sine = np.cos(angle_rad), np.sin(angle_rad)
    turn = np.array([[cosine, -sine, 0.0], [sine, cosine, 0.0], [0.0, 0.0, 1.0]])
    return replace(
        camera, position_m=middle + turn @ (camera.position_m - middle), rotation=camera.rotation @ turn.T
    )


def _off(points: np.ndarray, names: tuple[str, ...], view: View) -> float:
    """How far the body lies off the line of travel, counter-clockwise from above; NaN if it shows too little. [rad]"""

    def between(one: str, other: str) -> np.ndarray:
        if one not in names or other not in names:
            return np.empty((0, 3))
        apart = points[:, names.index(one)] - points[:, names.index(other)]
        return apart[np.isfinite(apart).all(axis=1)]

    if view.kind != "side":
        along = between("thorax", "pelvis")
        if len(along) < LEAST_FRAMES:
            return np.nan
        mean = np.median(along, axis=0)
        return float(np.arctan2(mean[1], mean[0]))
    across = between(*_HIPS)
    if len(across) < LEAST_FRAMES:
        return np.nan
    wide = np.sqrt(np.maximum(across[:, 1] ** 2 - across[:, 2] ** 2, 0.0))  # a rolled line is shorter across
    return float(np.arctan2(-across[:, 0].mean(), wide.mean()))
