"""Shapes of lines, arcs and spans over the body, over many frames at once. Pixels unless a unit stands beside it."""

from __future__ import annotations

import numpy as np

from .body_shapes import unit

ARC_POINTS = 15
BAND_SHARE = 1.38  # outer radius of a target ring, as a share of that of the arc
SPOKE_PX, SLANT = 6.0, 0.8  # spacing of hatching; how far a rung of a band leans, in widths
MOST_RUNGS, MOST_DASHES = 40, 48
DASH_SHARE = 0.62
TINY = 1e-9


def arc(corners_m: np.ndarray, radius_m: float) -> np.ndarray:
    """Points of the arc at the first of three points, between the directions to the other two.

    Parameters
    ----------
    corners_m : numpy.ndarray, shape (n_frames, 3, 3)
    radius_m : float

    Returns
    -------
    numpy.ndarray, shape (n_frames, ARC_POINTS, 3)
        In the plane of the two directions, so that a view foreshortens the arc as it does the limb. [m]
    """
    corner, one, other = np.moveaxis(corners_m, 1, 0)
    u, v = unit(one - corner), unit(other - corner)
    angle = np.arctan2(np.linalg.norm(np.cross(u, v), axis=-1), (u * v).sum(-1))[:, None]
    across = unit(v - (u * v).sum(-1, keepdims=True) * u)
    across = np.where(np.isfinite(across), across, 0.0)  # both directions alike: an arc without length
    turn = angle * np.linspace(0, 1, ARC_POINTS)
    ways = np.cos(turn)[..., None] * u[:, None] + np.sin(turn)[..., None] * across[:, None]
    return corner[:, None] + radius_m * ways


def spokes(corner: np.ndarray, rim: np.ndarray, *, spacing: float = SPOKE_PX) -> np.ndarray:
    """Hatching of the ring outside an arc: lines (n, m, 2, 2) from the rim outwards, away from the corner."""
    long = np.linalg.norm(np.diff(rim, axis=1), axis=-1).sum(1)
    long = long[np.isfinite(long)]
    count = int(np.clip(np.ceil(np.max(long, initial=0.0) / spacing), 2, MOST_RUNGS)) + 1
    place = np.linspace(0, rim.shape[1] - 1, count)
    low = np.minimum(place.astype(int), rim.shape[1] - 2)
    share = (place - low)[:, None]
    inner = rim[:, low] * (1 - share) + rim[:, low + 1] * share
    outer = corner[:, None] + BAND_SHARE * (inner - corner[:, None])
    return np.stack([inner, outer], axis=2)


def ring(corner: np.ndarray, rim: np.ndarray) -> np.ndarray:
    """Outline (n, 2 ARC_POINTS + 1, 2) of the ring outside an arc, away from the corner."""
    outer = corner[:, None] + BAND_SHARE * (rim - corner[:, None])
    return np.concatenate([rim, outer[:, ::-1], rim[:, :1]], axis=1)


def frame_of(ends: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Length (n, 1), unit direction and unit normal (n, 2) of lines (n, 2, 2); a point runs to the right."""
    along = ends[:, 1] - ends[:, 0]
    length = np.linalg.norm(along, axis=-1, keepdims=True)
    way = np.where(length > TINY, along / np.maximum(length, TINY), np.array([1.0, 0.0]))
    return length, way, np.stack([way[:, 1], -way[:, 0]], axis=-1)


def pitched(ends: np.ndarray, pitch: float) -> tuple[np.ndarray, np.ndarray]:
    """Ends of dashes on lines (n, 2, 2) at an even pitch from the first end: two arrays (n, m, 2).

    Dashes beyond the end are missing (NaN); the last one is cut off where the line ends.
    """
    length, way, _ = frame_of(ends)
    longest = np.max(length[np.isfinite(length)], initial=0.0)
    start = pitch * np.arange(int(np.clip(np.ceil(longest / pitch), 1, MOST_DASHES)))
    stop = np.minimum(start + DASH_SHARE * pitch, length)
    start = np.where(start < length, start, np.nan)
    low, high = (ends[:, :1] + (0 * length + d)[..., None] * way[:, None] for d in (start, stop))
    return low, high


def rungs(ends: np.ndarray, width: float) -> np.ndarray:
    """A hatched band along lines (n, 2, 2): slanted rungs as bars' ends (n, m, 2, 2) across `width`."""
    length, way, normal = frame_of(ends)
    longest = np.max(length[np.isfinite(length)], initial=0.0)
    place = SPOKE_PX * (np.arange(int(np.clip(np.ceil(longest / SPOKE_PX), 1, MOST_RUNGS))) + 0.5)
    lean = SLANT * width / 2
    low = np.where(place < length, np.maximum(place - lean, 0.0), np.nan)
    high = np.minimum(place + lean, length)
    pair = [
        ends[:, :1] + d[..., None] * way[:, None] + sign * width / 2 * normal[:, None]
        for d, sign in ((low, -1.0), (high, 1.0))
    ]
    return np.stack(pair, axis=2)


def rails(ends: np.ndarray, width: float) -> np.ndarray:
    """Outline (n, 5, 2) of a band of `width` along lines (n, 2, 2)."""
    _, _, normal = frame_of(ends)
    aside = width / 2 * normal
    a, b = ends[:, 0], ends[:, 1]
    return np.stack([a - aside, b - aside, b + aside, a + aside, a - aside], axis=1)


def ticks(ends: np.ndarray, long: float) -> np.ndarray:
    """Short lines (n, 2, 2, 2) across both ends of lines (n, 2, 2)."""
    _, _, normal = frame_of(ends)
    aside = (long / 2 * normal)[:, None]
    return np.stack([ends - aside, ends + aside], axis=2)


def middle_way(corner: np.ndarray, rim: np.ndarray) -> np.ndarray:
    """Unit direction (n, 2) from the corner through the middle of an arc."""
    out = rim[:, rim.shape[1] // 2] - corner
    length = np.linalg.norm(out, axis=-1, keepdims=True)
    return np.where(length > TINY, out / np.maximum(length, TINY), np.array([0.0, 1.0]))


def in_span(phase: np.ndarray | None, shares: tuple[float, float], n_frames: int) -> np.ndarray:
    """True in the frames whose cycle share lies between two shares; the second may lie in the next cycle."""
    if phase is None or shares == (0.0, 1.0):
        return np.ones(n_frames, bool)
    low, high = shares
    inside = (phase >= low - TINY, phase <= high + TINY)
    return inside[0] & inside[1] if low <= high else inside[0] | inside[1]
