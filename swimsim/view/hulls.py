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
    size, x, y = (
        a[..., None] for a in (radii.astype(np.float32), *np.moveaxis(centres.astype(np.float32), -1, 0))
    )
    found = None
    for i in range(centres.shape[-2]):
        cx, cy, r = x[..., i, :], y[..., i, :], size[..., i, :]
        reach = cx * wx + cy * wy + r
        here = np.stack([cx + r * wx, cy + r * wy], axis=-1)
        if found is None:
            best, found = reach, here
            continue
        farther = reach > best
        np.copyto(best, reach, where=farther)
        np.copyto(found, here, where=farther[..., None])
    return found


def of_points(points: np.ndarray, grow: float = 0.0) -> np.ndarray:
    """Outline of the hull of points (..., n_points, 2), grown by some pixels: shape (..., CORNERS, 2). [px]"""
    best = (points @ WAYS.T).argmax(axis=-2)
    return np.take_along_axis(points, best[..., None], axis=-2) + grow * WAYS
