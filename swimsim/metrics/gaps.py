"""Even frame times and filled-in short gaps: what a trace needs before it can be smoothed."""

from __future__ import annotations

import numpy as np

from ..ground.records import Trace

LONGEST_FILLED_S = 0.1  # gaps up to this long are filled in, longer ones stay unknown
FARTHEST_M = 1e5  # a coordinate beyond this is no position
MOST_NAMED = 6  # joints with gaps named one by one before the rest is only counted
LEAST_FOR_CURVE = 4  # points below which gaps are filled by straight lines
_SAME_S = 1e-9  # times this close are one
_JITTER = 0.02  # frame times that scatter by more than this share of a frame are put on an even grid


def even_times(time_s: np.ndarray) -> np.ndarray | None:
    """Evenly spaced times over the same span; the same array if it is even already, None if it cannot be
    done.

    The step is the median one. A record whose times jump (three times more frames than it has would be
    needed) cannot be made even.
    """
    if len(time_s) < 2:
        return None
    step = float(np.median(np.diff(time_s)))
    count = (time_s[-1] - time_s[0]) / step
    if np.abs(np.diff(time_s) - step).max() <= _JITTER * step:
        return time_s
    if not np.isfinite(count) or count > 3 * len(time_s) + 100:
        return None
    return time_s[0] + step * np.arange(int(count + 1e-6) + 1)


def usable(values: np.ndarray) -> np.ndarray:
    """Where points (..., k) are positions: no coordinate missing or beyond all bounds."""
    with np.errstate(invalid="ignore"):
        return (np.abs(values) <= FARTHEST_M).all(axis=-1)


def fill(
    time_s: np.ndarray,
    values: np.ndarray,
    even_s: np.ndarray,
    *,
    longest_s: float = LONGEST_FILLED_S,
    seen: np.ndarray | None = None,
) -> tuple[np.ndarray, np.ndarray]:
    """Columns on even times with every gap filled in, and where they may be used.

    Parameters
    ----------
    time_s : numpy.ndarray, shape (n_frames,)
    values : numpy.ndarray, shape (n_frames, k)
        Coordinates of one joint; a frame with any of them missing counts as missing. [m]
    even_s : numpy.ndarray, shape (m,)
    longest_s : float
        Longest gap that is filled in. [s]
    seen : numpy.ndarray of bool, shape (n_frames,), optional
        Frames that are not missing, where that is worked out already.

    Returns
    -------
    filled : numpy.ndarray, shape (m, k)
        Cubic through short gaps, straight over long ones, constant beyond the ends.
    known : numpy.ndarray of bool, shape (m,)
    """
    seen = usable(values) if seen is None else seen
    if even_s is time_s and seen.all():
        return values, seen
    if seen.sum() < 2:
        return np.zeros((len(even_s), values.shape[1])), np.zeros(len(even_s), bool)
    at, have = time_s[seen], values[seen]
    before = np.minimum(np.maximum(at.searchsorted(even_s, side="right") - 1, 0), len(at) - 2)
    step = (even_s[-1] - even_s[0]) / (len(even_s) - 1)
    short = at[before + 1] - at[before] <= longest_s + 1.001 * step
    if even_s is time_s:
        exact = seen
    else:
        exact = (np.abs(even_s - at[before]) <= _SAME_S) | (np.abs(even_s - at[before + 1]) <= _SAME_S)
    known = (short | exact) & (even_s >= at[0] - _SAME_S) & (even_s <= at[-1] + _SAME_S)
    filled = np.empty((len(even_s), values.shape[1]))
    if even_s is time_s:
        filled[seen] = have
    made = known & ~seen if even_s is time_s else known
    if len(at) >= LEAST_FOR_CURVE and made.any():
        filled[made] = akima(at, have, np.minimum(np.maximum(even_s[made], at[0]), at[-1]))
    flat = ~known if len(at) >= LEAST_FOR_CURVE else np.ones(len(even_s), bool)
    if flat.any():
        filled[flat] = np.stack([np.interp(even_s[flat], at, column) for column in have.T], axis=1)
    return filled, known


def akima(at: np.ndarray, values: np.ndarray, times: np.ndarray) -> np.ndarray:
    """Akima's curve through points, at times within them: smooth, and a wild point spoils only its neighbours.

    Akima 1970, Journal of the ACM 17:589-602; the same curve as `scipy.interpolate.Akima1DInterpolator`.

    Parameters
    ----------
    at : numpy.ndarray, shape (n,)
        Strictly increasing, at least three. [s]
    values : numpy.ndarray, shape (n, k)
    times : numpy.ndarray, shape (m,)
    """
    step = np.diff(at)[:, None]
    rise = np.empty((len(at) + 3, values.shape[1]))  # secants, carried on by two at each end
    rise[2:-2] = np.diff(values, axis=0) / step
    rise[1], rise[-2] = 2 * rise[2] - rise[3], 2 * rise[-3] - rise[-4]
    rise[0], rise[-1] = 2 * rise[1] - rise[2], 2 * rise[-2] - rise[-3]
    change = np.abs(np.diff(rise, axis=0))
    after, ago = change[2:], change[:-2]
    weight = after + ago
    turns = weight > 1e-9 * weight.max(initial=0.0)
    slope = (after * rise[1:-2] + ago * rise[2:-1]) / np.where(turns, weight, 1.0)
    slope = np.where(turns, slope, 0.5 * (rise[1:-2] + rise[2:-1]))
    i = np.minimum(np.maximum(at.searchsorted(times, side="right") - 1, 0), len(at) - 2)
    past, wide, secant = (times - at[i])[:, None], step[i], rise[2:-2][i]
    bend = (slope[i] + slope[i + 1] - 2 * secant) / wide
    return values[i] + past * (slope[i] + past * ((secant - slope[i]) / wide - bend + past * bend / wide))


def shrink(known: np.ndarray, frames: int) -> np.ndarray:
    """Known frames without those within `frames` of an unknown one; the ends of the record are kept."""
    if known.all() or frames < 1:
        return known
    unknown = np.concatenate([[0], np.cumsum(~known)])
    at = np.arange(len(known))
    low, high = np.maximum(at - frames, 0), np.minimum(at + frames + 1, len(known))
    return unknown[high] == unknown[low]


def gaps_in_words(trace: Trace) -> str | None:
    """The joints that some frames lack, most gaps first; None without any.

    A joint that every frame lacks is missing, not full of gaps, and is left out.
    """
    frames = len(trace.time_s)
    lacking = np.isnan(trace.joints_m).any(axis=2).sum(axis=0)
    counts = {name: int(n) for name, n in zip(trace.joint_names, lacking, strict=True) if 0 < n < frames}
    names = sorted(counts, key=lambda name: -counts[name])
    said = [f"{name}: {counts[name]} of {frames} frames missing" for name in names[:MOST_NAMED]]
    if len(names) > MOST_NAMED:
        said.append(f"and {len(names) - MOST_NAMED} more")
    return "; ".join(said) or None
