"""Points in the world from two or more calibrated cameras: where their rays come nearest to each other.

Each pixel is a ray (through a port or the surface too). The point is the one with the least weighted sum of squared
distances from its rays, in closed form; a ray counts by how finely its camera resolves at that distance, so that the
answer is close to the one with the least error in pixels (Hartley, Sturm 1997, Computer Vision and Image Understanding
68:146-157, compare such methods). Two rays that run nearly along each other give no point.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ..ground.errors import InputError
from ..ground.rays import bend, rays
from ..ground.records import Seen, Trace
from .seen_lift import LEAST_CONFIDENCE

LEAST_SPREAD = (
    3e-3  # of the ray directions: smallest over greatest eigenvalue, about 6 degrees between two rays
)
ROUNDS = 2


def triangulate(views: Sequence[Seen]) -> Trace:
    """A trace from what several cameras saw of the same swimmer at the same time.

    Parameters
    ----------
    views : sequence of Seen
        Two or more, with clocks that agree. The times of the first count; the others are read between their frames.

    Returns
    -------
    Trace
        Joints of the first view that another one has too; NaN where fewer than two cameras see a joint.

    Raises
    ------
    InputError
        Fewer than two views, no joint or no time that they share.
    """
    if len(views) < 2:
        raise InputError(f"triangulation: expected two views or more, got {len(views)}")
    names = tuple(n for n in views[0].joint_names if any(n in view.joint_names for view in views[1:]))
    if not names:
        raise InputError("triangulation: expected a joint that two views share, got none")
    time = np.asarray(views[0].time_s, float)
    lines = [_lines(view, names, time, wet=True) for view in views]
    if sum(np.isfinite(line.origins_m).any() for line in lines) < 2:
        raise InputError("triangulation: expected views that overlap in time, got none that do")
    points = nearest_point(lines)
    if any(view.camera.refraction == "surface" for view in views):
        in_air = nearest_point([_lines(view, names, time, wet=False) for view in views])
        points = np.where(in_air[..., 2:] >= 0, in_air, points)
    return Trace(time, points, names, views[0].rate_hz, dict(views[0].meta))


@dataclass(frozen=True)
class Lines:
    """Rays of one camera.

    Parameters
    ----------
    origins_m, along : numpy.ndarray, shape (..., 3)
        Where they begin, and unit directions; NaN where nothing is seen. [m]
    focal_px : float
        How finely the camera resolves. [px]
    before_m : numpy.ndarray or float
        Way from the lens to where they begin. [m]
    """

    origins_m: np.ndarray
    along: np.ndarray
    focal_px: float
    before_m: np.ndarray | float = 0.0


def _lines(view: Seen, names: tuple[str, ...], time: np.ndarray, *, wet: bool) -> Lines:
    """Rays of a view at the given times, `wet`: those through the surface go on below it."""
    pixels = np.full((len(time), len(names), 2), np.nan)
    with np.errstate(invalid="ignore"):
        sure = np.where((view.confidence >= LEAST_CONFIDENCE)[..., None], view.pixels, np.nan)
    for i, name in enumerate(names):
        if name in view.joint_names:
            pixels[:, i] = _at(time, np.asarray(view.time_s, float), sure[:, view.joint_names.index(name)])
    origins, along = rays(view.camera, pixels)
    origins = np.where(np.isnan(along), np.nan, origins)
    if view.camera.travels:
        origins[..., 0] += float(view.meta.get("camera_speed_m_s") or 0.0) * time[:, None]
    focal = float(np.mean(view.camera.focal_px))
    if wet and view.camera.refraction == "surface":
        return _under_surface(origins, along, focal)
    return Lines(origins, along, focal)


def _at(time: np.ndarray, own: np.ndarray, values: np.ndarray) -> np.ndarray:
    """Columns between their own frames by straight lines; NaN beyond them and beside a gap."""
    if len(own) == len(time) and np.array_equal(own, time):
        return values
    found = np.stack([np.interp(time, own, column, left=np.nan, right=np.nan) for column in values.T], axis=1)
    after = np.clip(np.searchsorted(own, time), 1, len(own) - 1)
    whole = np.isfinite(values).all(axis=1)
    return np.where((whole[after] & whole[after - 1])[:, None], found, np.nan)


def _under_surface(origins: np.ndarray, along: np.ndarray, focal_px: float) -> Lines:
    """Rays of a camera above the surface that looks down, carried on below it."""
    with np.errstate(invalid="ignore", divide="ignore"):
        far = np.where(along[..., 2] < 0, -origins[..., 2] / along[..., 2], np.nan)
    crossing = origins + far[..., None] * along
    return Lines(crossing, bend(along, np.array([0.0, 0.0, -1.0])), focal_px, np.nan_to_num(far))


def nearest_point(lines: Sequence[Lines]) -> np.ndarray:
    """Points nearest to rays from several cameras, NaN where fewer than two rays cross well."""
    origins, along = np.stack([line.origins_m for line in lines]), np.stack([line.along for line in lines])
    seen = np.isfinite(origins).all(axis=-1) & np.isfinite(along).all(axis=-1)
    origins, along = (np.where(seen[..., None], a, 0.0) for a in (origins, along))
    focal = np.array([line.focal_px for line in lines]).reshape((-1,) + (1,) * (seen.ndim - 1))
    before = np.stack([np.broadcast_to(line.before_m, seen.shape[1:]) for line in lines])
    across = np.eye(3) - along[..., :, None] * along[..., None, :]
    spread = np.linalg.eigvalsh((seen[..., None, None] * across).sum(axis=0))
    good = (seen.sum(axis=0) >= 2) & (spread[..., 0] > LEAST_SPREAD * spread[..., 2])
    weight = seen.astype(float)
    for _ in range(ROUNDS):
        matrix = (weight[..., None, None] * across).sum(axis=0)
        right = (weight[..., None] * (across @ origins[..., None])[..., 0]).sum(axis=0)
        safe = np.where(good[..., None, None], matrix, np.eye(3))
        points = np.linalg.solve(safe, right[..., None])[..., 0]
        far = np.maximum(before + ((points - origins) * along).sum(axis=-1), 0.1)
        weight = np.where(seen, (focal / far) ** 2, 0.0)
    return np.where(good[..., None], points, np.nan)
