"""The ends of the pool: walls with tiles and targets, the end of the floor line before them, the deck behind."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from .batch import Batch, here, inside
from .colours import Colour, Theme, mix
from .figure import Shot
from .pool import Pool, measures, side_walls
from .pool_still import Cut, haze

WALL_SEEN_M = 17.0  # walls farther than this differ from the haze by two grey levels at most [m]
DECK_M = 25.0  # how far the deck behind a wall goes [m]
STRIPS = 11  # upright parts of a wall: those behind the camera are left out
FAINT = 0.2  # joints keep at least this share of their tone, or are left out
LEAST_GAP_PX = 4.0  # joints closer than this would shimmer [px]


def ends(shot: Shot, theme: Theme, pool: Pool, cut: Cut | None) -> list[Batch]:
    """Walls with their tiles and targets, and the ends of the floor line before them, where they are in sight."""
    return [
        batch
        for wall, inward in zip(pool.walls_x_m, (1.0, -1.0), strict=False)
        if np.abs(wall - here(shot)).min() < WALL_SEEN_M and _in_sight(shot, wall, inward)
        for batch in _end(shot, theme, (wall, inward), cut)
    ]


def _end(shot: Shot, theme: Theme, place: tuple[float, float], cut: Cut | None) -> list[Batch]:
    """One end of the pool, in drawing order."""
    (wall, _), height = place, float(shot.camera.position_m[2])
    shares = haze(np.where(height > 0, 2.0, np.abs(wall - here(shot))))

    def batch(points: np.ndarray, tone: Colour, width: int = 0) -> Batch:
        shape = np.broadcast_to(points, (len(shares), *points.shape))
        return Batch(shot, shot.see(shape), _faded(tone, theme.water, shares), width=width)

    floor = _floor_end(*place) if height > -measures()["depth"] else ()
    batches = [batch(*part) for part in zip(floor, (theme.tile, theme.lane_line), strict=False)]
    batches.append(batch(_wall_face(wall), theme.tile))
    joints = _wall_joints(wall)
    if shares.max() > FAINT and _gap_px(shot, joints) > LEAST_GAP_PX:
        batches.append(batch(joints, mix(theme.grout, theme.tile, 0.6), 1))
    batches += [batch(points, theme.lane_line) for points in _target(wall)]
    if cut is None:
        deck = np.broadcast_to(_outside(*place), (len(shares), STRIPS, 4, 3))
        batches.append(Batch(shot, shot.see(deck), theme.air))
    return batches


def _faded(tone: Colour, water: Colour, shares: np.ndarray) -> list[Colour]:
    """A tone behind water, one colour per frame."""
    tones = np.array(water) + shares[:, None] * (np.array(tone, float) - water)
    return [tuple(t) for t in np.rint(tones).astype(int).tolist()]


def _in_sight(shot: Shot, wall: float, inward: float) -> bool:
    """Whether the wall or what is before or behind it is in the picture in the first, middle or last frame."""
    frames = [0, len(shot.shift_m) // 2, -1]
    few = Shot(shot.camera, shot.points_m[frames], shot.names, shot.shift_m[frames])
    pieces = [_wall_face(wall), _outside(wall, inward), *_floor_end(wall, inward)]
    shapes = np.broadcast_to(np.concatenate(pieces), (3, sum(map(len, pieces)), 4, 3))
    return bool(inside(few.see(shapes), shot.camera.size_px).any())


def _gap_px(shot: Shot, lines: np.ndarray) -> float:
    """How far apart the first two lines look when the wall is nearest. [px]"""
    pixels = shot.see(np.broadcast_to(lines[:2], (len(shot.shift_m), *lines[:2].shape))).mean(axis=2)
    with np.errstate(invalid="ignore"):
        gaps = np.linalg.norm(pixels[:, 1] - pixels[:, 0], axis=-1)
    return float(np.nanmax(gaps)) if np.isfinite(gaps).any() else 0.0


def _middles() -> list[float]:
    """World y of the middles of the swimmer's lane and its neighbours. [m]"""
    return [measures()["lane_width"] * k for k in (-1, 0, 1)]


def _floor_end(wall: float, inward: float) -> tuple[np.ndarray, np.ndarray]:
    """Bare floor before a wall, and the cross line there, as rectangles (n, 4, 3). [m]"""
    line, depth = measures()["floor_line"], measures()["depth"]
    half, bar = line["width"] / 2 + 0.01, line["cross_length"] / 2
    stop = wall + inward * line["short_of_wall"]
    bare = [_on_floor((wall, stop), (m - half, m + half), -depth) for m in _middles()]
    beam = (stop, stop + inward * line["width"])
    cross = [_on_floor(beam, (m - bar, m + bar), -depth) for m in _middles()]
    return np.array(bare), np.array(cross)


def _wall_face(wall: float) -> np.ndarray:
    """The wall in upright strips (n, 4, 3), so that those behind the camera can be left out. [m]"""
    left, right = side_walls()
    strips = pairwise(np.linspace(right, left, STRIPS + 1))
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
    strips = pairwise(np.linspace(right, left, STRIPS + 1))
    return np.array([_on_floor((wall, wall - inward * DECK_M), strip, 0.0) for strip in strips])


def _on_floor(x: tuple[float, float], y: tuple[float, float], z: float) -> list[list[float]]:
    return [[x[0], y[0], z], [x[1], y[0], z], [x[1], y[1], z], [x[0], y[1], z]]


def _on_wall(x: float, y: tuple[float, float], z: tuple[float, float]) -> list[list[float]]:
    return [[x, y[0], z[0]], [x, y[1], z[0]], [x, y[1], z[1]], [x, y[0], z[1]]]
