"""Convex outlines in the picture: of a few discs, and of the points of a surface. Over many frames at once."""

from __future__ import annotations

import numpy as np

CORNERS = 20  # corners of an outline


def _ways(count: int) -> np.ndarray:
    turn = (np.arange(count) + 0.5) * 2 * np.pi / count
    return np.stack([np.cos(turn), np.sin(turn)], axis=-1)


WAYS = _ways(CORNERS)


def of_discs(centres: np.ndarray, radii: np.ndarray) -> np.ndarray:
    """Outline of the hull of discs.

    Parameters
    ----------
    centres : numpy.ndarray, shape (..., n_discs, 2)
        [px]
    radii : numpy.ndarray, shape (..., n_discs)
        [px]

    Returns
    -------
    numpy.ndarray, shape (..., CORNERS, 2)
        Corners in turning order: in each direction the farthest disc gives its farthest point. [px]
    """
    wx, wy = WAYS.T.astype(np.float32)
    size, (cx, cy) = radii.astype(np.float32), np.moveaxis(centres.astype(np.float32), -1, 0)
    found = best = None
    for i in range(centres.shape[-2]):
        r = size[..., i, None]
        x, y = cx[..., i, None] + r * wx, cy[..., i, None] + r * wy
        reach = x * wx
        reach += y * wy
        if found is None:
            found, best = (x, y), reach
            continue
        farther = reach > best
        if i + 1 < centres.shape[-2]:
            np.copyto(best, reach, where=farther)
        for kept, new in zip(found, (x, y), strict=True):
            np.copyto(kept, new, where=farther)
    return np.stack(found, axis=-1)


def of_points(points: np.ndarray, grow: float = 0.0) -> np.ndarray:
    """Outline of the hull of points (..., n_points, 2), grown by some pixels: shape (..., CORNERS, 2). [px]"""
    ways = WAYS.astype(np.float32)
    points = points.astype(np.float32, copy=False)
    best = (ways @ np.ascontiguousarray(np.swapaxes(points, -1, -2))).argmax(axis=-1)
    return np.take_along_axis(points, best[..., None], axis=-2) + np.float32(grow) * ways
