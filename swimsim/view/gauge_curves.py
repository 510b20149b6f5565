"""Curves of a gauge as numbers: one breathing period of each, limits, peaks, dashes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from swimsim.ground.records import Gauge, Marks

SAMPLES = 480  # per breathing period
SAME = 1e-6  # cycles
MARGIN = 0.06  # room above and below the curves, as a share of their range


def curve_of(values: np.ndarray, phase: np.ndarray, period_cycles: int) -> np.ndarray:
    """Values over the first whole breathing period, at SAMPLES + 1 even places.

    Parameters
    ----------
    values, phase : numpy.ndarray, shape (n_frames,)
        Values, and the cycle share 0..1 of the arm that the panel counts.

    Returns
    -------
    numpy.ndarray, shape (SAMPLES + 1,)
        NaN where the values are missing.
    """
    place = np.unwrap(np.asarray(phase, float), period=1.0)
    wanted = np.ceil(place[0] - SAME) + period_cycles * np.linspace(0, 1, SAMPLES + 1)
    found = np.interp(wanted, place, np.asarray(values, float))
    return np.where(wanted <= place[-1] + SAME, found, np.nan)


def gauges_of(marks: Marks) -> tuple[Gauge, ...]:
    """All strips of a panel, from top to bottom."""
    return (marks.gauge, *marks.more_gauges) if marks.gauge else ()


def curves_of(gauge: Gauge, phase: np.ndarray) -> list[np.ndarray]:
    """One breathing period of every curve of a strip; see `curve_of`."""
    return [curve_of(values, phase, gauge.period_cycles) for _, values in gauge.curves]


def one_scale(panels: Sequence[Marks]) -> list[Marks]:
    """The same marks, with strips that show the same range in every panel: what all of their curves need."""
    strips = [gauges_of(marks) for marks in panels]
    if not strips[0] or len({len(gauges) for gauges in strips}) > 1 or any(m.phase is None for m in panels):
        return list(panels)
    shared = []
    for gauges in zip(*strips, strict=True):
        own = [limits_of(curves_of(g, m.phase), g) for g, m in zip(gauges, panels, strict=True)]
        limits = (min(low for low, _ in own), max(high for _, high in own))
        shared.append([replace(gauge, limits=limits) for gauge in gauges])
    return [
        replace(marks, gauge=first, more_gauges=tuple(more))
        for marks, (first, *more) in zip(panels, zip(*shared, strict=True), strict=True)
    ]


def limits_of(curves: list[np.ndarray], gauge: Gauge) -> tuple[float, float]:
    """Least and greatest value to show: alike on both sides where a curve goes below zero, whole fives or tens."""
    if gauge.limits is not None:
        return gauge.limits
    every = np.concatenate(curves)
    low, high = float(np.nanmin(every)), float(np.nanmax(every))
    if low < 0 < high and gauge.balanced:
        reach = max(-low, high, (gauge.band or (0.0, 0.0))[0]) * (1 + MARGIN)
        step = 5.0 if reach < 30 else 10.0
        most = float(np.ceil(reach / step) * step)
        return -most, most
    if gauge.band is not None:
        low, high = min(low, gauge.band[0]), max(high, gauge.band[1])
    room = MARGIN * max(high - low, 1e-9)
    return low - room, high + room


def peak_pair(curves: list[np.ndarray], period_cycles: int) -> tuple[float, float, float]:
    """Shares of the period at which the first and the second curve peak, the first after the second, and the sign.

    The side is taken on which both peaks lie within the period.
    """
    first, second = (np.nan_to_num(c[:-1]) for c in curves[:2])
    cycle = len(first) // period_cycles
    for sign in (1.0, -1.0):
        start = int(np.argmax(sign * second[:cycle]))
        after = sign * first[start : start + cycle // 2]
        if len(after) == cycle // 2 and 0 < int(np.argmax(after)) < len(after) - 1:
            return (start + int(np.argmax(after))) / len(first), start / len(first), sign
    return start / len(first), start / len(first), sign


def stripes(points: np.ndarray, pitch: float | None, *, gap: float = 0.4) -> list[np.ndarray]:
    """Pieces of a curve of points (n, 2): its whole runs, or dashes of even length along it; NaN parts it."""
    known = np.isfinite(points).all(axis=1)
    if pitch is not None:
        steps = np.nan_to_num(np.linalg.norm(np.diff(points, axis=0), axis=1))
        known &= (np.concatenate([[0.0], np.cumsum(steps)]) % pitch) < (1 - gap) * pitch
    edges = np.flatnonzero(np.diff(np.concatenate([[False], known, [False]])))
    return [points[a:b] for a, b in zip(edges[::2], edges[1::2], strict=True) if b - a > 1]
