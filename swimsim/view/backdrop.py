"""What is behind the body: the pool, the water line, shoulder lines, and marks that travel past.

Marks fixed in the water (0.5 m apart) pass through the picture at swimming speed, so travel can be seen and
lengths judged by eye. The pool is true to scale (see `pool`). Two things are cut away, so that nothing hides the
swimmer: the lane rope between camera and swimmer, and, for level cameras under water, the water nearer to the
camera than the swimmer's reach. What is above the surface is seen over the edge of that cut; the surface itself
is seen from beneath, in perspective, with ripples 0.5 m apart and a ring where an arm breaks it. The strong
water line is at the shoulders.
"""

from __future__ import annotations

import cv2
import numpy as np

from swimsim.ground.records import Camera, Trace

from . import pool_moving, strokes
from .batch import Batch, here
from .cameras import REFERENCE_STATURE_M
from .colours import Colour, Theme
from .figure import Shot, far_side
from .pens import pen_for
from .polygons import Polygons, chains
from .pool import Pool, lattice
from .pool_still import Cut, cut_of, is_level, still
from .ropes import guide, line, paint_cables

MARK_M = 0.5  # spacing of the travelling marks [m]
TRAIL_M = 0.010  # width of the hand trail [m]
ENTRY_X = 1.05  # where hands enter, ahead of mid-hip, for the reference stature [m]
GUIDE_LONG_M = (-3.5, 3.5)  # reach of the travelling marks [m]
SHOULDER_SHARE = 0.18 / REFERENCE_STATURE_M  # half the width of the shoulders as a share of stature


def shoulder_half_width(trace: Trace, *, stature_m: float = REFERENCE_STATURE_M) -> float:
    """Half the mean distance between the shoulder joints; 0.1 of stature if they are missing. [m]"""
    span = np.linalg.norm(trace.joint("left_shoulder") - trace.joint("right_shoulder"), axis=1)
    span = span[np.isfinite(span)]
    return float(span.mean()) / 2 if len(span) and span.mean() > 0.05 else 0.1 * stature_m


def has_marks(camera: Camera) -> bool:
    """True for cameras in whose view marks travel past."""
    return not is_level(camera) or far_side(camera) is not None


def paint(canvas: np.ndarray, camera: Camera, theme: Theme, *, half_width_m: float, start_x_m: float = 0.0,
          zoom: int = 1) -> None:  # fmt: skip
    """Paint the still part of one view in place: water, floor, ropes, water line, upright guide lines."""
    cut = _cut(camera, half_width_m, start_x_m)
    canvas[:] = still(camera, theme, cut, zoom=zoom)
    shot = Shot(camera, np.zeros((1, 1, 3)), ("",), np.zeros(1), zoom)
    paint_cables(canvas, shot, theme, cut)
    if cut is None:
        return
    if far_side(camera) is None:
        _uprights(canvas, camera, theme, half_width_m=half_width_m, start_x_m=start_x_m, zoom=zoom)
    _water_line(
        canvas, shot, theme.surface, cut, at_m=cut.body_m, width=max(2, round(camera.size_px[1] / 140))
    )
    if far_side(camera) is None:  # from the side a second line would only be taken for the surface
        _water_line(canvas, shot, guide(theme), cut, at_m=cut.edge_m, width=1)


def _cut(camera: Camera, half_width_m: float, start_x_m: float) -> Cut | None:
    scale = half_width_m / (SHOULDER_SHARE * REFERENCE_STATURE_M)
    return cut_of(camera, start_x_m=start_x_m, scale=scale)


def _water_line(canvas, shot: Shot, colour: Colour, cut: Cut, *, at_m: float, width: int) -> None:
    """The still surface in a plane square to the lens axis, across the whole picture."""
    aside = np.array([-cut.along[1], cut.along[0]])
    reach = np.linspace(-1, 1, 33)[:, None] * at_m * shot.camera.size_px[0] / shot.camera.focal_px[0] * 2
    flat = shot.camera.position_m[:2] + at_m * cut.along + reach * aside
    points = np.concatenate([flat, np.zeros((33, 1))], axis=1)
    line(canvas, shot, points, (colour, width))


def _uprights(canvas, camera, theme, *, half_width_m: float, start_x_m: float, zoom: int) -> None:
    """Dashed upright lines at the midline and at both shoulders, in the plane where the hands enter."""
    ahead = camera.rotation[2, 0] < 0
    scale = half_width_m / 0.18
    x = start_x_m + (ENTRY_X * scale if ahead else 0.3)
    for y, strong in ((-half_width_m, 0), (0.0, 1), (half_width_m, 0)):
        ends = np.array([[[x, y, 0.9], [x, y, -1.4]]])
        pixels = Shot(camera, ends, ("a", "b"), np.zeros(1)).see(ends)
        low, high = strokes.dashes(pixels[:, 0], pixels[:, 1], count=28, share=0.9 if strong else 0.5)
        for pair in strokes.fixed(np.stack([low[0], high[0]], axis=1), zoom):
            pen_for(canvas).polylines(
                canvas,
                [pair],
                False,
                guide(theme),
                strokes.thickness(1, zoom),
                cv2.LINE_AA,
                strokes.SHIFT,
            )


class Passing:
    """What travels through a view over a stretch of frames: the pool, and marks fixed in the water."""

    def __init__(self, shot: Shot, theme: Theme, *, half_width_m: float, start_x_m: float = 0.0,
                 pool: Pool | None = None):  # fmt: skip
        pool = pool or Pool()
        cut = _cut(shot.camera, half_width_m, start_x_m)
        self.batches = pool_moving.passing(shot, theme, pool, cut)
        colour = guide(theme)
        if cut is None:
            self.batches.append(Batch(shot, _long_lines(shot, pool, half_width_m), colour, width=1))
        elif far_side(shot.camera) is not None:
            self.batches.append(Batch(shot, _ruler(shot, pool), colour, width=1))

    def draw(self, canvas: np.ndarray, frame: int) -> None:
        """Draw one frame, in place."""
        for batch in self.batches:
            batch.draw(canvas, frame)

    def polygons(self) -> list[Polygons]:
        """The same for compiled code."""
        return [part for batch in self.batches for part in batch.polygons()]


def _marks(shot: Shot, pool: Pool) -> np.ndarray:
    """World x of the marks where the lens is aimed, (n_frames, n_marks): whole multiples of the spacing. [m]"""
    axis = shot.camera.rotation[2]
    ahead = 0.0 if is_level(shot.camera) else -shot.camera.position_m[2] * axis[0] / axis[2]
    return lattice(pool, here(shot) + ahead, step_m=MARK_M, reach_m=GUIDE_LONG_M)


def _long_lines(shot: Shot, pool: Pool, half_width_m: float) -> np.ndarray:
    """Dashes on the surface along the midline and both shoulder lines."""
    x = _marks(shot, pool)
    x = np.where(pool.from_wall(x) >= 0, x, np.nan)
    lines = [
        np.stack([np.stack([x + d, 0 * x + y, 0 * x], -1) for d in (0, share * MARK_M)], axis=2)
        for y, share in ((-half_width_m, 0.5), (0.0, 0.9), (half_width_m, 0.5))
    ]
    return shot.see(np.concatenate(lines, axis=1))


def _ruler(shot: Shot, pool: Pool) -> np.ndarray:
    """Ticks at the lower edge, longer at every metre, where they are at the swimmer's distance."""
    x = _marks(shot, pool)
    at = shot.see(np.stack([x, 0 * x, 0 * x], -1))[..., 0]
    high = shot.camera.size_px[1]
    tall = np.where(np.round((x - pool.zero_x_m) / MARK_M) % 2 == 0, 0.07, 0.04) * high
    return np.stack(
        [np.stack([at, high - tall], -1), np.stack([at, np.full_like(at, high + 1.0)], -1)], axis=2
    )


class Trail:
    """Fading path of a joint as seen by the travelling camera.

    `shot` holds `fine` instants per frame and starts `back` frames before the first frame to draw.
    """

    def __init__(self, shot: Shot, name: str, *, back: int, fine: int, colours: tuple[Colour, ...]):
        pixels = shot.see(shot.point(name))
        self.known = np.isfinite(pixels).all(axis=-1)
        self.points = strokes.fixed(pixels, shot.zoom)
        edges = np.linspace(0, back * fine, len(colours) + 1).round().astype(int).tolist()
        self.pieces = list(zip(edges, edges[1:], colours, strict=False))
        self.thick, self.fine = strokes.thickness(strokes.odd(TRAIL_M * shot.scale), shot.zoom), fine

    def draw(self, canvas: np.ndarray, frame: int) -> None:
        """Draw the path that leads to one frame, in place: palest first."""
        for start, end, colour in self.pieces:
            a, b = self.fine * frame + start, self.fine * frame + end + 1
            if self.known[a:b].all():
                pen_for(canvas).polylines(
                    canvas, [self.points[a:b]], False, colour, self.thick, cv2.LINE_AA, strokes.SHIFT
                )

    def polygons(self) -> list[Polygons]:
        """The same for compiled code."""
        n_frames = (len(self.points) - 1 - self.pieces[-1][1]) // self.fine + 1
        found = []
        for start, end, colour in self.pieces:
            at = self.fine * np.arange(n_frames)[:, None] + np.arange(start, end + 1)
            frames = np.flatnonzero(self.known[at].all(axis=1))
            tones = np.tile(np.array(colour, np.uint8), (len(frames), 1))
            found.append(chains(self.points[at[frames]], frames, tones, thickness=self.thick))
        return found


class Arrows:
    """Vectors at joints."""

    def __init__(self, shot: Shot, arrows: dict[str, np.ndarray], colour: Colour, *, width: float):
        self.strokes = []
        for name, vectors in arrows.items():
            ends = shot.see(np.stack([shot.point(name), shot.point(name) + vectors], axis=1))
            along = ends[:, 1] - ends[:, 0]
            length = np.linalg.norm(along, axis=-1, keepdims=True)
            ends = np.where(length[:, None] > 2 * width, ends, np.nan)
            back = along / np.maximum(length, 1e-6) * np.minimum(4.0 * width, 0.5 * length)
            side = np.stack([-back[:, 1], back[:, 0]], axis=-1) * 0.55
            tip = ends[:, 1]
            head = np.stack([tip, tip - back + side, tip - back - side], axis=1)
            shaft = np.stack([ends[:, 0], tip - 0.8 * back], axis=1)
            self.strokes.append(strokes.sticks(shaft, colour, width=width, zoom=shot.zoom))
            self.strokes.append(strokes.Shapes(head[:, None], colour, zoom=shot.zoom))

    def draw(self, canvas: np.ndarray, frame: int) -> None:
        """Draw one frame, in place."""
        for stroke in self.strokes:
            stroke.draw(canvas, frame)
