"""Instants found in continuous functions: crossings and extremes, vectorised over cycles."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

Function = Callable[[np.ndarray], np.ndarray]


def first_crossing(f: Function, low: np.ndarray, high: np.ndarray, *, samples: int = 49, rising: bool = True):
    """First place in each [low, high] where f goes through zero upwards (or downwards).

    Parameters
    ----------
    f : callable
        Takes and returns arrays of one shape.
    low, high : numpy.ndarray, shape (n,)

    Returns
    -------
    numpy.ndarray, shape (n,)
        NaN where there is none, or where an end is NaN. Exact to rounding.
    """
    sign = 1.0 if rising else -1.0
    known = np.isfinite(low) & np.isfinite(high)  # an instant before it may not have been found
    low, high = np.where(known, low, 0.0), np.where(known, high, 0.0)
    grid = low[:, None] + (high - low)[:, None] * np.linspace(0, 1, samples)
    values = sign * f(grid)
    crossed = (values[:, :-1] < 0) & (values[:, 1:] >= 0)
    found = crossed.any(axis=1)
    at = np.argmax(crossed, axis=1)
    row = np.arange(len(low))
    left, right = grid[row, at], grid[row, at + 1]
    ends = np.where(found, values[row, at], 0.0), np.where(found, values[row, at + 1], 0.0)
    root = _polish(lambda x: sign * f(x[:, None])[:, 0], left, right, *ends)
    return np.where(found & known, root, np.nan)


def _polish(f: Function, left, right, f_left, f_right, *, rounds: int = 40):
    """Roots in brackets by Ridders' rule (1979, IEEE Trans Circuits Syst 26:979-980), vectorised."""
    left, right, f_left, f_right = (np.array(v, float) for v in (left, right, f_left, f_right))
    idle = f_left == f_right
    best = left
    for _ in range(rounds):
        middle = (left + right) / 2
        f_middle = f(middle)
        scale = np.sqrt(np.maximum(f_middle * f_middle - f_left * f_right, 0.0))
        step = np.where(scale > 0, (left - right) / 2 * f_middle / np.where(scale > 0, scale, 1.0), 0.0)
        place = np.clip(middle + step, left, right)
        value = f(place)
        moved, best = np.abs(place - best), place
        for x, fx in ((middle, f_middle), (place, value)):
            below = (fx < 0) & (x > left)
            above = (fx >= 0) & (x < right)
            left, f_left = np.where(below, x, left), np.where(below, fx, f_left)
            right, f_right = np.where(above, x, right), np.where(above, fx, f_right)
        if np.all(idle | (np.abs(value) < 1e-14) | (moved < 2e-13)):
            break
    return best


def greatest(f: Function, low: np.ndarray, high: np.ndarray, *, samples: int = 33):
    """Place and value of the greatest f in each [low, high] (ends count), shapes (n,).

    A fine scan, then Newton steps on a local parabola; exact to about 1e-12 of the value.
    """
    grid = low[:, None] + (high - low)[:, None] * np.linspace(0, 1, samples)
    values = f(grid)
    row = np.arange(len(low))
    place = grid[row, np.argmax(values, axis=1)]
    step = (high - low) / (samples - 1)
    for _ in range(5):
        middle = np.clip(place, low + step, high - step)  # three places apart, close to an end too
        trio = middle[:, None] + step[:, None] * np.array([-1.0, 0.0, 1.0])
        place, step = _vertex(trio, f(trio)), step * 0.2
        place = np.clip(place, low, high)
    return place, f(place[:, None])[:, 0]


def _vertex(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """Place of the greatest value of the parabola through three points (n, 3), or the best of the three."""
    d1, d2 = x[:, 1] - x[:, 0], x[:, 2] - x[:, 1]
    ok = (d1 > 0) & (d2 > 0)
    s1 = (y[:, 1] - y[:, 0]) / np.where(ok, d1, 1)
    s2 = (y[:, 2] - y[:, 1]) / np.where(ok, d2, 1)
    bend = (s2 - s1) / np.where(ok, d1 + d2, 1)
    top = (x[:, 0] + x[:, 1]) / 2 - np.where(bend < 0, s1 / np.where(bend < 0, 2 * bend, 1), 0)
    best = x[np.arange(len(x)), np.argmax(y, axis=1)]
    return np.where(ok & (bend < 0), np.clip(top, x[:, 0], x[:, 2]), best)
