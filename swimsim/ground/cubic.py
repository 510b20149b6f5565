"""Cubic splines through many quantities on the same times: the times are worked out once.

The not-a-knot cubic spline (de Boor 1978, A Practical Guide to Splines, ch. IV); the same curve as
`scipy.interpolate.CubicSpline`, several times faster where dozens of short ones are wanted.
"""

from __future__ import annotations

from functools import cached_property

import numpy as np

BLOCK = 16  # columns that are worked on at a time: what is in between stays in the cache
LEAST = 4  # points of a not-a-knot spline


class Grid:
    """Times that splines share.

    Parameters
    ----------
    time_s : numpy.ndarray, shape (n,)
        Strictly increasing, at least four. [s]
    """

    def __init__(self, time_s: np.ndarray) -> None:
        self.time_s = time_s
        self.step = np.diff(time_s)
        self._middles = (time_s[1:] + time_s[:-1]) / 2
        self._before, self._after = 3 * self.step[1:], 3 * self.step[:-1]

    @cached_property
    def _factored(self) -> tuple:
        """The band matrix of the slopes, taken apart."""
        from scipy.linalg.lapack import dgttrf

        step, time = self.step, self.time_s
        middle = np.concatenate([step[1:2], 2 * (step[:-1] + step[1:]), step[-2:-1]])
        upper = np.concatenate([[time[2] - time[0]], step[:-1]])
        lower = np.concatenate([step[1:], [time[-1] - time[-3]]])
        return dgttrf(lower, middle, upper)[:5]

    def slopes(self, values: np.ndarray) -> np.ndarray:
        """Slopes of the spline at the times, shape of `values` (n,) or (n, k)."""
        from scipy.linalg.lapack import dgttrs

        if values.ndim == 2 and values.shape[1] > BLOCK:
            return np.concatenate([self.slopes(part) for part in _blocks(values)], axis=1)
        step, turned = self.step, np.ascontiguousarray(values.T)  # each column in one piece
        rise = turned[..., 1:] - turned[..., :-1]
        rise /= step
        right = np.empty(turned.shape)
        inner = np.multiply(rise[..., :-1], self._before, out=right[..., 1:-1])
        inner += rise[..., 1:] * self._after
        first, last = step[0] + step[1], step[-1] + step[-2]
        right[..., 0] = ((step[0] + 2 * first) * step[1] * rise[..., 0] + step[0] ** 2 * rise[..., 1]) / first
        right[..., -1] = (
            step[-1] ** 2 * rise[..., -2] + (2 * last + step[-1]) * step[-2] * rise[..., -1]
        ) / last
        return dgttrs(*self._factored, right.T, overwrite_b=1)[0].reshape(values.shape, order="F")

    def piece_of(self, times: np.ndarray) -> np.ndarray:
        """Which piece each time lies in; those beyond the ends belong to the end pieces."""
        at = self.time_s.searchsorted(times, side="right") - 1
        return np.minimum(np.maximum(at, 0), len(self.step) - 1)

    def nearest(self, times: np.ndarray) -> np.ndarray:
        """The nearest of the shared times."""
        return self._middles.searchsorted(times)


def _blocks(columns: np.ndarray) -> list[np.ndarray]:
    return [columns[:, i : i + BLOCK] for i in range(0, columns.shape[1], BLOCK)]


class Cubic:
    """Cubic spline through values at the times of a grid; it goes on beyond its ends.

    Parameters
    ----------
    grid : Grid
    values : numpy.ndarray, shape (n,) or (n, k)
        Finite.
    slopes : numpy.ndarray, optional
        Of the spline at the times, where they are worked out already.
    """

    def __init__(self, grid: Grid, values: np.ndarray, slopes: np.ndarray | None = None) -> None:
        self.grid, self.values = grid, np.asarray(values, float)
        self.slopes = grid.slopes(self.values) if slopes is None else slopes

    def pieces(self, at: np.ndarray) -> tuple[np.ndarray, ...]:
        """Coefficients of the named pieces, highest power first: four arrays of shape of `at` (+ (k,))."""
        step = self.grid.step[at]
        step = step if self.values.ndim == 1 else step[..., None]
        start, slope, end = self.values[at], self.slopes[at], self.slopes[at + 1]
        rise = (self.values[at + 1] - start) / step
        bend = (slope + end - 2 * rise) / step
        return bend / step, (rise - slope) / step - bend, slope, start

    def __call__(self, times: np.ndarray) -> np.ndarray:
        """Values at any times, shape of `times` (+ (k,))."""
        if self.values.ndim == 2 and self.values.shape[1] > BLOCK:
            parts = zip(_blocks(self.values), _blocks(self.slopes), strict=True)
            return np.concatenate([Cubic(self.grid, *part)(times) for part in parts], axis=-1)
        at, past = self._place(times)
        step = self.grid.step[at]
        share = past / (step if self.values.ndim == 1 else step[..., None])
        left, later = 1 - share, at + 1
        found = self.values[at]  # the four parts of Hermite's form, added up in place: columns may be many
        for part, weight in (
            (self.values[later] - found, share * share * (3 - 2 * share)),
            (self.slopes[at], past * left * left),
            (self.slopes[later], -past * share * left),
        ):
            found += np.multiply(part, weight, out=part if part.ndim else None)
        return found

    def slope(self, times: np.ndarray) -> np.ndarray:
        """Time derivative at any times."""
        at, past = self._place(times)
        cubic, square, line, _ = self.pieces(at)
        return (3 * cubic * past + 2 * square) * past + line

    def _place(self, times: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        times = np.asarray(times, float)
        at = self.grid.piece_of(times)
        past = times - self.grid.time_s[at]
        return at, past if self.values.ndim == 1 else past[..., None]

    def slope_pieces(self, at: np.ndarray) -> tuple[np.ndarray, ...]:
        """Coefficients of the derivative of pieces, highest power first: three arrays."""
        cubic, square, line, _ = self.pieces(at)
        return 3 * cubic, 2 * square, line

    def integral(self, start: float, stop: float) -> float:
        """Integral over time, of a single quantity."""
        return self._up_to(stop) - self._up_to(start)

    @cached_property
    def _areas(self) -> np.ndarray:
        """Integral from the first time to each of the others."""
        step = self.grid.step
        cubic, square, line, start = self.pieces(np.arange(len(step)))
        areas = (((cubic / 4 * step + square / 3) * step + line / 2) * step + start) * step
        return np.concatenate([[0.0], np.cumsum(areas)])

    def _up_to(self, time: float) -> float:
        at = int(self.grid.piece_of(np.array(time)))
        past = time - self.grid.time_s[at]
        cubic, square, line, start = self.pieces(np.array(at))
        return float(
            self._areas[at] + (((cubic / 4 * past + square / 3) * past + line / 2) * past + start) * past
        )
