"""Many lines or shapes of one colour over a stretch of frames, drawn with one OpenCV call per frame."""

from __future__ import annotations

import cv2
import numpy as np

from . import strokes
from .figure import Shot


class Batch:
    """Lines or filled shapes (n_frames, n_pieces, n_points, 2) of one colour, drawn with one call per frame.

    `colour` may be a list of one colour per frame. Pieces that are missing or outside the picture are left out.
    """

    def __init__(
        self, shot: Shot, pixels: np.ndarray, colour, *, width: float = 0, keep: np.ndarray | bool = True
    ):
        shown = np.isfinite(pixels).all(axis=(-1, -2)) & inside(pixels, shot.camera.size_px) & keep
        used = shown.any(axis=0)
        pieces, shown = strokes.fixed(pixels[:, used], shot.zoom), shown[:, used]
        self.rows = [list(piece[row]) for piece, row in zip(pieces, shown, strict=True)] if used.any() else []
        self.colours = colour if isinstance(colour, list) else [colour] * len(pixels)
        self.thick = strokes.thickness(max(1, round(width)), shot.zoom) if width else 0

    def draw(self, canvas: np.ndarray, frame: int) -> None:
        """Draw one frame, in place."""
        if not self.rows or not self.rows[frame]:
            return
        if self.thick:
            cv2.polylines(
                canvas, self.rows[frame], False, self.colours[frame], self.thick, cv2.LINE_AA, strokes.SHIFT
            )
        else:
            cv2.fillPoly(canvas, self.rows[frame], self.colours[frame], cv2.LINE_AA, strokes.SHIFT)


def inside(pixels: np.ndarray, size_px: tuple[int, int]) -> np.ndarray:
    """Whether a piece (..., n_points, 2) touches the picture."""
    wide, high = size_px
    x, y = pixels[..., 0], pixels[..., 1]
    with np.errstate(invalid="ignore"):
        return (x.max(-1) > 0) & (x.min(-1) < wide) & (y.max(-1) > 0) & (y.min(-1) < high)


def here(shot: Shot) -> np.ndarray:
    """World x of the camera in every frame. [m]"""
    return shot.camera.position_m[0] + shot.shift_m
