"""Lane ropes: the cable, which is still along the lane, and the floats, which pass.

Floats are octagons as large as the float looks. Those at whole metres are darker, those in the last 5 m before a
wall have a tone of their own, and the marks at 15 m and in mid-pool are as long as their place. Far away, where
floats would cover each other, only those at whole metres are drawn.
"""

from __future__ import annotations

from functools import cached_property
from itertools import pairwise

import cv2
import numpy as np

from swimsim.ground.projection import NEAR_M

from . import strokes
from .batch import here, inside
from .colours import Colour, Theme, mix
from .figure import Shot
from .pens import pen_for
from .polygons import HAIR_PX, Polygons
from .pool import Pool, float_kinds, lattice, measures, rope_sides
from .pool_still import Cut, haze

SEEN_M = 13.0  # floats farther than this are lost in the haze [m]
BAND_M = 3.0  # floats of one tone are at most this much nearer or farther [m]
CABLE_M = 0.012  # thickness of a rope between its floats [m]
MOST_CABLE_PX = 3  # a thin line stays a line, however near [px]
RIM = 0.8  # strength of outlines against guide lines
CLEAR = 0.95  # floats are drawn while their places are this much of their size apart
#: Corners of a float: shares of its half length and of its radius.
CORNERS = np.array(
    [[1, -0.5], [1, 0.5], [0.7, 1], [-0.7, 1], [-1, 0.5], [-1, -0.5], [-0.7, -1], [0.7, -1]], float
)


class Floats:
    """Floats of the ropes left and right of the swimmer, over a stretch of frames."""

    def __init__(self, shot: Shot, theme: Theme, pool: Pool, cut: Cut | None):
        self.pieces = None
        ends = [_ends(shot, pool, cut, y) for y in rope_sides(shot.camera)]
        ends = [found for found in ends if found is not None]
        if not ends:
            return
        points, kinds, depth = (np.concatenate(parts, axis=1) for parts in zip(*ends, strict=True))
        radius = _radius(shot, depth)
        keep = (kinds >= 0) & inside(points, shot.camera.size_px) & _apart(points, radius, kinds)
        shape = _octagons(points[keep], radius[keep])
        bands = np.floor(depth / BAND_M).astype(int)
        frames = np.broadcast_to(np.arange(len(kinds))[:, None], kinds.shape)[keep]
        order = np.lexsort((kinds[keep], -bands[keep], frames))
        keys = np.stack([frames, bands[keep], kinds[keep]], axis=-1)[order]
        self.pieces, self.keys = strokes.fixed(shape[order], shot.zoom), keys
        self.tones = {k: _tones(shot, theme, *k) for k in set(map(tuple, keys[:, 1:].tolist()))}
        self.n_frames, self.thick = len(kinds), strokes.thickness(1, shot.zoom)

    @cached_property
    def rows(self) -> list[list[tuple[list[np.ndarray], Colour, Colour]]]:
        """Floats of one tone in every frame, farthest first, with fill and outline."""
        if self.pieces is None:
            return []
        rows, pieces = [[] for _ in range(self.n_frames)], list(self.pieces)
        breaks = np.flatnonzero((np.diff(self.keys, axis=0) != 0).any(axis=-1)) + 1
        for a, b in pairwise([0, *breaks.tolist(), len(pieces)] if pieces else []):
            frame, band, kind = self.keys[a].tolist()
            rows[frame].append((pieces[a:b], *self.tones[band, kind]))
        return rows

    def polygons(self) -> list[Polygons]:
        """The same for compiled code: a float in the tone of its outline under a smaller one in its own."""
        if self.pieces is None:
            return []
        index = {key: i for i, key in enumerate(self.tones)}
        which = [index[key] for key in map(tuple, self.keys[:, 1:].tolist())]
        both = np.array(list(self.tones.values()), np.uint8).reshape(-1, 2, 3)[which, ::-1]
        pieces, frames = (np.repeat(part, 2, axis=0) for part in (self.pieces, self.keys[:, 0]))
        grow = np.tile(np.array([HAIR_PX / 2, -HAIR_PX / 2]), len(which))
        return [Polygons(pieces, frames, both.reshape(-1, 3), grow=grow)]

    def draw(self, canvas: np.ndarray, frame: int) -> None:
        """Draw one frame, in place: farthest first."""
        for pieces, fill, rim in self.rows[frame] if self.rows else ():
            pen_for(canvas).fillPoly(canvas, pieces, fill, cv2.LINE_AA, strokes.SHIFT)
            pen_for(canvas).polylines(canvas, pieces, True, rim, self.thick, cv2.LINE_AA, strokes.SHIFT)


def _tones(shot: Shot, theme: Theme, band: int, kind: int) -> tuple[Colour, Colour]:
    """Fill and outline of the floats of one kind at some distance."""
    share = _clear(shot, (band + 0.5) * BAND_M)
    fill = (theme.rope, theme.rope_metre, theme.rope_end, theme.rope_metre)[kind]
    return mix(fill, theme.water, share), mix(guide(theme), theme.water, RIM * share)


def _clear(shot: Shot, distance_m: float) -> float:
    """Share of its tone that a thing at the surface keeps: all of it in air."""
    return float(haze(distance_m)) if shot.camera.position_m[2] <= 0 else 1.0


def _ends(shot: Shot, pool: Pool, cut: Cut | None, y: float) -> tuple[np.ndarray, ...] | None:
    """Pixels of both ends (n_frames, n, 2, 2), kinds and depths (n_frames, n) of the floats of one rope."""
    reach = _seen(shot, cut, y)
    if reach is None:
        return None
    rope = measures()["rope"]
    x = lattice(pool, here(shot), step_m=rope["pitch"], reach_m=reach)
    kinds = float_kinds(pool, x)
    half = np.where(kinds == 3, rope["pitch"], rope["float_length"])[..., None] / 2 * [-1, 1]
    middle = np.stack([x, np.full_like(x, y), np.zeros_like(x)], axis=-1)
    points = np.repeat(middle[:, :, None], 2, axis=2)
    points[..., 0] += half
    return shot.see(points), kinds, shot.depth(middle)


def _seen(shot: Shot, cut: Cut | None, y: float) -> tuple[float, float] | None:
    """From where to where a rope is in the picture and its floats stand clear, about the camera's x. [m]"""
    rope = measures()["rope"]
    x = np.arange(-SEEN_M, SEEN_M, rope["pitch"])
    points = np.stack([x + shot.camera.position_m[0], 0 * x + y, 0 * x], axis=-1)
    pixels = at_rest(shot).see(points[None])[0]
    keep = inside(pixels[:, None], shot.camera.size_px)
    if cut is not None:
        keep &= (points - shot.camera.position_m)[:, :2] @ cut.along > cut.edge_m
    if not keep.any():
        return None
    return float(x[keep].min()) - rope["pitch"], float(x[keep].max()) + 2 * rope["pitch"]


def at_rest(shot: Shot) -> Shot:
    """The same camera at time 0, alone."""
    return Shot(shot.camera, np.zeros((1, 1, 3)), ("",), np.zeros(1), shot.zoom)


def _apart(ends: np.ndarray, radius: np.ndarray, kinds: np.ndarray) -> np.ndarray:
    """Whether a float does not cover the next one of its kind."""
    rope = measures()["rope"]
    length = np.linalg.norm(ends[:, :, 1] - ends[:, :, 0], axis=-1)
    step = length * np.where(kinds == 1, 1.0, rope["pitch"]) / rope["float_length"]
    return step > CLEAR * np.maximum(length, 2 * radius)


def _octagons(ends: np.ndarray, radius: np.ndarray) -> np.ndarray:
    """Outlines (n, 8, 2) from the pixels of the ends (n, 2, 2) of floats, as long and as thick as they look.

    The outline's pen of one pixel runs half outside, so the corners lie half a pixel inside.
    """
    along = (ends[:, 1] - ends[:, 0]) / 2
    length = np.maximum(np.hypot(along[:, 0], along[:, 1]), 1e-9)[:, None]
    radius = np.maximum(radius[:, None] - 0.5, 0.3)
    unit = along / length
    along = unit * np.maximum(length - 0.5, radius)
    across = np.stack([-unit[:, 1], unit[:, 0]], axis=-1) * radius
    return ends.mean(axis=1)[:, None] + CORNERS[:, :1] * along[:, None] + CORNERS[:, 1:] * across[:, None]


def _radius(shot: Shot, depth: np.ndarray) -> np.ndarray:
    """How thick half a float looks. [px]"""
    return measures()["rope"]["float"] / 2 * shot.camera.focal_px[0] / np.maximum(depth, NEAR_M)


def paint_cables(canvas: np.ndarray, shot: Shot, theme: Theme, cut: Cut | None) -> None:
    """Paint the ropes themselves, thinner and fainter far away, as far as the cut."""
    for y in rope_sides(shot.camera):
        edges = shot.camera.position_m[0] + np.linspace(-SEEN_M, SEEN_M, 53)
        for a, b in pairwise(edges):
            middle = np.array([(a + b) / 2, y, 0.0]) - shot.camera.position_m
            depth = float(shot.camera.rotation[2] @ middle)
            if depth < 0.1 or (cut is not None and middle[:2] @ cut.along < cut.edge_m):
                continue
            colour = mix(guide(theme), theme.water, RIM * _clear(shot, depth))
            width = min(MOST_CABLE_PX, max(1, round(CABLE_M * shot.camera.focal_px[0] / depth)))
            line(canvas, shot, np.array([[a, y, 0.0], [b, y, 0.0]]), (colour, width))


def line(canvas: np.ndarray, shot: Shot, points_m: np.ndarray, pen: tuple[Colour, int]) -> None:
    """Draw one chain of world points (n, 3) with a colour and a width [px], in place."""
    pixels = shot.see(points_m[None])[0]
    if np.isfinite(pixels).all():
        pen_for(canvas).polylines(
            canvas, [strokes.fixed(pixels, shot.zoom)], False, pen[0], strokes.thickness(pen[1], shot.zoom),
            cv2.LINE_AA, strokes.SHIFT,
        )  # fmt: skip


def guide(theme: Theme) -> Colour:
    """Faint colour of guide lines."""
    return mix(theme.faint, theme.water, 0.8)
