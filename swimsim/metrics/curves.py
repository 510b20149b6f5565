"""A smooth curve through frames: values, crossings and turning points between the frames."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

import numpy as np

from ..ground.cubic import Cubic, Grid

_SLACK = 1e-9  # of a frame: a root on a frame may come out a rounding outside
_SETTLED = 1e-9  # of a frame: after a Newton step this small the next one is below rounding
_QUICK = 4  # Newton steps without brackets; where they have not settled the bracketed search decides
_STEPS = 14  # of a bracketed Newton search; the pieces are cubics, five or six are enough


def _root(pieces: Sequence[np.ndarray], length: np.ndarray) -> np.ndarray:
    """Root of each polynomial piece between 0 and `length`; it is <= 0 at the first and > 0 at the second.

    Parameters
    ----------
    pieces : sequence of 3 or 4 numpy.ndarray, shape (n,)
        Coefficients, highest power first.
    """
    if not len(length):
        return np.empty(0)
    if len(pieces) == 3:
        return _quadratic_root(pieces, length)
    low, high = np.zeros(len(length)), np.array(length)
    start, stop = pieces[-1], pieces[0]
    for coefficient in pieces[1:]:
        stop = stop * length + coefficient
    with np.errstate(divide="ignore", invalid="ignore"):
        x = length * start / (start - stop)  # as if it were straight
    x = np.where((x >= 0) & (x <= length), x, high / 2)
    cubic, square, line, start = pieces
    with np.errstate(divide="ignore", invalid="ignore"):
        quick = x
        for _ in range(_QUICK):
            before, value = quick, ((cubic * quick + square) * quick + line) * quick + start
            quick = quick - value / ((3 * cubic * quick + 2 * square) * quick + line)
        near = (np.abs(quick - before) <= _SETTLED * length) & (quick >= 0) & (quick <= length)
    if near.all():  # nearly always: a frame is short, and the curve nearly straight within it
        return quick
    for _ in range(_STEPS):
        value = ((cubic * x + square) * x + line) * x + start
        slope = (3 * cubic * x + 2 * square) * x + line
        up = value > 0
        low, high = np.where(up, low, x), np.where(up, x, high)
        newton = x - value / np.where(slope == 0, np.nan, slope)
        inside = (newton >= low - _SLACK * length) & (newton <= high + _SLACK * length)
        before, x = x, np.where(inside, np.minimum(np.maximum(newton, 0.0), length), (low + high) / 2)
        if (np.abs(x - before) <= _SETTLED * length).all():
            break
    return x


def _quadratic_root(pieces: Sequence[np.ndarray], length: np.ndarray) -> np.ndarray:
    """The root between 0 and `length` at which a quadratic comes up through 0, in closed form."""
    square, line, start = pieces
    with np.errstate(divide="ignore", invalid="ignore"):
        half = -0.5 * (line + np.copysign(np.sqrt(np.maximum(line**2 - 4 * square * start, 0.0)), line))
        one, other = half / square, start / half
        slack = _SLACK * length
        fits, also = ((x >= -slack) & (x <= length + slack) for x in (other, one))
        x = np.where(fits & ((2 * square * other + line >= 0) | ~also), other, one)
    return np.minimum(np.maximum(np.where(np.isfinite(x), x, 0.0), 0.0), length)


class Curve:
    """Cubic spline through the frames of one quantity; it knows where it may be read.

    Parameters
    ----------
    time_s : numpy.ndarray, shape (n_frames,)
        Frame times. [s]
    values : numpy.ndarray, shape (n_frames,) or (n_frames, k)
        Finite everywhere; filled in where the quantity is not known.
    known : numpy.ndarray of bool, shape (n_frames,)
        Where the value may be used.
    grid : Grid, optional
        The frame times made ready, where several curves share them.
    slopes : numpy.ndarray, optional
        Time derivative at the frames, where it is worked out already.
    """

    def __init__(
        self,
        time_s: np.ndarray,
        values: np.ndarray,
        known: np.ndarray,
        grid: Grid | None = None,
        *,
        slopes: np.ndarray | None = None,
    ) -> None:
        self.time_s, self.values, self.known = time_s, values, known
        self._spline = Cubic(grid or Grid(time_s), values, slopes)
        self._whole = bool(known.all())
        self._unknown = None if self._whole else np.concatenate([[0], np.cumsum(~known)])
        grace = 0.501 * float(time_s[1] - time_s[0])
        self._ends = float(time_s[0]) - grace, float(time_s[-1]) + grace

    def at(self, times: np.ndarray) -> np.ndarray:
        """Values at any times, NaN where not known; shape of `times` (+ (k,))."""
        times = np.asarray(times, float)
        usable = self.readable(times, times)
        if usable.all():
            return self._spline(times)
        values = self._spline(np.where(usable, times, self.time_s[0]))
        return np.where(usable.reshape(usable.shape + (1,) * (values.ndim - times.ndim)), values, np.nan)

    def slope_at(self, times: np.ndarray) -> np.ndarray:
        """Time derivative at any times."""
        return self._spline.slope(times)

    def readable(self, start: np.ndarray, stop: np.ndarray) -> np.ndarray:
        """Whether all frames from before `start` to after `stop` are known (half a frame of grace)."""
        start, stop = np.asarray(start, float), np.asarray(stop, float)
        inside = (start >= self._ends[0]) & (stop <= self._ends[1]) & (start <= stop)
        if self._whole:
            return inside
        first = np.searchsorted(self.time_s, np.where(inside, start, self.time_s[0]), side="right") - 1
        last = np.searchsorted(self.time_s, np.where(inside, stop, self.time_s[0]), side="left")
        first, last = np.maximum(first, 0), np.minimum(last, len(self.time_s) - 1)
        return inside & (self._unknown[last + 1] == self._unknown[first])

    def mean(self, start: float, stop: float) -> float:
        """Mean over time; NaN if a fifth or more of it is not known."""
        if not (np.isfinite(start) and np.isfinite(stop) and stop > start):
            return np.nan
        part = (self.time_s >= start) & (self.time_s <= stop)
        if not part.any() or self.known[part].mean() < 0.8:
            return np.nan
        return self._spline.integral(start, stop) / (stop - start)

    def crossings(self, *, rising: bool, level: float = 0.0) -> np.ndarray:
        """Times at which the curve passes `level` upwards or downwards. [s]"""
        sign = 1.0 if rising else -1.0
        at = self._climbs(sign * (self.values - level))
        *turns, start = self._spline.pieces(at)
        pieces = (*(sign * each for each in turns), sign * (start - level))
        return self.time_s[at] + _root(pieces, self.grid_step[at])

    def turns(self, *, highest: bool) -> np.ndarray:
        """Times of the local maxima (or minima). [s]"""
        return self._turns[0 if highest else 1]

    @cached_property
    def _turns(self) -> tuple[np.ndarray, np.ndarray]:
        """Times of the local maxima and of the local minima, from one search."""
        slopes = self._spline.slopes
        tops, bottoms = self._climbs(-slopes), self._climbs(slopes)
        at = np.concatenate([tops, bottoms])
        sign = np.concatenate([np.full(len(tops), -1.0), np.ones(len(bottoms))])
        pieces = tuple(sign * each for each in self._spline.slope_pieces(at))
        times = self.time_s[at] + _root(pieces, self.grid_step[at])
        return times[: len(tops)], times[len(tops) :]

    @property
    def grid_step(self) -> np.ndarray:
        """Time from each frame to the next. [s]"""
        return self._spline.grid.step

    def _climbs(self, values: np.ndarray) -> np.ndarray:
        """Frames after which a quantity, known on both sides, rises above zero."""
        high = values > 0
        return np.flatnonzero(~high[:-1] & high[1:] & self.known[:-1] & self.known[1:])

    def first_crossing(
        self, start: np.ndarray, stop: np.ndarray, *, rising: bool, level: float = 0.0
    ) -> np.ndarray:
        """First passage of `level` in each window; NaN if there is none or a gap could hide it. [s]"""
        times = np.append(self.crossings(rising=rising, level=level), np.inf)
        found = times[np.searchsorted(times[:-1], np.nan_to_num(start, nan=np.inf))]
        with np.errstate(invalid="ignore"):
            good = (found <= stop) & self.readable(start, np.minimum(found, stop))
        return np.where(good, found, np.nan)

    def last_crossing(
        self, start: np.ndarray, stop: np.ndarray, *, rising: bool, level: float = 0.0
    ) -> np.ndarray:
        """Last passage of `level` in each window; NaN if there is none. [s]"""
        times = np.insert(self.crossings(rising=rising, level=level), 0, -np.inf)
        found = times[np.searchsorted(times[1:], np.nan_to_num(stop, nan=-np.inf), side="right")]
        with np.errstate(invalid="ignore"):
            return np.where(found >= start, found, np.nan)

    def extreme(self, start: np.ndarray, stop: np.ndarray, *, highest: bool) -> tuple[np.ndarray, np.ndarray]:
        """Time and value of the greatest (or least) value in each window, ends included; NaN across a gap."""
        sign, (tops, heights) = (1.0, self._high) if highest else (-1.0, self._low)
        start, stop = np.atleast_1d(np.asarray(start, float)), np.atleast_1d(np.asarray(stop, float))
        usable = self.readable(start, stop)
        ends = np.array([start, stop])
        first, last = tops.searchsorted(ends)
        if usable.all():
            times, values = ends, self._spline(ends)
        else:
            times, values = np.where(usable, ends, np.nan), np.full(ends.shape, np.nan)
            values[:, usable] = self._spline(ends[:, usable])
        former = sign * values[0] >= sign * values[1]
        times, values = (np.where(former, *pair) for pair in (times, values))
        for i in np.flatnonzero(usable & (last > first)):
            top = first[i] + int(np.argmax(sign * heights[first[i] : last[i]]))
            if sign * heights[top] > sign * values[i]:
                times[i], values[i] = tops[top], heights[top]
        return times, values

    @cached_property
    def _high(self) -> tuple[np.ndarray, np.ndarray]:
        """Times and heights of the local maxima."""
        return self._turns[0], self._spline(self._turns[0])

    @cached_property
    def _low(self) -> tuple[np.ndarray, np.ndarray]:
        return self._turns[1], self._spline(self._turns[1])
