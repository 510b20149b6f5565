"""What passes in a pool picture while the camera travels: floats, cross joints, walls, and ripples.

Everything is planned in numpy for a stretch of frames and drawn with one call per colour.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from . import ropes
from .batch import Batch, here
from .colours import Theme, mix
from .figure import Shot, far_side
from .pool import Pool, lattice, measures, side_walls
from .pool_ends import LEAST_GAP_PX, ends
from .pool_still import Cut, haze, into_water, rays

FAINT = 0.10  # joints keep at least this share of their tone, or are left out
RIPPLE_M = 0.5  # ripples on the surface seen from beneath [m]
RING_M = 0.11  # radius of the ring where an arm breaks the surface [m]
LIMBS = ("shoulder", "elbow", "wrist", "fingertip")


def passing(shot: Shot, theme: Theme, pool: Pool, cut: Cut | None) -> list:
    """Everything of the pool that moves through a view, farthest first."""
    return [
        *_joints(shot, theme, pool), *ends(shot, theme, pool, cut), *_ripples(shot, theme, pool, cut),
        ropes.Floats(shot, theme, pool, cut), *_rings(shot, theme, cut),
    ]  # fmt: skip


def _joints(shot: Shot, theme: Theme, pool: Pool) -> list[Batch]:
    """Tile joints across the floor."""
    seen = _floor_seen(shot)
    if seen is None:
        return []
    (x0, x1), y_range, far = seen
    clear = float(haze(_wet(shot, far)))
    tile = measures()["tile"]
    share = clear * min(1.0, tile["joint"] * shot.camera.focal_px[0] / far)
    if share < FAINT:
        return []
    x = lattice(pool, here(shot), step_m=tile["side"], reach_m=(x0, x1))
    pixels = shot.see(_across(x, y_range, -measures()["depth"], bends=_bends(shot)))
    gaps = np.linalg.norm(np.diff(pixels[:1].mean(axis=2), axis=1), axis=-1)
    if not np.nanmin(gaps, initial=np.inf) > LEAST_GAP_PX:
        return []
    return [Batch(shot, pixels, mix(theme.grout, mix(theme.tile, theme.water, clear), share), width=1)]


def _wet(shot: Shot, distance_m: float) -> float:
    """How much of the way to the floor is under water. [m]"""
    height = max(float(shot.camera.position_m[2]), 0.0)
    return distance_m * measures()["depth"] / (measures()["depth"] + height) if height else distance_m


def _floor_seen(shot: Shot):
    """Range of the visible floor in x and y about the camera's x, and its middle distance; None if unseen. [m]"""
    camera = shot.camera
    wide, high = camera.size_px
    first = rays(camera, (np.linspace(0, wide - 1, 9), np.linspace(0, high - 1, 9)))
    start, way = into_water(camera, *first)
    drop = start[..., 2] + measures()["depth"]
    falls = (way[..., 2] < -0.05) & (drop > 0)
    if not falls.any():
        return None
    points = start[falls] + way[falls] * (drop[falls] / -way[falls][:, 2])[:, None]
    distance = np.linalg.norm(points - camera.position_m, axis=-1)
    x, y = points[:, 0], points[:, 1]
    left, right = side_walls()
    y_range = max(float(y.min()) - 0.3, right), min(float(y.max()) + 0.3, left)
    x = x - camera.position_m[0]
    return (float(x.min()) - 0.3, float(x.max()) + 0.5), y_range, float(np.median(distance))


def _bends(shot: Shot) -> bool:
    return shot.camera.refraction != "none" or any(shot.camera.distortion)


def _across(x: np.ndarray, y_range: tuple[float, float], z: float, *, bends: bool) -> np.ndarray:
    """Lines of constant x (n_frames, n_lines, n_points, 3) at a height."""
    y = np.linspace(*y_range, 13 if bends else 2)
    grid = np.zeros((*x.shape, len(y), 3))
    grid[..., 0], grid[..., 1], grid[..., 2] = x[..., None], y, z
    return grid


def _ripples(shot: Shot, theme: Theme, pool: Pool, cut: Cut | None) -> list[Batch]:
    """Lines across the lane on the surface, 0.5 m apart, that show it as a plane; left out beside the body."""
    if cut is None or far_side(shot.camera) is not None:
        return []
    half = measures()["lane_width"] / 2
    x = lattice(pool, here(shot), step_m=RIPPLE_M, reach_m=(-8.0, 8.0))
    lines = _across(x, (-half, half), 0.0, bends=False)
    relative = lines - np.stack([here(shot), 0 * shot.shift_m, 0 * shot.shift_m], -1)[:, None, None]
    away = relative[..., 0] * cut.along[0] + (lines[..., 1] - shot.camera.position_m[1]) * cut.along[1]
    lines = _clipped(lines, away - cut.edge_m)
    near = np.abs(away).min(axis=-1) < cut.body_m + 2.0
    tone = mix(theme.surface, theme.ceiling, 0.22)
    return [Batch(shot, shot.see(lines), tone, width=1, keep=near)]


def _clipped(lines: np.ndarray, inside: np.ndarray) -> np.ndarray:
    """Two-point lines cut where a quantity at their ends falls below 0; NaN where both ends are below."""
    span = inside[..., 1] - inside[..., 0]
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.where(span != 0, -inside[..., 0] / span, 0.0)
    place = lines[..., 0, :] + share[..., None] * (lines[..., 1, :] - lines[..., 0, :])
    first = np.where((inside[..., 0] < 0)[..., None], place, lines[..., 0, :])
    last = np.where((inside[..., 1] < 0)[..., None], place, lines[..., 1, :])
    out = (inside < 0).all(axis=-1)
    return np.where(out[..., None, None], np.nan, np.stack([first, last], axis=-2))


def _rings(shot: Shot, theme: Theme, cut: Cut | None) -> list[Batch]:
    """Rings on the surface where an arm breaks it: in perspective, so a hand is read at its own water line."""
    if cut is None:
        return []
    names = [(f"{s}_{a}", f"{s}_{b}") for s in ("left", "right") for a, b in pairwise(LIMBS)]
    ends = np.stack([np.stack([shot.point(a), shot.point(b)], axis=1) for a, b in names], axis=1)
    z = ends[..., 2]
    with np.errstate(invalid="ignore", divide="ignore"):
        share = z[..., 0] / (z[..., 0] - z[..., 1])
        crosses = z[..., 0] * z[..., 1] < 0
    place = ends[:, :, 0] + np.where(crosses, share, 0.0)[..., None] * (ends[:, :, 1] - ends[:, :, 0])
    turn = np.linspace(0, 2 * np.pi, 17)
    ring = RING_M * np.stack([np.cos(turn), np.sin(turn), 0 * turn], axis=-1)
    points = place[:, :, None] * [1, 1, 0] + ring
    return [Batch(shot, shot.see(points), mix(theme.surface, theme.ceiling, 0.7), width=1, keep=crosses)]
