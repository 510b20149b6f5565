"""What an overlay is made of, ready to draw frame by frame: lines, see-through sectors, numbers on plates."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

from . import strokes
from .colours import Colour
from .pens import Sketch, paste, pen_for
from .plates import Plates

FILL_SHARE = 0.34  # how much of its colour a sector lays over the picture


class Lines:
    """Open lines (n_frames, n_lines, n_points, 2) of one colour and width, drawn in one call per frame."""

    def __init__(self, pixels: np.ndarray, colour: Colour, *, width: float, zoom: int = 1):
        self.known = np.isfinite(pixels).all(axis=(-1, -2))
        self.points, self.colour = strokes.fixed(pixels, zoom), colour
        self.thick = strokes.thickness(strokes.odd(width), zoom)

    def draw(self, canvas: np.ndarray, frame: int) -> None:
        """Draw one frame, in place."""
        known = self.known[frame]
        if known.any():
            pieces = list(self.points[frame][known])
            pen_for(canvas).polylines(
                canvas, pieces, False, self.colour, self.thick, cv2.LINE_AA, strokes.SHIFT
            )


class Sectors:
    """One filled convex shape (n_frames, n_corners, 2) that lets the picture through."""

    def __init__(self, pixels: np.ndarray, colour: Colour, *, zoom: int = 1):
        self.known = np.isfinite(pixels).all(axis=(-1, -2))
        self.corners, self.colour = strokes.fixed(pixels, zoom), colour
        ends = np.clip(np.where(self.known[:, None, None], pixels, 0), -1e4, 1e4) * zoom
        self.low = np.maximum(np.floor(ends.min(1)).astype(int) - 2, 0)
        self.high = np.maximum(np.ceil(ends.max(1)).astype(int) + 3 * zoom, 0)

    def draw(self, canvas: np.ndarray, frame: int) -> None:
        """Blend one frame into the picture, in place."""
        if not self.known[frame]:
            return
        if isinstance(canvas, Sketch):
            canvas.log.blend(canvas, self.corners[frame], self.colour, share=FILL_SHARE, shift=strokes.SHIFT)
            return
        (left, top), (right, bottom) = self.low[frame], self.high[frame]
        patch = canvas[top:bottom, left:right]
        if patch.size:
            filled = patch.copy()
            corners = self.corners[frame] - (np.array([left, top], np.int32) << strokes.SHIFT)
            cv2.fillConvexPoly(filled, corners, self.colour, cv2.LINE_AA, strokes.SHIFT)
            patch[:] = cv2.addWeighted(filled, FILL_SHARE, patch, 1 - FILL_SHARE, 0)


@dataclass
class Label:
    """Numbers of one drawn thing: lines of text per frame, and the middle of the plate. [px]"""

    texts: list[tuple[str, ...] | None]
    middle: np.ndarray
    plates: Plates

    def draw(self, canvas: np.ndarray, frame: int) -> None:
        """Put one number into the picture, in place."""
        text = self.texts[frame]
        if text is None:
            return
        zoom, plate = self.plates.zoom, self.plates.picture(text)
        high, wide = plate.shape[:2]
        middle = self.middle[frame]
        left, top = (round(m - size / zoom / 2) * zoom for m, size in zip(middle, (wide, high), strict=True))
        paste(canvas, plate, left, top)
