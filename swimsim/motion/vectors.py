"""Vectors as arrays of shape (3, ...): components first, so that each is one block of memory.

Written out by component: for the few places of a solver step the general functions of numpy cost more than
the sums.
"""

from __future__ import annotations

import numpy as np

SAFE = 1e-12
MANY = 500  # from so many angles on, one tangent is quicker than a sine and a cosine


def vector(x, y, z, *, shape: tuple[int, ...]) -> np.ndarray:
    """Array of shape (3, *shape) from three components, each an array of that shape or a number."""
    out = np.empty((3, *shape))
    out[0], out[1], out[2] = x, y, z
    return out


def sin_cos(angle: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Sine and cosine of angles [rad]; of many together, by the tangent of the half angle."""
    if angle.size < MANY:
        return np.sin(angle), np.cos(angle)
    tangent = np.tan(0.5 * angle)
    square = tangent * tangent
    share = 1 / (1 + square)
    return 2 * tangent * share, (1 - square) * share


def dot(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    """Dot products of (3, ...) vectors."""
    return (a * b).sum(0)


def cross(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    """Cross products of (3, ...) vectors."""
    (ax, ay, az), (bx, by, bz) = a, b
    out = np.empty_like(a)
    np.subtract(ay * bz, az * by, out=out[0])
    np.subtract(az * bx, ax * bz, out=out[1])
    np.subtract(ax * by, ay * bx, out=out[2])
    return out


def unit(v: np.ndarray) -> np.ndarray:
    """Unit vectors of (3, ...) vectors."""
    return v / np.sqrt(dot(v, v) + SAFE * SAFE)


def square_to(v: np.ndarray, way: np.ndarray) -> np.ndarray:
    """Unit vectors of the part of v square to the unit vectors `way`."""
    return unit(v - dot(v, way) * way)
