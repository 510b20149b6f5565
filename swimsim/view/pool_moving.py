"""What passes in a pool picture while the camera travels: floats, cross joints, walls, and ripples.

Everything is planned in numpy for a stretch of frames and drawn with one call per colour.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from swimsim.ground.projection import NEAR_M

from .batch import Batch, here, inside
from .colours import Colour, Theme, mix
from .figure import Shot, far_side
from .pool import Pool, float_kinds, lattice, measures, rope_sides, side_walls
from .pool_ends import LEAST_GAP_PX, ends
from .pool_still import Cut, haze, rays

SEEN_M = 13.0  # floats farther than this are lost in the haze [m]
BAND_M = 3.0  # floats of one tone are at most this much nearer or farther [m]
RIPPLE_M = 0.5  # ripples on the surface seen from beneath [m]
RING_M = 0.11  # radius of the ring where an arm breaks the surface [m]
LIMBS = ("shoulder", "elbow", "wrist", "fingertip")


def passing(shot: Shot, theme: Theme, pool: Pool, cut: Cut | None) -> list[Batch]:
    """Everything of the pool that moves through a view, farthest first."""
    return [
        *_joints(shot, theme, pool), *ends(shot, theme, pool, cut), *_ripples(shot, theme, pool, cut),
        *(batch for y in rope_sides(shot.camera) for batch in _floats(shot, theme, pool, (y, cut))),
        *_rings(shot, theme, cut),
    ]  # fmt: skip


def _joints(shot: Shot, theme: Theme, pool: Pool) -> list[Batch]:
    """Tile joints across the floor."""
    seen = _floor_seen(shot)
    if seen is None:
        return []
    (x0, x1), (y0, y1), far = seen
    depth, tile = -measures()["depth"], measures()["tile"]
    x = lattice(pool, here(shot), step_m=tile["side"], reach_m=(x0, x1))
    pixels = shot.see(_across(x, (y0, y1), depth, bends=_bends(shot)))
    gaps = np.linalg.norm(np.diff(pixels[:1].mean(axis=2), axis=1), axis=-1)
    if not len(gaps[0]) or not np.nanmin(gaps) > LEAST_GAP_PX:
        return []
    scale = shot.camera.focal_px[0] / far
    share = float(haze(_wet(shot, far))) * min(1.0, tile["joint"] * scale)
    return [Batch(shot, pixels, mix(theme.grout, mix(theme.tile, theme.water, float(haze(_wet(shot, far)))), share),
                  width=1)]  # fmt: skip


def _wet(shot: Shot, distance_m: float) -> float:
    """How much of the way to the floor is under water. [m]"""
    height = max(float(shot.camera.position_m[2]), 0.0)
    return distance_m * measures()["depth"] / (measures()["depth"] + height) if height else distance_m


def _floor_seen(shot: Shot):
    """Range of the visible floor in x and y about the camera's x, and its middle distance; None if unseen. [m]"""
    camera = shot.camera
    wide, high = camera.size_px
    start, way = rays(camera, (np.linspace(0, wide - 1, 9), np.linspace(0, high - 1, 9)))
    start = np.broadcast_to(start, way.shape)
    drop = start[..., 2] + measures()["depth"]
    falls = (way[..., 2] < -0.05) & (drop > 0)
    if not falls.any():
        return None
    distance = drop[falls] / -way[falls][:, 2]
    x, y = ((start + 0 * way)[falls][:, i] + way[falls][:, i] * distance for i in (0, 1))
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


def _floats(shot: Shot, theme: Theme, pool: Pool, place: tuple[float, Cut | None]) -> list[Batch]:
    """Floats of the lane rope at some y: octagons as large as the float looks, none where the water is cut away."""
    y, cut = place
    reach = _rope_seen(shot, y)
    if reach is None:
        return []
    rope = measures()["rope"]
    x = lattice(pool, here(shot), step_m=rope["pitch"], reach_m=reach)
    kinds = float_kinds(pool, x)
    middle = np.stack([x, 0 * x + y, 0 * x], axis=-1)
    distance = np.linalg.norm(middle - _lens(shot)[:, None], axis=-1)
    corners = _octagons(shot, middle, kinds)
    kinds = np.where(_crowded(corners, kinds) | _cut_away(shot, middle, cut), -1, kinds)
    tones = (theme.rope, theme.rope_metre, theme.rope_end, theme.rope_metre)
    batches = []
    bands = np.floor(distance / BAND_M)
    for band in np.unique(bands)[::-1]:
        share = float(haze((band + 0.5) * BAND_M * (shot.camera.position_m[2] <= 0)))
        rim = mix(guide(theme), theme.water, 0.8 * share)
        for kind, tone in enumerate(tones):
            keep = (kinds == kind) & (bands == band)
            if keep.any():
                batches.append(Batch(shot, corners, mix(tone, theme.water, share), keep=keep))
        closed = np.concatenate([corners, corners[:, :, :1]], axis=2)
        batches.append(Batch(shot, closed, rim, width=1, keep=(kinds >= 0) & (bands == band)))
    return batches


def _crowded(corners: np.ndarray, kinds: np.ndarray) -> np.ndarray:
    """Floats that would cover the next one of their kind: far away only those at whole metres are drawn."""
    middle = corners.mean(axis=2)
    step = np.linalg.norm(np.gradient(middle, axis=1), axis=-1)
    size = np.linalg.norm(corners[:, :, 0] - corners[:, :, 4], axis=-1)
    per_metre = 1 / measures()["rope"]["pitch"]
    with np.errstate(invalid="ignore"):
        return step * np.where((kinds == 1) | (kinds == 3), per_metre, 1.0) < 0.95 * size


def _cut_away(shot: Shot, points_m: np.ndarray, cut: Cut | None) -> np.ndarray:
    """Points (n_frames, n, 3) in the water that is taken away."""
    if cut is None:
        return np.zeros(points_m.shape[:2], bool)
    return (points_m - _lens(shot)[:, None])[..., :2] @ cut.along < cut.edge_m


def _lens(shot: Shot) -> np.ndarray:
    place = np.broadcast_to(shot.camera.position_m, (len(shot.shift_m), 3)).copy()
    place[:, 0] += shot.shift_m
    return place


def _rope_seen(shot: Shot, y: float) -> tuple[float, float] | None:
    """How far behind and ahead of the camera a rope is in the picture. [m]"""
    x = np.linspace(-SEEN_M, SEEN_M, 141)
    points = np.stack([x + shot.camera.position_m[0], 0 * x + y, 0 * x], axis=-1)
    seen = inside(_at_rest(shot).see(points[None, :, None]), shot.camera.size_px)[0]
    return (float(x[seen].min()) - 0.3, float(x[seen].max()) + 0.6) if seen.any() else None


def _at_rest(shot: Shot) -> Shot:
    """The same camera at time 0, alone."""
    return Shot(shot.camera, np.zeros((1, 1, 3)), ("",), np.zeros(1), shot.zoom)


def _octagons(shot: Shot, middle: np.ndarray, kinds: np.ndarray) -> np.ndarray:
    """Outlines (n_frames, n_floats, 8, 2) of floats along x, as long and as thick as they look."""
    rope = measures()["rope"]
    half = np.where(kinds == 3, rope["pitch"] / 2, rope["float_length"] / 2)
    step = np.stack([half, 0 * half, 0 * half], axis=-1)
    ends = shot.see(np.stack([middle - step, middle, middle + step], axis=2))
    along = (ends[:, :, 2] - ends[:, :, 0]) / 2
    length = np.maximum(np.linalg.norm(along, axis=-1, keepdims=True), 1e-9)
    depth = (middle - _lens(shot)[:, None]) @ shot.camera.rotation[2]
    radius = (rope["float"] / 2 * shot.camera.focal_px[0] / np.maximum(depth, NEAR_M))[..., None]
    unit = along / length
    across = np.stack([-unit[..., 1], unit[..., 0]], axis=-1) * radius
    along = unit * np.maximum(length, radius)
    shape = [(1, -0.5), (1, 0.5), (0.7, 1), (-0.7, 1), (-1, 0.5), (-1, -0.5), (-0.7, -1), (0.7, -1)]
    return np.stack([ends[:, :, 1] + a * along + b * across for a, b in shape], axis=2)


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
    turn = np.linspace(0, 2 * np.pi, 25)
    ring = RING_M * np.stack([np.cos(turn), np.sin(turn), 0 * turn], axis=-1)
    points = place[:, :, None] * [1, 1, 0] + ring
    return [Batch(shot, shot.see(points), mix(theme.surface, theme.ceiling, 0.7), width=1, keep=crosses)]


def guide(theme: Theme) -> Colour:
    """Faint colour of guide lines."""
    return mix(theme.faint, theme.water, 0.8)
