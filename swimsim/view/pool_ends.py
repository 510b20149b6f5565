"""The ends of the pool: walls with tiles and targets, the end of the floor line before them, the deck behind."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from .batch import Batch, here
from .colours import Colour, Theme, mix
from .figure import Shot
from .pool import Pool, measures, side_walls
from .pool_still import Cut, haze

WALL_SEEN_M = 30.0  # walls farther than this are lost in the haze [m]
DECK_M = 25.0  # how far the deck behind a wall goes [m]
LEAST_GAP_PX = 4.0  # joints closer than this would shimmer [px]


def ends(shot: Shot, theme: Theme, pool: Pool, cut: Cut | None) -> list[Batch]:
    """Walls with their tiles and targets, and the ends of the floor line before them."""
    batches = []
    height = float(shot.camera.position_m[2])
    for wall, inward in zip(pool.walls_x_m, (1.0, -1.0), strict=False):
        away = np.abs(wall - here(shot))
        if away.min() > WALL_SEEN_M:
            continue
        shares = haze(np.where(height > 0, 2.0, away))

        def batch(points, tone, width=0, shares=shares, still=theme.water):
            shape = np.broadcast_to(points, (len(shares), *points.shape))
            colours = [mix(tone, still, float(s)) for s in shares]
            return Batch(shot, shot.see(shape), colours, width=width)

        floor = _floor_end(wall, inward, theme) if height > -measures()["depth"] else []
        batches += [batch(points, tone) for points, tone in floor]
        batches += [batch(_wall_face(wall), theme.tile)]
        joints = _wall_joints(wall)
        if _gap_px(shot, joints) > LEAST_GAP_PX:
            batches.append(batch(joints, mix(theme.grout, theme.tile, 0.6), width=1))
        batches += [batch(points, theme.lane_line) for points in _target(wall)]
        if cut is None:
            deck = _outside(wall, inward)
            batches.append(batch(deck, theme.air, shares=np.ones(len(away))))
    return batches


def _gap_px(shot: Shot, lines: np.ndarray) -> float:
    """How far apart the first two lines look when the wall is nearest. [px]"""
    pixels = shot.see(np.broadcast_to(lines[:2], (len(shot.shift_m), *lines[:2].shape))).mean(axis=2)
    with np.errstate(invalid="ignore"):
        gaps = np.linalg.norm(pixels[:, 1] - pixels[:, 0], axis=-1)
    return float(np.nanmax(gaps)) if np.isfinite(gaps).any() else 0.0


def _middles() -> list[float]:
    """World y of the middles of the swimmer's lane and its neighbours. [m]"""
    return [measures()["lane_width"] * k for k in (-1, 0, 1)]


def _floor_end(wall: float, inward: float, theme: Theme) -> list[tuple[np.ndarray, Colour]]:
    """Bare floor before a wall and the cross line there, as rectangles (n, 4, 3) with their tones. [m]"""
    line, depth = measures()["floor_line"], measures()["depth"]
    half, bar = line["width"] / 2 + 0.01, line["cross_length"] / 2
    stop = wall + inward * line["short_of_wall"]
    bare = [_on_floor((wall, stop), (m - half, m + half), -depth) for m in _middles()]
    beam = (stop, stop + inward * line["width"])
    cross = [_on_floor(beam, (m - bar, m + bar), -depth) for m in _middles()]
    return [(np.array(bare), theme.tile), (np.array(cross), theme.lane_line)]


def _wall_face(wall: float) -> np.ndarray:
    """The wall in upright strips (n, 4, 3), so that those behind the camera can be left out. [m]"""
    left, right = side_walls()
    strips = pairwise(np.linspace(right, left, 41))
    return np.array([_on_wall(wall, strip, (-measures()["depth"], 0.0)) for strip in strips])


def _wall_joints(wall: float) -> np.ndarray:
    """Tile joints of the wall of the swimmer's lane and its neighbours, as lines (n, 2, 3). [m]"""
    side, depth, reach = measures()["tile"]["side"], measures()["depth"], 1.5 * measures()["lane_width"]
    heights = np.arange(-depth + side, -1e-9, side)
    places = np.arange(-reach, reach + 1e-9, side)
    level = [[[wall, -reach, z], [wall, reach, z]] for z in heights]
    upright = [[[wall, y, -depth], [wall, y, 0.0]] for y in places]
    return np.array(level + upright)


def _target(wall: float) -> list[np.ndarray]:
    """The upright line and the cross line on the wall of each lane, as rectangles (n, 4, 3). [m]"""
    target, half = measures()["wall_target"], measures()["floor_line"]["width"] / 2
    bar, high = target["cross_length"] / 2, -target["cross_depth"]
    upright = [_on_wall(wall, (m - half, m + half), (-measures()["depth"], 0.0)) for m in _middles()]
    cross = [_on_wall(wall, (m - bar, m + bar), (high - half, high + half)) for m in _middles()]
    return [np.array(upright), np.array(cross)]


def _outside(wall: float, inward: float) -> np.ndarray:
    """The deck behind a wall, level with the water, in strips (n, 4, 3). [m]"""
    left, right = side_walls()
    strips = pairwise(np.linspace(right, left, 41))
    return np.array([_on_floor((wall, wall - inward * DECK_M), strip, 0.0) for strip in strips])


def _on_floor(x: tuple[float, float], y: tuple[float, float], z: float) -> list[list[float]]:
    return [[x[0], y[0], z], [x[1], y[0], z], [x[1], y[1], z], [x[0], y[1], z]]


def _on_wall(x: float, y: tuple[float, float], z: tuple[float, float]) -> list[list[float]]:
    return [[x, y[0], z[0]], [x, y[1], z[0]], [x, y[1], z[1]], [x, y[0], z[1]]]
