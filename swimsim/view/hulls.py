"""Convex outlines in the picture: of a few discs, and of the points of a surface. Over many frames at once."""

from __future__ import annotations

import numpy as np

CORNERS = 24  # corners of an outline


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
    reach = centres @ WAYS.T + radii[..., None]  # (..., discs, ways)
    best = reach.argmax(axis=-2)
    chosen = np.take_along_axis(centres, best[..., None], axis=-2)
    radius = np.take_along_axis(radii, best, axis=-1)
    return chosen + radius[..., None] * WAYS


def of_points(points: np.ndarray, grow: float = 0.0) -> np.ndarray:
    """Outline of the hull of points (..., n_points, 2), grown by some pixels: shape (..., CORNERS, 2). [px]"""
    best = (points @ WAYS.T).argmax(axis=-2)
    return np.take_along_axis(points, best[..., None], axis=-2) + grow * WAYS
