"""What is behind the body: air and water, the water line, shoulder lines, and marks that travel past.

Marks fixed in the water (0.5 m apart) pass through the picture at swimming speed, so travel can be seen and
lengths judged by eye.
"""

from __future__ import annotations

import cv2
import numpy as np

from swimsim.ground.records import Camera, Trace

from . import strokes
from .cameras import REFERENCE_STATURE_M
from .colours import Colour, Theme, mix
from .figure import Shot, far_side

MARK_M = 0.5  # spacing of the travelling marks [m]
TRAIL_M = 0.010  # width of the hand trail [m]
STEEP = 0.3  # a camera looks up or down when the lens axis climbs more than this per metre
ENTRY_X = 1.05  # where hands enter, ahead of mid-hip, for the reference stature [m]
GUIDE_LONG_M = (-3.0, 4.0)


def shoulder_half_width(trace: Trace, *, stature_m: float = REFERENCE_STATURE_M) -> float:
    """Half the mean distance between the shoulder joints; 0.1 of stature if they are missing. [m]"""
    span = np.linalg.norm(trace.joint("left_shoulder") - trace.joint("right_shoulder"), axis=1)
    span = span[np.isfinite(span)]
    return float(span.mean()) / 2 if len(span) and span.mean() > 0.05 else 0.1 * stature_m


def is_level(camera: Camera) -> bool:
    """True for cameras that look along the water and see its surface as a line."""
    return abs(camera.rotation[2, 2]) < STEEP


def has_marks(camera: Camera) -> bool:
    """True for cameras in whose view marks travel past."""
    return not is_level(camera) or far_side(camera) is not None


def water_row(camera: Camera, start_x_m: float = 0.0) -> float:
    """Pixel row of the still water line at the body. [px]"""
    y, z = camera.rotation[1:] @ (np.array([start_x_m + 0.2, 0.0, 0.0]) - camera.position_m)
    return float(camera.focal_px[1] * y / max(z, 0.1) + camera.centre_px[1])


def paint(canvas: np.ndarray, camera: Camera, theme: Theme, *, half_width_m: float, start_x_m: float = 0.0,
          zoom: int = 1) -> None:  # fmt: skip
    """Paint the still part of one view in place: tints, water line, upright guide lines."""
    canvas[:] = theme.water
    if not is_level(camera):
        return
    row = int(np.clip(round((water_row(camera, start_x_m) + 0.5) * zoom), 0, canvas.shape[0]))
    canvas[:row] = theme.air
    if far_side(camera) is None:
        _uprights(canvas, camera, theme, half_width_m=half_width_m, start_x_m=start_x_m, zoom=zoom)
    thick = max(2, round(camera.size_px[1] / 140)) * zoom
    canvas[max(row - thick // 2, 0) : row + thick - thick // 2] = theme.surface


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
            cv2.polylines(
                canvas,
                [pair],
                False,
                guide_colour(theme),
                strokes.thickness(1, zoom),
                cv2.LINE_AA,
                strokes.SHIFT,
            )


def guide_colour(theme: Theme) -> Colour:
    """Faint colour of guide lines."""
    return mix(theme.faint, theme.water, 0.8)


class Passing:
    """Marks fixed in the water that travel through a view over a stretch of frames."""

    def __init__(self, shot: Shot, theme: Theme, *, half_width_m: float):
        self.colour, self.thick = guide_colour(theme), strokes.thickness(1, shot.zoom)
        self.rows: list[list[np.ndarray]] = []
        if not is_level(shot.camera):
            pixels = self._long_lines(shot, half_width_m)
        elif far_side(shot.camera) is not None:
            pixels = self._ruler(shot)
        else:
            return
        pieces = strokes.fixed(pixels, shot.zoom)
        seen = np.isfinite(pixels).all(axis=(-1, -2)) & self._inside(pixels, shot.camera)
        self.rows = [list(piece[row]) for piece, row in zip(pieces, seen, strict=True)]

    @staticmethod
    def _inside(pixels: np.ndarray, camera: Camera) -> np.ndarray:
        wide, high = camera.size_px
        return (
            (pixels[..., 0].max(-1) > 0) & (pixels[..., 0].min(-1) < wide)
            & (pixels[..., 1].max(-1) > 0) & (pixels[..., 1].min(-1) < high)
        )  # fmt: skip

    @staticmethod
    def _marks(shot: Shot) -> np.ndarray:
        """World x of the marks around the camera, (n_frames, n_marks): whole multiples of the spacing. [m]"""
        here = (
            shot.camera.position_m[0] + shot.shift_m
            if shot.camera.travels
            else np.full(len(shot.shift_m), 0.0)
        )
        first = np.ceil((here + GUIDE_LONG_M[0]) / MARK_M) * MARK_M
        count = int((GUIDE_LONG_M[1] - GUIDE_LONG_M[0]) / MARK_M)
        return first[:, None] + MARK_M * np.arange(count)

    def _long_lines(self, shot: Shot, half_width_m: float) -> np.ndarray:
        """Dashes on the surface along the midline and both shoulder lines."""
        x = self._marks(shot)
        lines = [
            np.stack([np.stack([x + d, 0 * x + y, 0 * x], -1) for d in (0, share * MARK_M)], axis=2)
            for y, share in ((-half_width_m, 0.5), (0.0, 0.9), (half_width_m, 0.5))
        ]
        return shot.see(np.concatenate(lines, axis=1))

    def _ruler(self, shot: Shot) -> np.ndarray:
        """Ticks at the lower edge, longer at every metre."""
        x = self._marks(shot)
        at = shot.see(np.stack([x, 0 * x, 0 * x], -1))[..., 0]
        high = shot.camera.size_px[1]
        tall = np.where(np.round(x / MARK_M) % 2 == 0, 0.07, 0.04) * high
        low = np.full_like(at, high + 1.0)
        return np.stack([np.stack([at, high - tall], -1), np.stack([at, low], -1)], axis=2)

    def draw(self, canvas: np.ndarray, frame: int) -> None:
        """Draw one frame, in place."""
        if self.rows and self.rows[frame]:
            cv2.polylines(
                canvas, self.rows[frame], False, self.colour, self.thick, cv2.LINE_AA, strokes.SHIFT
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
                cv2.polylines(
                    canvas, [self.points[a:b]], False, colour, self.thick, cv2.LINE_AA, strokes.SHIFT
                )


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
