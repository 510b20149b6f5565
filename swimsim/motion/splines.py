"""Periodic curves of least jerk through named points.

A curve over `period` cycles is a sum of uniform quintic B-splines (four times continuously differentiable).
Of all such curves through the given points (and with the given slopes) the one with the least integral of the
squared third derivative is taken: the minimum-jerk principle of Flash and Hogan 1985, J Neurosci 5:1688-1703.
The map from the points to the curve is linear, so it is made once per set of knot times.
"""

from __future__ import annotations

import functools

import numpy as np

PER_CYCLE = 40  # splines per cycle; the shortest gap between named points is about 0.03 cycle
DEGREE = 5

# Row k: coefficients of 1, u, ... u^5 of the k-th of the six quintic B-splines alive on one interval, u in
# 0..1.
_PIECES = (
    np.array(
        [
            [1, -5, 10, -10, 5, -1],
            [26, -50, 20, 20, -20, 5],
            [66, 0, -60, 0, 30, -10],
            [26, 50, 20, -20, -20, 10],
            [1, 5, 10, 10, 5, -5],
            [0, 0, 0, 0, 0, 1],
        ],
        float,
    )
    / 120.0
)


def basis_rows(share: np.ndarray, period: int, *, derivative: int = 0) -> np.ndarray:
    """Values of all splines at the given places.

    Parameters
    ----------
    share : numpy.ndarray, shape (n,)
        Places, in cycles; wrapped into the period. [cycle]
    period : int
        Length of the curve. [cycle]
    derivative : int
        0 for the value, k for the k-th derivative per cycle^k.

    Returns
    -------
    numpy.ndarray, shape (n, 40 * period)
    """
    count = PER_CYCLE * period
    place = np.mod(np.asarray(share, float), period) * PER_CYCLE
    interval = np.minimum(place.astype(int), count - 1)
    u = place - interval
    piece = _PIECES
    for _ in range(derivative):
        piece = piece[:, 1:] * np.arange(1, piece.shape[1]) * PER_CYCLE
    values = np.power(u[:, None], np.arange(piece.shape[1])) @ piece.T
    rows = np.zeros((len(u), count))
    np.add.at(rows, (np.arange(len(u))[:, None], (interval[:, None] + np.arange(6)) % count), values)
    return rows


def _jerk_cost(period: int) -> np.ndarray:
    """Matrix of the integral of the product of third derivatives of any two splines, per cycle^5.

    All splines are one spline shifted, so every row is the first one shifted.
    """
    nodes, weights = np.polynomial.legendre.leggauss(3)
    nodes, weights = (nodes + 1) / 2, weights / 2
    alive = np.arange(-DEGREE, 1)  # the intervals on which the first spline is not 0
    places = (alive[:, None] + nodes).ravel() / PER_CYCLE
    rows = basis_rows(places, period, derivative=3)
    first = (rows[:, 0] * np.tile(weights, len(alive)) / PER_CYCLE) @ rows
    number = np.arange(PER_CYCLE * period)
    return first[(number - number[:, None]) % len(number)]


def least_jerk_map(value_at: np.ndarray, period: int, *, slope_at: np.ndarray = ()) -> np.ndarray:
    """Linear map from point values (then slopes) to spline coefficients of the least-jerk curve.

    Parameters
    ----------
    value_at, slope_at : array_like
        Places where a value or a slope (per cycle) is given. [cycle]
    period : int

    Returns
    -------
    numpy.ndarray, shape (40 * period, n_values + n_slopes)
    """
    from scipy.sparse import csc_array
    from scipy.sparse.linalg import splu

    values = basis_rows(np.asarray(value_at, float), period)
    points = np.concatenate([values, basis_rows(np.asarray(slope_at, float), period, derivative=1)])
    cost = _jerk_cost(period)
    count, given = len(cost), len(points)
    scale = np.trace(cost) / count
    system = np.zeros((count + given, count + given))
    system[:count, :count] = cost / scale
    system[:count, count:] = points.T
    system[count:, :count] = points
    right = np.zeros((count + given, given))
    right[count:] = np.eye(given)
    # Nearly all of the system is 0; the dense solver is slower, and on a busy machine its threads wait long.
    return splu(csc_array(system)).solve(right)[:count]


@functools.cache
def _alive(period: int) -> np.ndarray:
    """Numbers of the six splines alive on every interval, shape (40 * period, 6)."""
    count = PER_CYCLE * period
    return (np.arange(count)[:, None] + np.arange(DEGREE + 1)) % count


class Curves:
    """Several periodic curves with common splines, evaluated together.

    Parameters
    ----------
    coefficients : numpy.ndarray, shape (n_curves, 40 * period)
    period : int
        [cycle]
    """

    def __init__(self, coefficients: np.ndarray, period: int) -> None:
        self.period = period
        windows = coefficients[:, _alive(period)]  # (curves, intervals, 6)
        powers_first = (windows @ _PIECES).transpose(2, 0, 1)  # (power, curves, intervals)
        self._pieces = [np.ascontiguousarray(powers_first)]

    def _piece(self, derivative: int) -> np.ndarray:
        while len(self._pieces) <= derivative:
            last = self._pieces[-1]
            powers = np.arange(1, len(last))[:, None, None] * PER_CYCLE
            self._pieces.append(np.ascontiguousarray(last[1:] * powers))
        return self._pieces[derivative]

    def __call__(self, share: np.ndarray, *, derivative: int = 0) -> np.ndarray:
        """Values (or derivatives per cycle^k), shape (n_curves, *share.shape)."""
        share = np.asarray(share, float)
        place = (share - np.floor(share / self.period) * self.period) * PER_CYCLE
        interval = np.minimum(place.astype(np.intp), PER_CYCLE * self.period - 1)
        u = place - interval
        *lower, top = self._piece(derivative)
        total = top.take(interval, axis=1)
        for piece in reversed(lower):
            total *= u
            total += piece.take(interval, axis=1)
        return total
